"""Leave out what measures nothing: counters, checksums, noise, constants."""

from __future__ import annotations

from thawline.suggest.candidate import Candidate
from thawline.suggest.thresholds import threshold

#: Changes that a counter makes at almost every sample [1].
ALWAYS = 0.9


def why_dull(candidate: Candidate) -> str:
    """Say why a candidate measures nothing.

    Parameters
    ----------
    candidate : Candidate
        The candidate.

    Returns
    -------
    str
        Why; empty if it may measure something.
    """
    habits = candidate.habits
    if habits.samples < 2:
        return "seen only once"
    if habits.changes > ALWAYS and habits.counts_up > threshold("counter_ups"):
        return "a counter: it goes up by one with every sample"
    if habits.roughness > threshold("noise_roughness") and habits.changes > ALWAYS:
        return "noise or a checksum: each sample is unrelated to the one before"
    return ""


def is_constant(candidate: Candidate) -> bool:
    """Tell whether a candidate never changes.

    Parameters
    ----------
    candidate : Candidate
        The candidate.

    Returns
    -------
    bool
        True if it does not.
    """
    return len(candidate.codes) == 1
