"""The ledger in words."""

from __future__ import annotations

from tests.ledger.made import BALANCED, BATTERY, CHARGING, ledger_of, recording
from thawline.ledger.ledger import ELECTRICAL, HEAT
from thawline.ledger.words import NAMES, amount, sentences, table
from thawline.quantities import Accuracy

WELL = {path: Accuracy(0.0, 0.01) for path in BALANCED}


def test_sentences_of_a_balanced_hour() -> None:
    """Who gave, who took and what is left over, each with its uncertainty."""
    said = sentences(ledger_of(recording(BALANCED, accuracies=WELL)))
    assert said[0] == "The supply gave 6.00 ± 0.08 kWh."
    assert said[1] == (
        "Heating by the drive units took 3.000 ± 0.030 kWh, the cabin 1.000 ± 0.010 kWh, "
        "other loads 0.400 ± 0.004 kWh, the charger's losses 0.48 ± 0.10 kWh and the pack took "
        "in 1.120 ± 0.016 kWh."
    )
    assert said[2].startswith("In the electrical account 0.00 ± 0.07 kWh are unaccounted, within")
    assert said[3] == (
        "Of what came from the supply went 50 % to heating the pack, 19 % to charging the pack, "
        "17 % to the cabin, 8 % to the charger's losses and 7 % to other loads."
    )


def test_help_is_told() -> None:
    """A pack that had to help is said to, with the time."""
    values = {**BALANCED, CHARGING + "OutputPower": 2.2, BATTERY + "CurrentCurrent": -2200 / 350}
    said = " ".join(sentences(ledger_of(recording(values))))
    assert "Although a supply was there, the pack had to help for 60.0 min." in said


def test_an_open_account_is_told() -> None:
    """A left-over beyond its bound is said to be, which way it goes."""
    values = {**BALANCED, BATTERY + "CurrentCurrent": 3.2 - 1000.0 / 350.0}
    said = " ".join(sentences(ledger_of(recording(values, accuracies=WELL))))
    assert "The electrical account does not close: 1.00 ± 0.06 kWh more came in than went" in said


def test_what_cannot_be_closed_says_why() -> None:
    """Without a pack temperature the heat account says so instead of a number."""
    said = sentences(ledger_of(recording(BALANCED)))
    assert said[-1] == "The heat account cannot be closed, for what the pack kept is not known."


def test_every_line_has_a_name() -> None:
    """Each line of both accounts has its words."""
    assert set(NAMES) == {*ELECTRICAL, *HEAT}


def test_the_table_holds_every_line_once() -> None:
    """One row for each line, with its origin."""
    ledger = ledger_of(recording(BALANCED))
    rows = table(ledger).splitlines()
    assert len(rows) == len(ELECTRICAL) + len(HEAT) + 2
    assert "supply" in rows[1]
    assert amount(ledger.electrical[0]) in rows[1]
    assert "not known" in table(ledger)
