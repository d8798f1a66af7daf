"""What was found on a recording, what could not be checked, and its figures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from thawline.story.story import Evidence


class Finding(NamedTuple):
    """Something worth looking into; a plain tuple of the first five serves as well.

    Parameters
    ----------
    kind : str
        What it is, a short name with hyphens.
    from_s : float or None
        Since when; None where it holds for the whole recording [s].
    confidence : float or None
        How sure it is, from 0 to 1 [1].
    because : str
        Why, in one sentence with its numbers.
    evidence : tuple of Evidence
        What it rests on: signal, value, and what was expected.
    next_check : str
        The cheapest check that would tell more.
    caution : str
        The caution that applies to that check.
    """

    kind: str
    from_s: float | None
    confidence: float | None
    because: str
    evidence: tuple[Evidence, ...] = ()
    next_check: str = ""
    caution: str = ""


class Unchecked(NamedTuple):
    """Something that could not be checked.

    Parameters
    ----------
    kind : str
        The kind of finding.
    because : str
        What is missing, in plain words.
    """

    kind: str
    because: str


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure of one recording that can be held against other mornings.

    Parameters
    ----------
    value, sigma : float
        The figure and its standard uncertainty [unit].
    unit : str
        Its unit.
    at : float
        What it goes with, such as a temperature or a power; see ``figures.csv`` [unit].
    """

    value: float
    sigma: float
    unit: str
    at: float = 0.0


@dataclass(frozen=True, slots=True)
class Figures:
    """Figures of one recording.

    Parameters
    ----------
    recording_id : str
        The recording.
    starts_at : float
        Its first sample, since 1970-01-01 UTC [s].
    outside_degC : float or None
        Mean of the air outside [degC].
    values : mapping of str to Figure
        Figures by name.
    suspected : tuple of str
        Kinds of findings of that recording: figures that these touch are no standard.
    """

    recording_id: str
    starts_at: float
    outside_degC: float | None
    values: Mapping[str, Figure] = field(default_factory=dict)
    suspected: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Checked:
    """What one check gave.

    Parameters
    ----------
    found : tuple of Finding
        What was found.
    unchecked : tuple of Unchecked
        What could not be checked.
    figures : mapping of str to Figure
        Figures for later mornings.
    """

    found: tuple[Finding, ...] = ()
    unchecked: tuple[Unchecked, ...] = ()
    figures: Mapping[str, Figure] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Findings:
    """All that was looked for.

    Parameters
    ----------
    found : tuple of Finding
        What was found, in order of time.
    unchecked : tuple of Unchecked
        What could not be checked, and why.
    figures : Figures
        Figures for later mornings.
    """

    found: tuple[Finding, ...]
    unchecked: tuple[Unchecked, ...]
    figures: Figures
