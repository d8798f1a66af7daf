"""A filter that goes on gives what filtering anew gives."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.warmup.linear_car import BATTERY, Truth, record
from tests.warmup.proving_car import Build, Morning
from tests.warmup.proving_car import record as record_proving
from thawline.forecast.cut import cut_at
from thawline.recording.flows import make_flows
from thawline.recording.recording import Recording
from thawline.story.tell import tell
from thawline.warmup.cabin import cabin_case, cabin_prior, run_cabin, run_cabin_on
from thawline.warmup.case import Case, make_case, run_case, run_case_on
from thawline.warmup.fit import fit
from thawline.warmup.kalman import Filtered

STEPS = 180
COLDEST = BATTERY + "Temperature.Min"


@pytest.fixture(scope="module", params=[0.0, 0.5, 1.0], ids=["fine", "half", "whole"])
def data(request):
    """A car whose thermometers are fine, or coarse; its fit, and a few sets about it."""
    recording, flows, story = record(Truth(duration_s=1500.0), 3, step_K=request.param)
    warmup = fit(recording, flows, story, until_s=900.0)
    root = np.linalg.cholesky(warmup.pack.covariance + 1e-12 * np.eye(len(warmup.pack.mean)))
    z = warmup.pack.mean + 0.5 * np.random.default_rng(1).normal(size=(3, len(root))) @ root.T
    return recording, story, warmup, z


def case_at(recording: Recording, story, until_s: float) -> Case:
    part = cut_at(recording, until_s)
    return make_case(part, make_flows(part), story, until_s, STEPS)


def agree(one: Filtered, other: Filtered) -> None:
    """To 1e-9, which is the promise; in fact to the last bit."""
    for name in ("step", "sensor", "is_bound"):
        assert np.array_equal(getattr(one, name), getattr(other, name))
    for name in ("surprise", "variance", "mean", "covariance"):
        assert np.allclose(getattr(one, name), getattr(other, name), rtol=1e-9, atol=1e-9)
    assert np.allclose(one.log_likelihood(), other.log_likelihood(), rtol=1e-9)


@settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.lists(st.floats(0.0, 90.0), min_size=1, max_size=4), st.floats(400.0, 1100.0))
def test_whenever_it_is_asked_it_equals_filtering_anew(data, pauses, begin):
    """Instants at any distance, also twice the same one, and over changes of readings."""
    recording, story, warmup, z = data
    now, kept = begin, None
    for pause in [0.0, *pauses]:
        now += pause
        case = case_at(recording, story, now)
        found, kept = run_case_on(case, warmup.structure, z, None, kept)
        agree(found, run_case(case, warmup.structure, z))


@settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.floats(30.0, 880.0), st.floats(1.0, 60.0), st.floats(-3.0, 3.0))
def test_older_samples_that_come_changed_are_filtered_again(data, at, long, off):
    """Samples that arrive late, or are mended: as if they had always been so."""
    recording, story, warmup, z = data
    _, kept = run_case_on(case_at(recording, story, 890.0), warmup.structure, z, None, None)
    channel = recording.channels[COLDEST]
    values = np.where(
        (channel.t > at) & (channel.t < at + long), channel.values + off, channel.values
    )
    changed = replace(
        recording, channels={**recording.channels, COLDEST: replace(channel, values=values)}
    )
    case = case_at(changed, story, 897.0)
    found, _ = run_case_on(case, warmup.structure, z, None, kept)
    agree(found, run_case(case, warmup.structure, z))


def test_other_sets_noise_or_a_look_back_are_filtered_as_they_must(data):
    """Nothing of an earlier run is used where it does not hold."""
    recording, story, warmup, z = data
    case, earlier = case_at(recording, story, 900.0), case_at(recording, story, 700.0)
    _, kept = run_case_on(case, warmup.structure, z, None, None)
    factors = np.where(case.grid.ends > 780.0, 40.0, 1.0)
    for its, sets, noise in ((case, z + 0.01, None), (case, z, factors), (earlier, z, None)):
        found, _ = run_case_on(its, warmup.structure, sets, noise, kept)
        agree(found, run_case(its, warmup.structure, sets, noise))


def test_a_few_seconds_more_cost_a_few_steps(data):
    """Of some ninety steps all but the last two rest on the same; the counting is of steps."""
    recording, story, warmup, z = data
    first = case_at(recording, story, 893.0)
    _, kept = run_case_on(first, warmup.structure, z, None, None)
    _, later = run_case_on(case_at(recording, story, 898.0), warmup.structure, z, None, kept)
    same = [a is b for (a, _), (b, _) in zip(kept.after, later.after, strict=False)]
    assert sum(same) >= len(same) - 2


def test_the_cabin_goes_on_too():
    """The same for its filter."""
    recording, _ = record_proving(Build(), Morning(duration_s=900.0, cabin_s=(120.0, 900.0)))
    kept = None
    for now in (700.0, 706.0, 711.5):
        part = cut_at(recording, now)
        flows = make_flows(part)
        case = make_case(part, flows, tell(part, flows), now, STEPS)
        cabin = cabin_case(part, flows, case.grid, case.sources.cabin_kW)
        assert cabin is not None
        z = cabin_prior(None, cabin)[0] + np.array([[0.0], [0.1]])
        found, kept = run_cabin_on(cabin, z, kept)
        agree(found, run_cabin(cabin, z))
    assert kept is not None and len(kept.rests_on) == len(kept.after)
