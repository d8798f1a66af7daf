"""How far a stretch is known to reach."""

import numpy as np
import pytest

from thawline.story.stretch import Edge, Stretch, holding, reach

T = np.arange(1090) + 0.5
BEFORE = Stretch(30, 59, Edge(30.0, 0.3), None)
AFTER = Stretch(1060, 1089, None, None)


def test_a_stretch_before_a_long_silence_does_not_reach_beyond_it():
    """What held before a quarter of an hour without data holds nothing after it."""
    assert reach(BEFORE, T) == (30.0, 59.5)
    assert reach(AFTER, T) == (1060.5, float("inf"))
    assert reach(Stretch(0, 10, None, Edge(11.0, 0.3)), T) == (float("-inf"), 11.0)


def test_the_stretch_that_holds_an_instant_is_found():
    """Within its reach, and a little beside it if slow signals need that."""
    assert holding((BEFORE, AFTER), T, 500.0) is None
    assert holding((BEFORE, AFTER), T, 1070.0) is AFTER
    assert holding((BEFORE, AFTER), T, 40.0) is BEFORE
    assert holding((BEFORE, AFTER), T, 28.0) is None
    assert holding((BEFORE, AFTER), T, 28.0, 3.0) is BEFORE


def test_the_new_state_is_surely_seen_after_a_silence():
    """An edge within 60 s of silence is seen at the silence's end, and a little later."""
    assert Edge(100.0, 0.3).seen_s == 100.0
    assert Edge(100.0, 17.3, 60.0).seen_s == pytest.approx(132.0)
