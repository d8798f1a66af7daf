"""Holes across which a straight line cannot be right."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, MOTOR, Values, ledger_of, line_of, recording
from thawline.ledger.bridging import DOUBTED, PLAIN, STOOD_STILL
from thawline.ledger.doubt import judged, judged_ticks
from thawline.recording.recording import Gap, Recording

TEMPERATURE = BATTERY + "Temperature.Average"
GAP = Gap(1200.0, 2100.0)


def warming(through: float) -> Values:
    """0.01 K/s, and in the hole that share of it."""

    def degC(t: np.ndarray) -> np.ndarray:
        inside = np.clip(t - GAP.from_s, 0.0, GAP.to_s - GAP.from_s)
        made = -10.0 + 0.01 * (t - (1.0 - through) * inside)
        return np.round(made / 0.1) * 0.1

    return degC


def torn(through: float, **more: Values) -> Recording:
    return recording({TEMPERATURE: warming(through), **more}, gaps=(GAP,))


@pytest.mark.parametrize(
    ("through", "found"),
    [(1.0, PLAIN), (0.8, PLAIN), (0.3, DOUBTED), (4.0, DOUBTED), (0.0, STOOD_STILL)],
)
def test_a_slow_channel_judges_a_hole(through: float, found: int) -> None:
    """A pack that warmed on leaves the line; one that did otherwise does not."""
    assert judged(torn(through), GAP) == found


def test_short_holes_and_still_packs_are_not_judged() -> None:
    """Where no slow channel moves, or the hole is short, nothing can be said."""
    still = recording({TEMPERATURE: -10.0}, gaps=(GAP,))
    assert judged(still, GAP) == PLAIN
    assert judged(torn(0.0), Gap(1200.0, 1220.0)) == PLAIN


def test_one_channel_that_went_on_forbids_standing_still() -> None:
    """A charge that rose while the temperature stood: something changed, but time passed."""
    charge = {BATTERY + "StateOfCharge.Current": lambda t: np.round(40.0 + t / 100.0, 1)}
    assert judged(torn(0.0, **charge), GAP) == DOUBTED


def test_ticks_are_marked_inside_the_hole() -> None:
    """The mark lies on the hole's ticks and nowhere else."""
    t = np.arange(0.5, 3600.0)
    marked = judged_ticks(torn(0.0), t)
    assert int((marked == STOOD_STILL).sum()) == 900
    assert marked[1000] == PLAIN


def test_a_clock_that_jumped_ahead_adds_no_energy() -> None:
    """3 kW over 45 minutes, and a hole of 15 in which nothing went on: 2.25 kWh."""
    ledger = ledger_of(torn(0.0, **{MOTOR + "Rear.StandstillHeat": 3.0}))
    line = line_of(ledger, "drive-unit-heating")
    assert line.kWh == pytest.approx(2.25, rel=0.01)
    assert line.bridged_kWh == 0.0
    assert any("stood still" in note for note in ledger.notes)


def test_a_doubted_bridge_is_wide_and_said_to_be() -> None:
    """A hole in which less went on keeps its bridge, with 60 % of it as uncertainty."""
    ledger = ledger_of(torn(0.3, **{MOTOR + "Rear.StandstillHeat": 3.0}))
    line = line_of(ledger, "drive-unit-heating")
    assert line.kWh == pytest.approx(3.0, rel=0.01)
    assert line.plus_minus_kWh == pytest.approx(0.45, rel=0.1)
    assert any("changed unseen" in note for note in ledger.notes)
