"""Limits and the choice among them."""

import numpy as np
import pytest

from tests.story.mornings import Plan, scene
from thawline.story.bounds import Bound, answer, around, near, power_around, tightest

SHORT = Plan(duration_s=300.0, drive_s=None)


def test_the_tightest_limit_is_chosen():
    """The smallest allowed power; of equals the first named."""
    bounds = [Bound("supply", 5.0, "a"), Bound("coldest-cell", 0.0, "b"), Bound("x", 0.001, "c")]
    assert tightest(bounds).limit == "coldest-cell"
    assert tightest([]) is None


@pytest.mark.parametrize(
    ("allowed", "now", "held"), [(0.0, 0.0, True), (1.2, 1.1, True), (5.0, 1.0, False)]
)
def test_what_flows_is_held_if_it_is_near(allowed, now, held):
    """A limit explains what flows only if that lies near it."""
    assert near(allowed, now) is held


def test_powers_are_averaged_around_an_instant():
    """Noise of single ticks does not count; what is unknown is None."""
    here = scene(SHORT)
    assert around(here, np.where(np.arange(300) % 2, 1.0, 3.0), 100) == pytest.approx(2.0, abs=0.2)
    assert around(here, None, 100) is None
    assert power_around(here, "supply", 50) == pytest.approx(0.0, abs=0.05)
    assert power_around(here, "unknown", 50) is None


def test_an_answer_is_one_sentence_with_its_numbers():
    """What, how much, why, and what else is worth knowing."""
    found = answer("charging", 5.0, 0.01, Bound("supply", 0.0, "no cable is connected"), ["so"])
    assert found.because == "Charging is 0 kW: no cable is connected; so."
    assert answer("pack-heating", 5.0, None, Bound("x", 0.0, "why")).because.startswith(
        "Pack heating is not known: why"
    )
