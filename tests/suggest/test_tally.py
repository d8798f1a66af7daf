import numpy as np
import pytest

from thawline.suggest.tally import Tally


def test_means_over_seconds_and_short_holes_bridged():
    """Ten samples a second are averaged; a hole of three seconds is bridged by a line."""
    t = np.concatenate([np.arange(0, 5, 0.1), np.arange(8, 12, 0.1)])
    tally = Tally()
    for part in np.array_split(np.arange(len(t)), 4):
        tally.add(np.floor(t[part] + 1e-9).astype(np.int64), 2.0 * t[part])
    seen = tally.series(12, is_state=False)
    np.testing.assert_allclose(seen[:5], 2.0 * (np.arange(5) + 0.45), atol=1e-9)
    np.testing.assert_allclose(seen[5:8], np.interp([5, 6, 7], [4, 8], seen[[4, 8]]))
    assert tally.samples == len(t)


def test_long_holes_stay_unknown_and_states_hold():
    """Nothing is invented over a minute; a state holds for a while after its sample."""
    tally = Tally()
    tally.add(np.arange(30), np.ones(30))
    tally.add(np.arange(90, 120), np.full(30, 2.0))
    values = tally.series(120, is_state=False)
    assert np.isnan(values[45:75]).all()
    state = tally.series(120, is_state=True)
    assert state[34] == 1.0
    assert np.isnan(state[60])


def test_a_counter_and_noise_show_in_their_habits():
    """A counter counts up at every sample, noise is rough, a slow curve is smooth."""
    n = 4000
    second = np.arange(n) // 10
    random = np.random.default_rng(2)
    counter, noise, slow = Tally(1.0), Tally(1.0), Tally(0.1)
    counter.add(second, np.arange(n) % 16.0)
    noise.add(second, random.integers(0, 256, n).astype(float))
    slow.add(second, np.round(np.sin(np.arange(n) / 500.0) * 20.0, 1))
    assert counter.habits().counts_up == pytest.approx(1.0, abs=0.01)
    assert noise.habits().roughness == pytest.approx(1.0, abs=0.05)
    assert slow.habits().roughness < 0.01


def test_habits_do_not_depend_on_how_the_log_is_cut():
    """The same samples in many batches give the same figures."""
    random = np.random.default_rng(3)
    values = np.cumsum(random.normal(0, 1, 1000))
    whole, parts = Tally(0.5), Tally(0.5)
    whole.add(np.arange(1000), values)
    for part in np.array_split(np.arange(1000), 37):
        parts.add(part, values[part])
    assert parts.habits().roughness == pytest.approx(whole.habits().roughness, rel=1e-9)
    assert parts.habits().changes == whole.habits().changes
    np.testing.assert_array_equal(
        parts.series(1000, is_state=False), whole.series(1000, is_state=False)
    )


def test_codes_are_listed_only_where_they_are_few():
    """A state lists its codes; a measured curve lists none."""
    state, curve = Tally(), Tally()
    state.add(np.arange(100), np.repeat([0.0, 2.0], 50))
    curve.add(np.arange(100), np.arange(100.0))
    assert state.codes() == (0.0, 2.0)
    assert curve.codes() == ()
