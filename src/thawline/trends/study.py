"""Study one recording: its morning, and what is found on it beside earlier ones."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from thawline.charge.split import split
from thawline.findings.find import find
from thawline.findings.finding import Figures, Finding
from thawline.ledger.account import account
from thawline.library.derived import Derived
from thawline.recording.flows import make_flows
from thawline.recording.recording import Recording
from thawline.report.explained import Explained
from thawline.story.tell import tell
from thawline.trends.measure import measure
from thawline.trends.morning import Morning, morning_from, morning_plain

#: So many earlier recordings are held against the present one, the latest ones [1].
MOST = 6


@dataclass(frozen=True, slots=True)
class Told:
    """A finding without its evidence.

    Parameters
    ----------
    kind : str
        What it is.
    from_s : float or None
        Since when; None: the whole recording [s].
    confidence : float or None
        How sure it is [1].
    because : str
        Why.
    """

    kind: str
    from_s: float | None
    confidence: float | None
    because: str


@dataclass(frozen=True, slots=True)
class Study:
    """What a recording tells by itself, and beside earlier ones.

    Parameters
    ----------
    morning : Morning
        Its figures.
    findings : tuple of Told or None
        What was found beside earlier mornings; None while those have not been looked at.
    """

    morning: Morning
    findings: tuple[Told, ...] | None = None


def _told(found: Sequence[Finding]) -> tuple[Told, ...]:
    return tuple(Told(f.kind, f.from_s, f.confidence, f.because) for f in found)


def look_at(recording: Recording) -> Morning:
    """Look at a recording by itself.

    Parameters
    ----------
    recording : Recording
        The recording.

    Returns
    -------
    Morning
        Its figures.
    """
    flows = make_flows(recording)
    story = tell(recording, flows)
    ledger = account(recording, flows, story)
    seen = find(recording, flows, story, ledger)
    charge = split(recording, flows)
    explained = Explained(
        recording, flows, story, ledger, charge, seen.found,
        unchecked=seen.unchecked, figures=seen.figures,
    )  # fmt: skip
    return measure(explained)


def find_beside(recording: Recording, earlier: Sequence[Figures]) -> tuple[Told, ...]:
    """Find what shows beside earlier mornings, as explaining does.

    Parameters
    ----------
    recording : Recording
        The recording.
    earlier : sequence of Figures
        Figures of the vehicle's mornings before it, the earliest first.

    Returns
    -------
    tuple of Told
        What was found.
    """
    flows = make_flows(recording)
    story = tell(recording, flows)
    return _told(find(recording, flows, story, account(recording, flows, story), earlier).found)


def before(mornings: Sequence[Morning], morning: Morning) -> tuple[Figures, ...]:
    """Pick the figures of the mornings before one.

    Parameters
    ----------
    mornings : sequence of Morning
        Mornings of the vehicle, in the order of their start.
    morning : Morning
        The one.

    Returns
    -------
    tuple of Figures
        Of the latest ones that began before it, the earliest first.
    """
    until = bisect_left(mornings, morning.starts_at, key=lambda one: one.starts_at)
    return tuple(one.figures for one in mornings[max(until - MOST, 0) : until])


def study_plain(study: Study) -> dict[str, Any]:
    """Turn a study to what JSON has.

    Parameters
    ----------
    study : Study
        The study.

    Returns
    -------
    dict
        The same as plain values.
    """
    found = None
    if study.findings is not None:
        found = [[one.kind, one.from_s, one.confidence, one.because] for one in study.findings]
    return {"morning": morning_plain(study.morning), "findings": found}


def study_from(kept: dict[str, Any]) -> Study:
    """Turn what ``study_plain`` gave back to a study.

    Parameters
    ----------
    kept : dict
        What was kept.

    Returns
    -------
    Study
        The study.

    Raises
    ------
    KeyError, TypeError, ValueError
        If it is not what ``study_plain`` gives.
    """
    found = kept["findings"]
    told = None if found is None else tuple(Told(*one) for one in found)
    return Study(morning_from(kept["morning"]), told)


def derived_from(study: Study) -> Derived:
    """Lay a study out for the library's table.

    Parameters
    ----------
    study : Study
        The study.

    Returns
    -------
    Derived
        A row.
    """
    morning = study.morning
    kinds = (
        morning.figures.suspected
        if study.findings is None
        else tuple(dict.fromkeys(one.kind for one in study.findings))
    )
    return Derived(
        morning.recording_id,
        study_plain(study),
        morning.conditions.get("outside"),
        morning.conditions.get("supply"),
        morning.plugged_in,
        kinds,
    )
