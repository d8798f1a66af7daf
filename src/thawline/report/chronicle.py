"""The chronicle: turning points and timed notes in the order of time."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from string import ascii_uppercase

from thawline.findings.finding import Unchecked
from thawline.findings.kinds import kinds
from thawline.report.explained import AnyFinding, Explained
from thawline.report.moments import Moments
from thawline.report.numbers import number, quantity
from thawline.story.story import Evidence


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of the chronicle.

    Parameters
    ----------
    mark : int or None
        Number that marks it in the charts; None for a note of the person [1].
    clock : str
        When, as a clock shows it.
    minutes : str
        Minutes since plugging in.
    give_or_take : str
        How far that can be off; empty where it is below a second.
    title : str
        What happened, in a few words.
    because : str
        Why, or the person's words.
    evidence : tuple of str
        What it rests on, a sentence each.
    t_s : float
        When [s].
    """

    mark: int | None
    clock: str
    minutes: str
    give_or_take: str
    title: str
    because: str
    evidence: tuple[str, ...]
    t_s: float


@cache
def _titles() -> dict[str, str]:
    text = files("thawline.report").joinpath("kinds.csv").read_text("utf-8")
    return {row["kind"]: row["title"] for row in csv.DictReader(text.splitlines())}


def title_of(kind: str) -> str:
    """Give the title of a turning point or a finding.

    Parameters
    ----------
    kind : str
        Such as ``coldest-cell-thaws``.

    Returns
    -------
    str
        Such as ``Coldest cell passes 0 °C``.
    """
    if kind in kinds():
        return kinds()[kind].title
    return _titles().get(kind, kind.replace("-", " ").capitalize())


def letters_of(findings: Iterable[AnyFinding]) -> tuple[str, ...]:
    """Give each finding that has a time the letter that marks it in the charts.

    Parameters
    ----------
    findings : iterable of Finding
        The findings.

    Returns
    -------
    tuple of str
        Letters in the order of the findings; empty for one that holds throughout.
    """
    given: list[str] = []
    for one in findings:
        count = sum(bool(letter) for letter in given)
        given.append("" if one[1] is None else ascii_uppercase[count % len(ascii_uppercase)])
    return tuple(given)


def unchecked_sentences(unchecked: Iterable[Unchecked]) -> tuple[str, ...]:
    """Say what could not be checked for findings.

    Parameters
    ----------
    unchecked : iterable of Unchecked
        What could not be checked.

    Returns
    -------
    tuple of str
        A sentence for each.
    """
    return tuple(f"“{title_of(one.kind)}” not checked: {one.because}." for one in unchecked)


def evidence_text(evidence: Iterable[Evidence], moments: Moments) -> tuple[str, ...]:
    """Put what something rests on into words.

    Parameters
    ----------
    evidence : iterable of Evidence
        The values.
    moments : Moments
        The recording's clock.

    Returns
    -------
    tuple of str
        One sentence each.
    """
    return tuple(
        f"{one.signal}: {quantity(one.value, one.unit)}"
        + ("" if one.threshold is None else f", held against {quantity(one.threshold, one.unit)}")
        + f", at {moments.clock(one.at_s)}."
        for one in evidence
    )


def chronicle(explained: Explained, moments: Moments) -> list[Entry]:
    """Write the chronicle.

    Parameters
    ----------
    explained : Explained
        The explained recording.
    moments : Moments
        Its clock.

    Returns
    -------
    list of Entry
        Turning points, numbered from 1, and timed notes, in the order of time.
    """
    entries = [
        Entry(
            mark=index,
            clock=moments.clock(point.t_s),
            minutes=number(moments.minutes(point.t_s), 1),
            give_or_take=f"± {point.plus_minus_s:.0f} s" if point.plus_minus_s >= 0.5 else "",
            title=title_of(point.kind),
            because=point.because,
            evidence=evidence_text(point.evidence, moments),
            t_s=point.t_s,
        )
        for index, point in enumerate(explained.story.turning_points, start=1)
    ]
    for at_s, words in explained.notes:
        if at_s is not None:
            minutes = number(moments.minutes(at_s), 1)
            entries.append(Entry(None, moments.clock(at_s), minutes, "", "Note", words, (), at_s))
    return sorted(entries, key=lambda entry: entry.t_s)
