"""True moments of changes that a threshold saw late."""

import numpy as np
import pytest

from tests.story.mornings import channel_of
from thawline.story.onset import Band, fall_edge, noise_of, rise_edge, state_edge
from thawline.story.stretch import Edge

T = np.arange(600) + 0.5


def first_on(values, band):
    return int(np.argmax(values >= band.on_above))


def ramp(slope, begins=200.0):
    return np.maximum(T - begins, 0.0) * slope


def test_noise_is_found_under_a_trend():
    """Second differences tell white noise of known size from a slope."""
    values = 0.01 * T + np.random.default_rng(1).normal(0.0, 0.2, len(T))
    assert noise_of(values) == pytest.approx(0.2, rel=0.15)
    assert noise_of(values[:5]) == 0.0


def test_a_jump_lies_in_the_tick_that_shows_part_of_it():
    """A step 0.3 s into a tick shows as 0.7 of itself in the tick's mean."""
    values = np.where(T > 201.0, 3.0, 0.0)
    values[200] = 0.7 * 3.0
    band = Band(0.15, 0.06, 0.05, 1.0, 0.1)
    assert rise_edge(T, values, first_on(values, band), band).t_s == pytest.approx(200.3, abs=0.01)


@pytest.mark.parametrize(
    ("slope", "step"),
    [(0.005, 0.1), (0.005, 0.25), (0.02, 0.1), (0.02, 0.25), (0.02, 0.5), (0.2, 0.1), (0.2, 0.5)],
)
def test_a_staircase_is_carried_back_to_its_foot(slope, step):
    """A rounding sensor leaves zero half a step late; the onset is found nevertheless."""
    values = np.round(ramp(slope) / step) * step
    band = Band(max(0.15, 0.6 * step), 0.06, 0.55 * step, 1.0, step)
    edge = rise_edge(T, values, first_on(values, band), band)
    assert edge.t_s == pytest.approx(200.0, abs=max(1.5, 0.15 * step / slope))


@pytest.mark.parametrize("slope", [0.02, 0.1])
def test_a_slow_ramp_is_found_in_noise(slope):
    """The begin of a ramp in noise is within three of its stated uncertainties and 5 s."""
    late = []
    for seed in range(20):
        noise = np.random.default_rng(seed).normal(0.0, 0.06, len(T))
        values = ramp(slope) + noise
        band = Band(0.24, 0.1, 0.18, 1.0, 0.0)
        i = int(np.argmax(values >= 0.24))
        edge = rise_edge(T, values, i, band)
        late.append(edge.t_s - 200.0)
    assert abs(np.mean(late)) < 3.0 and np.std(late) < 5.0


def test_a_rise_from_below_is_timed_at_zero():
    """A pack that helped and then is charged begins to be charged when it passes zero."""
    values = np.interp(T, [0.0, 150.0, 250.0, 600.0], [-2.0, -2.0, 1.0, 1.0])
    band = Band(0.15, 0.06, 0.05, 1.0, 0.0)
    i = first_on(values, band)
    assert rise_edge(T, values, i, band).t_s == pytest.approx(150.0 + 200.0 / 3.0, abs=1.0)


def test_a_charger_that_stays_a_little_short_is_passed_exactly():
    """Resting at −50 W and then jumping into the pack passes zero within a tick."""
    values = np.where(T > 200.0, 0.3 + 0.05 * (T - 200.0), -0.05)
    band = Band(0.15, 0.06, 0.015, 1.0, 0.02)
    assert rise_edge(T, values, first_on(values, band), band).t_s == pytest.approx(200.0, abs=0.6)


def test_a_trickle_allowed_at_once_is_a_jump():
    """Steps after a jump do not carry the onset back before it."""
    values = np.where(T > 200.0, 0.5 + 0.005 * (T - 200.0), 0.0)
    values = np.round(values / 0.25) * 0.25
    band = Band(0.15, 0.14, 0.1375, 1.0, 0.25)
    assert rise_edge(T, values, first_on(values, band), band).t_s == pytest.approx(200.0, abs=1.0)


def test_a_slow_sensor_is_met_half_way():
    """Between two samples 10 s apart, the middle is the best guess."""
    samples = np.arange(0.0, 610.0, 10.0)
    values = np.interp(T, samples, np.where(samples >= 206.0, 3.0, 0.0))
    band = Band(0.15, 0.06, 0.05, 10.0, 0.1)
    edge = rise_edge(T, values, first_on(values, band), band)
    assert edge.t_s == pytest.approx(205.0, abs=1.0)
    assert edge.plus_minus_s > 2.5


def test_the_end_is_the_mirror_of_the_begin():
    """A fall is found as its mirror image's rise."""
    values = ramp(0.02)[::-1].copy()
    band = Band(0.15, 0.06, 0.03, 1.0, 0.05)
    last = int(np.flatnonzero(values >= 0.15)[-1])
    assert fall_edge(T, values, last, band).t_s == pytest.approx(400.0, abs=2.0)


def test_a_states_edge_is_sharpened_by_its_own_samples():
    """The edge lies between the last sample before and the first after."""
    state = channel_of("Speed", np.arange(0.25, 60.0, 0.5), lambda t: t > 30.1)
    assert state_edge(state, Edge(30.5, 0.3)).t_s == pytest.approx(30.0, abs=0.26)
    in_silence = Edge(30.5, 5.0, 20.0)
    assert state_edge(state, in_silence) is in_silence
    far = Edge(50.0, 0.3)
    assert state_edge(state, far) is far
