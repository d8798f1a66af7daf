"""Mending a logger's clock."""

import numpy as np
import pytest

from thawline.recording.times import ClockState, fingerprint, mend


def log(n=1000, step=0.01, start=1e9):
    t = start + np.arange(n) * step
    identifier = np.arange(n, dtype=np.uint32) % 7
    data = np.random.default_rng(3).integers(0, 256, (n, 8)).astype(np.uint8)
    return t, identifier, data


def mended(t, identifier, data, pieces=1):
    """Mend in several batches and put the results together."""
    state, out = ClockState(), []
    for part in np.array_split(np.arange(len(t)), pieces):
        got = mend(t[part], fingerprint(t[part], identifier[part], data[part]), state)
        state = got.state
        out.append(got)
    return (
        np.concatenate([got.t for got in out]),
        np.concatenate([got.keep for got in out]),
        [step for got in out for step in got.steps],
    )


@pytest.mark.parametrize("pieces", [1, 3])
def test_a_good_clock_is_left_alone(pieces):
    """Nothing is reported, nothing moved."""
    t, identifier, data = log()
    got, keep, steps = mended(t, identifier, data, pieces)
    assert np.array_equal(got, t) and keep.all() and steps == []


@pytest.mark.parametrize("pieces", [1, 3])
@pytest.mark.parametrize("by", [-37.0, -3600.0, 1.6e9])
def test_a_clock_that_was_set_is_mended(by, pieces):
    """A jump is found, its size told, and time goes on."""
    t, identifier, data = log()
    t[400:] += by
    got, keep, steps = mended(t, identifier, data, pieces)
    assert keep.all() and len(steps) == 1
    assert steps[0][1] == pytest.approx(by, abs=0.02)
    assert (np.diff(got) >= 0).all() and got[-1] - got[0] == pytest.approx(9.99, abs=0.05)


def test_a_clock_that_jumps_back_and_returns_ends_where_it_should():
    """After the return, times are the log's own again."""
    t, identifier, data = log()
    t[300:500] -= 100.0
    got, keep, steps = mended(t, identifier, data)
    assert keep.all() and len(steps) == 2
    assert got[-1] == pytest.approx(t[-1], abs=0.1) and (np.diff(got) >= 0).all()


def test_a_stray_stretch_ahead_of_time_is_brought_back():
    """Frames stamped a day ahead do not push the rest of the log."""
    t, identifier, data = log()
    good = t.copy()
    t[600:603] += 86_400.0
    got, keep, steps = mended(t, identifier, data)
    assert keep.all() and len(steps) == 1
    assert np.allclose(got, good, atol=0.05)


@pytest.mark.parametrize("pieces", [1, 2])
def test_a_stretch_written_twice_is_dropped(pieces):
    """A repeated block is duplicates, not a clock step."""
    t, identifier, data = log()
    order = np.concatenate((np.arange(700), np.arange(500, 700), np.arange(700, 1000)))
    got, keep, steps = mended(t[order], identifier[order], data[order], pieces)
    assert (~keep).sum() == 200 and steps == []
    assert np.array_equal(got[keep], t)


def test_neighbours_that_are_the_same_frame_are_dropped():
    """A frame that was written twice in a row counts once."""
    t, identifier, data = log()
    order = np.repeat(np.arange(1000), np.where(np.arange(1000) % 100 == 0, 2, 1))
    _, keep, steps = mended(t[order], identifier[order], data[order])
    assert (~keep).sum() == 10 and steps == []


def test_disorder_of_milliseconds_is_no_jump():
    """Merged buses are a little out of order: nothing to report."""
    t, identifier, data = log()
    t[::7] -= 0.03
    _, keep, steps = mended(t, identifier, data)
    assert keep.all() and steps == []
