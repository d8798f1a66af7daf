"""Gather the sentences that the other rooms have for a recording."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from thawline.ledger.ledger import Ledger
from thawline.ledger.words import sentences
from thawline.report.explained import Explained
from thawline.report.instants import Instant, why_nots
from thawline.story.words import headline


@dataclass(frozen=True, slots=True)
class Prose:
    """All sentences that a report is set from.

    Parameters
    ----------
    headline : tuple of str
        What happened, in a few sentences.
    ledger : tuple of str
        Where the energy went, in a few sentences.
    charge : str
        What the display gained and why.
    why_not : tuple of Instant
        What kept things from being more.
    """

    headline: tuple[str, ...]
    ledger: tuple[str, ...]
    charge: str
    why_not: tuple[Instant, ...]


@cache
def cautions() -> tuple[str, ...]:
    """Read the cautions usual in this trade.

    Returns
    -------
    tuple of str
        One caution each.
    """
    text = files("thawline.report").joinpath("cautions.csv").read_text("utf-8")
    return tuple(row["caution"] for row in csv.DictReader(text.splitlines()))


def _energies(ledger: Ledger) -> dict[str, float | None]:
    """Take the headline's energies from the ledger, so that both say the same [kWh]."""
    found = {line.line: line.kWh for line in ledger.electrical}
    heat = {line.line: line.kWh for line in ledger.heat}
    return {**found, "pack-heating": heat.get("drive-unit-heating")}


def prose_of(explained: Explained) -> Prose:
    """Ask the other rooms for their sentences.

    Parameters
    ----------
    explained : Explained
        The explained recording.

    Returns
    -------
    Prose
        The sentences.
    """
    recording, flows, story = explained.recording, explained.flows, explained.story
    return Prose(
        headline=tuple(headline(recording, flows, story, _energies(explained.ledger))),
        ledger=tuple(sentences(explained.ledger)),
        charge=explained.charge.sentence,
        why_not=tuple(why_nots(explained)),
    )
