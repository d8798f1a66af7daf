"""Hysteresis, hold times, and what silence leaves open."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thawline.story.stretches import OFF, ON, UNKNOWN, Rule, stretches, two_states

RULE = Rule(3.0, 20.0, 5.0)


def states(*runs):
    """Build states of (state, ticks) runs."""
    return np.concatenate([np.full(n, state, dtype=np.int8) for state, n in runs])


def found(state, rule=RULE, never=None):
    t = np.arange(len(state)) + 0.5
    return stretches(t, 1.0, state, rule, never)


def test_hysteresis_holds_between_the_thresholds():
    """Between off and on the state stays as it was."""
    values = np.array([0.0, 0.6, 1.1, 0.6, 0.2, 0.6, np.nan, 1.2])
    expected = [OFF, OFF, ON, ON, OFF, OFF, UNKNOWN, ON]
    assert two_states(values, 1.0, 0.3).tolist() == expected


def test_edges_lie_between_ticks():
    """A stretch that is seen to begin and end has both edges, half a tick beside its ends."""
    (one,) = found(states((OFF, 30), (ON, 40), (OFF, 30)))
    assert (one.first, one.last) == (30, 69)
    assert one.begins.t_s == 30.0 and one.ends.t_s == 70.0
    assert one.begins.plus_minus_s == pytest.approx(1.0 / np.sqrt(12.0))


def test_what_was_on_from_the_start_has_no_begin():
    """A recording that begins in the middle of something invents no begin, nor an end."""
    (one,) = found(states((ON, 50)))
    assert one.begins is None and one.ends is None


def test_the_first_moments_after_waking_are_not_believed():
    """A default value in the first seconds makes no edge."""
    (one,) = found(states((OFF, 3), (ON, 60), (OFF, 40)))
    assert one.begins is None and one.ends is not None
    assert found(states((ON, 3), (OFF, 60))) == ()


def test_blips_are_dropped_and_pauses_bridged():
    """Short pulses are noise; short pauses go on."""
    (one,) = found(states((OFF, 30), (ON, 2), (OFF, 30), (ON, 30), (OFF, 10), (ON, 30), (OFF, 30)))
    assert (one.first, one.last) == (62, 131)


def test_a_pause_is_not_bridged_where_it_cannot_be_on():
    """A supply that is gone ends charging, however short the gap."""
    state = states((OFF, 30), (ON, 30), (OFF, 10), (ON, 30), (OFF, 30))
    never = np.zeros(len(state), dtype=bool)
    never[62:68] = True
    assert len(found(state, never=never)) == 2


def test_pulses_at_the_recordings_ends_make_no_edges():
    """If pauses of 15 s were bridged, one of 16 s at an end proves nothing."""
    pulses = [(ON, 20), (OFF, 15)] * 3
    (one,) = found(states((OFF, 16), *pulses, (ON, 20), (OFF, 16)))
    assert one.begins is None and one.ends is None
    (other,) = found(states((OFF, 40), *pulses, (ON, 20), (OFF, 40)))
    assert other.begins is not None and other.ends is not None


def test_a_change_across_a_silence_lies_in_its_middle():
    """The time is the silence's middle, with the uncertainty of an even spread."""
    (one,) = found(states((OFF, 30), (UNKNOWN, 59), (ON, 60)))
    assert one.begins.silence_s == 60.0
    assert one.begins.t_s == pytest.approx(59.5)
    assert one.begins.plus_minus_s == pytest.approx(60.0 / np.sqrt(12.0))


def test_a_silence_between_equal_states_changes_nothing():
    """On before and on after is one stretch."""
    (one,) = found(states((OFF, 30), (ON, 30), (UNKNOWN, 100), (ON, 30), (OFF, 30)))
    assert (one.first, one.last) == (30, 189)


def test_a_very_long_silence_separates():
    """After a quarter of an hour without data, nobody knows."""
    one, other = found(states((OFF, 30), (ON, 30), (UNKNOWN, 1000), (ON, 30), (OFF, 30)))
    assert one.ends is None and other.begins is None


@given(st.lists(st.tuples(st.sampled_from([OFF, ON, UNKNOWN]), st.integers(1, 60)), max_size=12))
@settings(max_examples=60, deadline=None)
def test_stretches_are_ordered_and_apart(runs):
    """Whatever the states: stretches are in order, apart, long enough, and no edge is alone."""
    if not runs:
        assert found(np.zeros(0, dtype=np.int8)) == ()
        return
    result = found(states(*runs))
    for one in result:
        assert 0 <= one.first <= one.last < sum(n for _, n in runs)
    for one, other in pairwise(result):
        assert one.last < other.first
        assert not (one.ends is None and other.begins is not None and other.begins.silence_s == 0
                    and other.first == one.last + 1)  # fmt: skip
