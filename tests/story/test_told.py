"""Reasons, evidence, and how turning points are made."""

import numpy as np
import pytest

from tests.story.mornings import Plan, scene
from thawline.story import names
from thawline.story.stretch import Edge
from thawline.story.told import (
    Cause,
    charge_reached,
    flowing,
    latest,
    mean_over,
    seen,
    silent,
    turning,
)

SHORT = Plan(duration_s=300.0, drive_s=None)


def cause(at, text):
    return Cause(at, text, ())


def test_the_condition_that_was_met_last_is_the_reason():
    """Of several conditions that hold, the newest one set it off."""
    chosen = latest([cause(10.0, "old"), cause(95.0, "new"), cause(200.0, "later")], Edge(100.0, 1))
    assert chosen.because == "new"


def test_of_conditions_met_together_the_first_named_counts():
    """A switch that follows a request within 2 s does not hide it."""
    chosen = latest([cause(99.0, "request"), cause(99.5, "switch")], Edge(100.0, 1.0))
    assert chosen.because == "request"


def test_an_old_condition_says_that_it_is_old():
    """If nothing came shortly before, the answer admits it."""
    chosen = latest([cause(float("-inf"), "Warm.")], Edge(1000.0, 1.0))
    assert chosen.because == "Warm. That had held all along; no signal says why it came only now."
    assert "16 min" in latest([cause(40.0, "Warm.")], Edge(1000.0, 1.0)).because
    assert latest([], Edge(1000.0, 1.0)) is None


def test_evidence_is_read_at_the_instant():
    """Evidence has signal, value, unit and what it is held against."""
    here = scene(SHORT)
    (one,) = seen(here, names.COLDEST, 100.0, 0.0)
    assert (one.signal, one.unit, one.threshold) == (names.COLDEST, "degC", 0.0)
    assert one.value == pytest.approx(-6.0, abs=0.2)
    assert seen(here, "unknown", 100.0) == () and flowing(here, "unknown", 100.0) == ()
    assert flowing(here, "supply", 50.0)[0].unit == "kW"


def test_a_change_in_a_silence_says_so_or_is_left_out():
    """Within a gap the sentence says it; a gap too long makes no point but is told as lost."""
    (point,) = turning("unplugged", Edge(500.0, 30.0, 104.0), "Gone.", ())
    assert point.because.startswith("Gone. It happened within 104 s without data")
    assert turning("unplugged", Edge(5000.0, 600.0, 2000.0), "Gone.", ()) == ()
    assert silent("unplugged", Edge(5000.0, 600.0, 2000.0))[0].what == "unplugged"
    assert silent("unplugged", Edge(500.0, 1.0)) == () and silent("unplugged", None) == ()


def test_the_charges_target_is_a_reason_when_it_is_reached():
    """Within half a point of the target, the target is reached."""
    assert charge_reached(scene(SHORT, target=80.0, shown=79.0), 100.0) == []
    (reached,) = charge_reached(scene(SHORT, target=80.0, shown=79.8), 100.0)
    assert reached.because == "The charge reached 79.8 %, its target of 80.0 %."
    assert charge_reached(scene(SHORT, target=80.0), 100.0) == []


def test_means_leave_out_what_is_unknown():
    """NaN does not count; nothing known is None."""
    assert mean_over(np.array([1.0, np.nan, 3.0]), 0, 2) == 2.0
    assert mean_over(np.array([np.nan]), 0, 0) is None and mean_over(None, 0, 0) is None
