"""Fits of cars whose truth is known."""

from dataclasses import replace

import numpy as np
import pytest

from tests.warmup.linear_car import BATTERY, Truth, record, without_hot
from tests.warmup.proving_car import Build, Morning
from tests.warmup.proving_car import record as record_proving
from thawline.recording.flows import make_flows
from thawline.story.tell import tell
from thawline.warmup.fit import fit

HOT = ("Rear.Temperature", "Coolant.InletTemperature", "Coolant.Flow")


def within_three_sigma(seed: int) -> bool:
    """Whether all parameters of the linear car are found to within three sigma."""
    truth = Truth().named()
    found = fit(*record(Truth(), seed)).pack
    off = [
        abs(mean - np.log(truth[name])) / np.sqrt(variance)
        for name, mean, variance in zip(
            found.names, found.mean, np.diag(found.covariance), strict=True
        )
        if name in truth
    ]
    return len(off) == len(truth) and max(off) < 3.0


def test_parameters_of_a_linear_car_are_recovered():
    """All within three sigma, for at least five of six seeds."""
    assert sum(within_three_sigma(seed) for seed in range(6)) >= 5


@pytest.mark.slow
def test_parameters_are_recovered_for_two_hundred_seeds():
    """All within three sigma in at least 95 % of 200 seeds."""
    assert sum(within_three_sigma(seed) for seed in range(200)) >= 190


def test_rounding_to_half_a_kelvin_costs_width_not_truth():
    """With 0.5 K steps the capacity is still within three sigma, and sigma is not smaller."""
    fine, coarse = fit(*record(Truth(), 4)), fit(*record(Truth(), 4, step_K=0.5))
    for found in (fine, coarse):
        capacity = found.parameters[0]
        sigma = np.log(capacity.high / capacity.value)
        assert abs(np.log(capacity.value / 450.0)) < 3.0 * sigma
    i = coarse.pack.names.index("coldest.lag")
    assert coarse.pack.covariance[i, i] > 0.8 * fine.pack.covariance[i, i]


def test_lumps_are_added_only_if_the_test_asks_for_them():
    """A car of one lump keeps one; heat that is stored on its way is found."""
    one = fit(*record(without_hot(), 1, leave_out=("Temperature.Average", *HOT)))
    assert one.structure.lumps == ("bulk",)
    assert one.tests
    assert not any(test.accepted for test in one.tests)
    full = fit(*record(Truth(), 1, leave_out=("Temperature.Average", *HOT)))
    assert "hot" in full.structure.lumps or "metal" in full.structure.lumps
    assert any(test.accepted and test.statistic > test.threshold for test in full.tests)
    assert {test.threshold for test in full.tests} <= {3.841, 5.991, 7.815}


def test_the_test_seldom_adds_what_is_not_there():
    """At the 95 % level few cars of one lump get a second."""
    left = ("Temperature.Average", *HOT)
    grown = [fit(*record(without_hot(), seed, left)).structure.lumps for seed in range(8)]
    assert sum(lumps != ("bulk",) for lumps in grown) <= 2


@pytest.mark.parametrize(
    "missing",
    [
        ("Coolant.Flow",),
        ("InletTemperature", "OutletTemperature"),
        ("Rear.Temperature", "Front.Temperature"),
        ("Temperature.Average",),
        ("TractionBattery.Temperature.Min",),
        ("StandstillHeat",),
        ("Exterior.AirTemperature",),
        ("Coolant", "Rear.Temp", "Front.Temp", "Average", "Exterior"),
        ("Temperature.Min", "Temperature.Average"),
    ],
)
def test_missing_signals_reduce_the_model(missing):
    """Whatever is left out, there is a model, its verdict says what it rests on."""
    recording, _ = record_proving(Build(), Morning(duration_s=1500.0, leave_out=missing))
    flows = make_flows(recording)
    found = fit(recording, flows, tell(recording, flows))
    assert np.all(np.isfinite(found.pack.mean))
    assert np.all(np.linalg.eigvalsh(found.pack.covariance) > 0.0)
    assert 250.0 < found.parameters[0].value < 900.0
    said = " ".join(found.verdict.warnings)
    if "StandstillHeat" in missing:
        assert "derived" in said
    if "Exterior.AirTemperature" in missing:
        assert "air outside" in said
    if "TractionBattery.Temperature.Min" in missing:
        assert "coldest cell is not recorded" in said
    if missing == ("Temperature.Min", "Temperature.Average"):
        assert "rests on priors" in said


def test_without_any_heat_the_fit_is_the_prior_and_says_so():
    """Before heating begins nothing is tested, nothing is told."""
    found = fit(*record(Truth(), 2), until_s=90.0)
    assert not found.tests
    assert "From priors" in found.verdict.sentence
    assert np.allclose(found.pack.mean[0], found.pack.prior_mean[0], atol=0.05)
    assert found.parameters[0].told < 0.05


def test_nothing_after_the_end_is_used():
    """Whatever came later, the fit until then is the same."""
    recording, flows, story = record(Truth(), 5)
    changed = {
        path: replace(c, values=np.where(c.t > 1200.0, c.values + 7.0, c.values))
        for path, c in recording.channels.items()
        if path.startswith(BATTERY + "Temp")
    }
    other = replace(recording, channels={**recording.channels, **changed})
    one, two = (fit(r, flows, story, until_s=1200.0) for r in (recording, other))
    assert np.array_equal(one.pack.mean, two.pack.mean)
    assert one.until_s == 1200.0


def test_a_near_start_changes_how_fast_and_not_what_is_found():
    """Beginning from an earlier fit leads to the same peak, within a tenth of sigma or so."""
    recording, flows, story = record(Truth(), 6)
    early = fit(recording, flows, story, until_s=1000.0)
    cold = fit(recording, flows, story)
    warm = fit(recording, flows, story, near=early)
    off = np.abs(cold.pack.mean - warm.pack.mean) / np.sqrt(np.diag(cold.pack.covariance))
    assert off.max() < 0.6


def test_a_long_morning_is_fitted_until_some_time_after_the_heat():
    """What follows long after the last heat adds nothing but what the model is not made for."""
    recording, flows, story = record(Truth(duration_s=9000.0), 7)
    short = fit(recording, flows, story, until_s=3600.0)
    long = fit(recording, flows, story)
    assert np.allclose(short.pack.mean, long.pack.mean, atol=1e-9)
