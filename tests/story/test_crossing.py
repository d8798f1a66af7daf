"""When a temperature passed a level, with coarse, slow and noisy sensors."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.story.mornings import channel_of
from thawline.recording.recording import Gap
from thawline.story.crossing import too_near, undecided, upward_crossings

COLDEST = "Powertrain.TractionBattery.Temperature.Min"


def warming(rate, crosses=600.0):
    return lambda t: rate * (t - crosses)


def passed(truth, period=1.0, step=0.1, sigma=0.0, level=0.0, lasts=1200.0, seed=0, gaps=()):
    rng = np.random.default_rng(seed)
    t = np.arange(rng.uniform(0.0, period), lasts, period)
    for begin, end in gaps:
        t = t[(t <= begin) | (t >= end)]

    def seen(at):
        values = truth(at) + rng.normal(0.0, sigma, len(at)) if sigma else truth(at)
        return np.round(values / step) * step if step else values

    channel = channel_of(COLDEST, t, seen)
    return channel, upward_crossings(channel, level, tuple(Gap(a, b) for a, b in gaps))


@given(
    rate=st.floats(0.003, 0.03),
    period=st.sampled_from([0.1, 1.0, 2.0, 10.0]),
    step=st.sampled_from([0.0, 0.1, 0.5, 1.0]),
    sigma=st.sampled_from([0.0, 0.03, 0.1]),
    seed=st.integers(0, 999),
)
@settings(max_examples=60, deadline=None)
def test_a_steady_warming_is_timed_within_the_promise(rate, period, step, sigma, seed):
    """Within 5 s, a sample, or the time in which the sensor's quarter step or noise passes."""
    _, edges = passed(warming(rate), period, step, sigma, seed=seed)
    assert len(edges) == 1
    allowed = max(5.0, period, 0.25 * step / rate, 1.5 * sigma / rate)
    assert abs(edges[0].t_s - 600.0) <= allowed


def test_a_rounding_sensor_is_read_between_its_changes():
    """Readings of −1, 0 and 1 change at −0.5 and +0.5; the level lies half way."""
    _, (edge,) = passed(warming(0.01), step=1.0)
    assert edge.t_s == pytest.approx(600.0, abs=2.0)


def test_flicker_between_two_readings_is_one_passage():
    """A coarse reading that flickers about an edge passes the level once."""
    _, edges = passed(warming(0.004), period=0.1, step=1.0, sigma=0.1, seed=3)
    assert len(edges) == 1


def test_a_temperature_that_stays_near_the_level_does_not_pass():
    """Noise about −0.3 °C makes no passage of 0 °C."""
    _, edges = passed(lambda t: -0.3 + 0.0 * t, step=0.1, sigma=0.1)
    assert edges == ()


def test_readings_of_zero_do_not_prove_a_passage():
    """A sensor of 1 K that ends at 0 says nothing about the side; that is said."""
    channel, edges = passed(lambda t: np.minimum(0.01 * (t - 600.0), -0.2), step=1.0)
    assert edges == () and undecided(channel, 0.0)


def test_a_steady_warming_to_the_end_is_believed():
    """A passage shortly before the end counts if the last steps came at a steady pace."""
    channel, edges = passed(warming(0.01), step=0.5, lasts=620.0)
    assert len(edges) == 1 and edges[0].t_s == pytest.approx(600.0, abs=8.0)
    assert not undecided(channel, 0.0)


def test_defaults_glitches_and_first_moments_are_no_warming():
    """A default of −40 °C at the start, a single wild sample, and a jump do not count."""

    def default(t):
        return np.where(t < 3.0, -40.0, 5.0)

    def glitch(t):
        return np.where(np.abs(t - 300.0) < 0.6, 60.0, -9.0)

    def jump(t):
        return np.where(t < 300.0, -9.0, 12.0)

    for odd in (default, glitch, jump):
        assert passed(odd)[1] == ()


def test_a_passage_within_a_gap_has_its_uncertainty():
    """In 200 s without data the time is known to 200/√12 s, and says so."""
    _, (edge,) = passed(warming(0.01), gaps=((500.0, 700.0),))
    assert 500.0 < edge.t_s < 700.0
    assert edge.silence_s > 190.0 and edge.plus_minus_s == pytest.approx(58.0, abs=3.0)


def test_a_second_passage_needs_a_fall_between():
    """Cooling below and warming again passes twice."""

    def wave(t):
        return 3.0 * np.sin(2.0 * np.pi * t / 800.0 - 0.5)

    assert len(passed(wave, lasts=1600.0)[1]) == 2


def test_a_bent_approach_is_placed_between_coarse_readings():
    """An exponential approach passes 18 °C where it does, not half way between readings."""

    def air(t):
        return 19.5 - 25.0 * np.exp(-np.maximum(t - 60.0, 0.0) / 200.0)

    _, (edge,) = passed(air, step=0.5, level=18.0, lasts=2400.0)
    truth = 60.0 + 200.0 * np.log(25.0 / 1.5)
    assert edge.t_s == pytest.approx(truth, abs=5.0)


def bent(rng):
    """A warming that is straight, rests or gathers pace, seen by a sensor drawn by chance."""
    step = float(rng.choice([0.1, 0.25, 0.5, 5.0 / 9.0, 1.0]))
    period, rate = (
        float(rng.choice([0.2, 1.0, 2.0, 5.0, 10.0])),
        float(10 ** rng.uniform(-3.2, -1.5)),
    )
    crosses, tau = float(rng.uniform(400.0, 1000.0)), float(rng.uniform(100.0, 900.0))
    sign = rng.choice([-1.0, 0.0, 1.0])
    t = np.arange(rng.uniform(0.0, period), 1500.0, period)
    x = np.clip((t - crosses) * sign / tau, -5.0, 3.0)
    warm = rate * (t - crosses) if not sign else rate * tau * (np.exp(x) - 1.0) * sign
    noisy = np.clip(warm, -30.0, 60.0) + rng.uniform(0.0, 0.6) * step * rng.standard_normal(len(t))
    return crosses, channel_of(COLDEST, t, lambda _: np.round(noisy / step) * step)


def test_the_stated_uncertainty_of_a_passage_holds():
    """Of 300 warmings and sensors drawn by chance, 94 % lie within 5 s or twice what is stated."""
    late = []
    for seed in range(300):
        crosses, channel = bent(np.random.default_rng([4711, seed]))
        edges = upward_crossings(channel, 0.0)
        late += [abs(e.t_s - crosses) <= max(5.0, 2.0 * e.plus_minus_s) for e in edges]
    assert len(late) > 280 and np.mean(late) >= 0.94


def test_a_reading_that_stays_beside_the_level_is_too_near():
    """Air that settles a fifth of a step below a level can't be told to have passed it."""
    channel, edges = passed(lambda t: np.minimum(0.02 * (t - 600.0), -0.1), step=0.5)
    assert edges == () and too_near(channel, 0.0, 0.0, 1200.0)
    channel, _ = passed(lambda t: np.minimum(0.02 * (t - 600.0), -2.0), step=0.5)
    assert not too_near(channel, 0.0, 0.0, 1200.0)
    channel, edges = passed(warming(0.02), step=0.5)
    assert len(edges) == 1 and not too_near(channel, 0.0, 0.0, 1200.0)
