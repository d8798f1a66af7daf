r"""Weigh a deviation: standardised residual, confidence, earlier mornings.

A residual of z standard uncertainties speaks for a fault against none with a likelihood ratio
of at most :math:`e^{z^2/2}`; with the chance of a fault beforehand this is the confidence [1]_.

References
----------
.. [1] The bound is the likelihood ratio at the peak of a normal likelihood; Wilks, Ann. Math.
   Stat. 9 (1938) 60.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.findings.finding import Figure, Finding
from thawline.findings.kinds import kinds
from thawline.findings.settings import setting
from thawline.story.story import Evidence


def confidence(z: float) -> float:
    """Turn a standardised residual to a confidence.

    Parameters
    ----------
    z : float
        Residual over its standard uncertainty [1].

    Returns
    -------
    float
        Chance that it is a fault [1].
    """
    before = setting("chance_before")
    log_odds = min(z * z / 2.0, 40.0) + math.log(before / (1.0 - before))
    return min(1.0 / (1.0 + math.exp(-log_odds)), setting("most_confident"))


def finding(
    kind: str, from_s: float | None, z: float, because: str, evidence: Sequence[Evidence]
) -> Finding:
    """Put a finding together.

    Parameters
    ----------
    kind : str
        Its kind.
    from_s : float or None
        Since when [s].
    z : float
        Residual over its standard uncertainty [1].
    because : str
        Why.
    evidence : sequence of Evidence
        What it rests on.

    Returns
    -------
    Finding
        With the next check and the caution of its kind.
    """
    known = kinds()[kind]
    told = re.sub(r"(?<![\w.])-(?=\d)", "−", because)
    return Finding(
        kind, from_s, confidence(z), told, tuple(evidence), known.next_check, known.caution
    )


@dataclass(frozen=True, slots=True)
class Usual:
    """What earlier mornings had.

    Parameters
    ----------
    value, sigma : float
        Mean and its standard uncertainty, the scatter between mornings included [unit].
    mornings : int
        How many there are [1].
    at : float
        Mean of what the figure goes with [unit].
    """

    value: float
    sigma: float
    mornings: int
    at: float


def usual(before: Sequence[Figure], scatter: float) -> Usual | None:
    """Average a figure of earlier mornings.

    Parameters
    ----------
    before : sequence of Figure
        The figures.
    scatter : float
        Standard deviation between sound mornings [unit].

    Returns
    -------
    Usual or None
        Weighted mean; the uncertainty is that of a further morning; None without any.
    """
    if not before:
        return None
    weight = np.array([1.0 / (one.sigma**2 + scatter**2) for one in before])
    value = float(np.average([one.value for one in before], weights=weight))
    at = float(np.average([one.at for one in before], weights=weight))
    chi = float(np.sum(weight * (np.array([one.value for one in before]) - value) ** 2))
    wider = max(1.0, chi / max(len(before) - 1, 1))
    sigma = math.sqrt(wider / float(weight.sum()) + scatter**2)
    return Usual(value, sigma, len(before), at)


def step_at(values: NDArray[np.float64], least: int) -> tuple[int, float, float, float] | None:
    """Find where a series of blocks changes its mean.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        Means of blocks; NaN where nothing is known [unit].
    least : int
        Known blocks that each side must have [1].

    Returns
    -------
    tuple of int, float, float, float or None
        First block after the change, medians before and after, and a robust standard deviation
        about them; None where there are too few.
    """
    at = np.flatnonzero(~np.isnan(values))
    known = values[at]
    if len(known) < 2 * least:
        return None
    sums, count = np.cumsum(known), len(known)
    cut = np.arange(least, count - least + 1)
    before, after = sums[cut - 1] / cut, (sums[-1] - sums[cut - 1]) / (count - cut)
    gain = cut * (count - cut) / count * (after - before) ** 2
    best = int(cut[np.argmax(gain)])
    first, then = float(np.median(known[:best])), float(np.median(known[best:]))
    off = np.concatenate((known[:best] - first, known[best:] - then))
    spread = 1.4826 * float(np.median(np.abs(off)))
    return int(at[best]), first, then, spread
