"""Bringing channels to a common clock."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import trapezoid

from thawline.recording.clock import on_clock, ticks
from thawline.recording.recording import Channel, Gap


def channel(t, values, **more):
    return Channel("x", "W", np.asarray(t, float), np.asarray(values, float), **more)


def test_ticks_cover_the_whole_recording():
    """A recording of 3.2 s needs four ticks of one second."""
    assert ticks(3.2).tolist() == [0.5, 1.5, 2.5, 3.5]
    assert len(ticks(0.0)) == 1


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(0.011, 3.0), min_size=10, max_size=200),
    st.integers(0, 2**32 - 1),
)
def test_sums_over_ticks_equal_the_trapezoid_integral(steps, seed):
    """Energy is kept whatever the sampling: the reference is SciPy's trapezoid rule."""
    t = np.concatenate(([0.0], np.cumsum(steps)))
    y = np.random.default_rng(seed).normal(1000.0, 300.0, len(t))
    y[1:3] = y[0]  # a value sent twice: not a channel that is sent on change
    y[len(y) // 2] = y[len(y) // 2 - 1]
    clock = ticks(t[-1])
    inside = clock + 0.5 <= t[-1]
    got = on_clock(channel(t, y, period_s=0.5, stale_after_s=20.0), clock)
    end = np.flatnonzero(inside)[-1] + 1 if inside.any() else 0
    grid = np.union1d(t, np.arange(end + 1.0))
    grid = grid[grid <= end]
    assert got[:end].sum() == pytest.approx(trapezoid(np.interp(grid, t, y), grid), rel=1e-9)


def test_gaps_stay_gaps():
    """Nothing is drawn across a gap of the log, nor across a stale channel."""
    t = np.concatenate((np.arange(0, 20, 0.5), np.arange(60, 80, 0.5)))
    got = on_clock(channel(t, np.ones(len(t)), period_s=0.5, stale_after_s=5.0), ticks(80.0))
    assert (
        np.isnan(got[21:59]).all() and np.isfinite(got[:19]).all() and np.isfinite(got[61:]).all()
    )
    whole = np.arange(0, 80, 0.5)
    got = on_clock(
        channel(whole, np.ones(len(whole)), period_s=0.5), ticks(80.0), (Gap(30.0, 40.0),)
    )
    assert np.isnan(got[30:40]).all() and np.isnan(got).sum() == 10


def test_states_hold_and_never_average():
    """A state is 0 or 1 on every tick, and holds until the next sample."""
    state = channel(
        [0.0, 10.2, 20.7], [0.0, 1.0, 0.0], is_state=True, period_s=10.0, stale_after_s=60.0
    )
    got = on_clock(state, ticks(30.0))
    assert got[:10].tolist() == [0.0] * 10 and got[10:20].tolist() == [1.0] * 10
    assert got[21:].tolist() == [0.0] * 9


def test_a_channel_sent_on_change_is_a_staircase():
    """0 W until 600 s, then 3 kW: not a ramp of ten minutes."""
    t = np.concatenate((np.linspace(0, 2, 20), [600.0], np.linspace(600.1, 602, 20)))
    y = np.arange(len(t), dtype=float) % 7 + np.where(t >= 600, 3000.0, 0.0)
    got = on_clock(channel(t, y, period_s=0.1, stale_after_s=1e4), ticks(602.0))
    assert got[300] < 10.0 and got[601] > 2900.0


def test_no_samples_say_nothing():
    """An empty channel is NaN everywhere."""
    assert np.isnan(on_clock(channel([], []), ticks(5.0))).all()
