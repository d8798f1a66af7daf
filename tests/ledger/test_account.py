"""The ledger as a whole."""

from __future__ import annotations

import pytest

from tests.ledger.made import BALANCED, BATTERY, CHARGING, NO_STORY, ledger_of, recording
from thawline.ledger.account import account
from thawline.ledger.ledger import ELECTRICAL, HEAT
from thawline.quantities import Accuracy
from thawline.recording.flows import make_flows
from thawline.recording.recording import Gap, Recording
from thawline.vehicle.vehicle import Pack, Vehicle


def test_what_limits_it_is_noted() -> None:
    """Holes, bridges, assumptions, unknown lines and default accuracies are all told."""
    values = {p: v for p, v in BALANCED.items() if "OutputPower" not in p}
    notes = " ".join(ledger_of(recording(values, gaps=(Gap(600.0, 1200.0),))).notes)
    assert "For 600 s nothing was recorded" in notes
    assert "supply (+1.00 kWh)" in notes
    assert "Assumed, not measured: charger loss" in notes
    assert "Cannot be told: coolant into pack" in notes
    assert "states no accuracy for 7 of 7 sensors" in notes


def test_stated_accuracies_are_not_complained_of() -> None:
    """A file that states all accuracies is not told to."""
    stated = {path: Accuracy(0.0, 0.01) for path in BALANCED}
    notes = " ".join(ledger_of(recording(BALANCED, accuracies=stated)).notes)
    assert "states no accuracy" not in notes


@pytest.mark.parametrize("lost", sorted(BALANCED))
def test_any_signal_may_be_missing(lost: str) -> None:
    """Without any one signal there is still a ledger with all its lines."""
    ledger = ledger_of(recording({p: v for p, v in BALANCED.items() if p != lost}))
    assert tuple(line.line for line in ledger.electrical) == ELECTRICAL
    assert tuple(line.line for line in ledger.heat) == HEAT


def test_an_empty_recording_has_an_empty_ledger() -> None:
    """Nothing recorded: every line unknown or assumed, nothing raised."""
    made = Recording("none", Vehicle("Petrel", Pack(58.0)), 0.0, 0.0, {})
    ledger = account(made, make_flows(made), NO_STORY)
    assert ledger.feed is None
    assert {line.origin for line in ledger.electrical} <= {"unknown", "assumed"}
    assert ledger.covered_s == 0.0


def test_a_single_sample_of_everything_is_no_trouble() -> None:
    """One sample of each channel makes a ledger of one tick."""
    made = recording({**BALANCED, BATTERY + "Temperature.Min": -5.0}, duration_s=0.4)
    ledger = ledger_of(made)
    assert len(ledger.electrical) == len(ELECTRICAL)
    assert CHARGING + "OutputPower" in made.channels
