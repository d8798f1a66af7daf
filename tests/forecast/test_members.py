"""A sample of cars that fit the readings."""

import numpy as np
import pytest

from tests.warmup.linear_car import Truth, record
from thawline.forecast.members import cumulative_sum, draw_members, effective_sets, tempered
from thawline.warmup.case import make_case, run_case_on
from thawline.warmup.fit import fit


def draw(warmup, data, now, seed=1):
    case = make_case(*data, now)
    return draw_members(
        warmup.pack,
        lambda z, noise, kept: run_case_on(case, warmup.structure, z, noise, kept),
        case.grid.ends,
        now,
        np.random.default_rng(seed),
    )


def test_members_spread_as_the_posterior_says():
    """Mean and spread of the capacity are those of the fit, within a sample's error."""
    data = record(Truth(), 1)
    warmup = fit(*data, until_s=1500.0)
    members = draw(warmup, data, 1500.0)
    assert members.effective > 16
    assert not members.shaken
    sd = np.sqrt(warmup.pack.covariance[0, 0])
    assert abs(members.z[:, 0].mean() - warmup.pack.mean[0]) < 0.6 * sd
    assert 0.4 * sd < members.z[:, 0].std() < 1.6 * sd


def test_states_are_those_of_the_car_now():
    """The rows' mean of the members is the pack's mean temperature, to a tenth of a kelvin."""
    data = record(Truth(), 2)
    warmup = fit(*data, until_s=1200.0)
    members = draw(warmup, data, 1200.0)
    at = [warmup.structure.states.index(row) for row in warmup.structure.pack]
    mean = members.states[:, at].mean(axis=1)
    channel = data[0].channels["Powertrain.TractionBattery.Temperature.Average"]
    seen = channel.values[np.abs(channel.t - 1200.0) < 5.0].mean()
    assert mean.mean() == pytest.approx(seen, abs=0.1)


def test_later_readings_count_without_a_new_fit():
    """Members of an early fit move to where the later fit is, as far as they reach."""
    data = record(Truth(capacity=390.0), 3)
    early, late = fit(*data, until_s=400.0), fit(*data, until_s=560.0)
    i = early.pack.names.index("coldest.lag")
    then, later = draw(early, data, 400.0), draw(early, data, 560.0)
    off = [abs(m.z[:, i].mean() - late.pack.mean[i]) for m in (then, later)]
    assert off[1] < off[0]


def test_weights_are_flattened_only_as_far_as_needed():
    """Equal weights stay; one that outweighs all leaves as many sets as asked for."""
    assert np.allclose(tempered(np.zeros(10), 5.0), 0.1)
    steep = tempered(-30.0 * np.arange(40.0), 12.0)
    assert effective_sets(steep) == pytest.approx(12.0, abs=0.1)
    assert np.all(np.diff(steep) <= 0.0)


def test_surprises_of_one_sign_add_up_and_others_do_not():
    """Page's sum (Biometrika 41 (1954) 100): one sign at 1.5 passes 5 in six; turns never do."""
    assert cumulative_sum(np.full(5, 1.5), 0.5) == pytest.approx(5.0)
    assert cumulative_sum(np.full(6, -1.5), 0.5) > 5.0
    assert cumulative_sum(np.tile([1.5, -1.5], 50), 0.5) <= 1.0
