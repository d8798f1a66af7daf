"""Grow the model lump by lump, as long as a likelihood-ratio test asks for it.

References
----------
.. [1] P. Bacher, H. Madsen, Identifying suitable models for the heat dynamics of buildings,
   Energy and Buildings 43 (2011) 1511, doi:10.1016/j.enbuild.2011.02.005.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.warmup.case import Case, run_case
from thawline.warmup.prior import Prior, prior_for, vehicle_belief
from thawline.warmup.scoring import Peak, find_peak
from thawline.warmup.settings import setting
from thawline.warmup.structure import Structure, expected, larger, smallest, supported
from thawline.warmup.warmup import RatioTest

Array = NDArray[np.float64]
KILOJOULE_PER_KWH = 3600.0


@dataclass(frozen=True, slots=True)
class Chosen:
    """The model that was chosen.

    Parameters
    ----------
    structure : Structure
        Its lumps.
    peak : Peak
        Its most probable parameters.
    mean : ndarray of float64, shape (p,)
        Mean of the prior [1].
    covariance : ndarray of float64, shape (p, p)
        Its covariance [1].
    tests : tuple of RatioTest
        What was tried.
    tested : bool
        Whether the recording held enough heat to test anything.
    """

    structure: Structure
    peak: Peak
    mean: Array
    covariance: Array
    tests: tuple[RatioTest, ...]
    tested: bool


def fit_structure(
    case: Case, structure: Structure, prior: Prior | None, near: tuple[Structure, Array] | None
) -> tuple[Peak, Array, Array]:
    """Fit one model.

    Parameters
    ----------
    case : Case
        The recording.
    structure : Structure
        The model's lumps.
    prior : Prior or None
        What earlier mornings taught.
    near : tuple of Structure and ndarray of float64, or None
        A model that was fitted before and its parameters, to begin from [1].

    Returns
    -------
    Peak
        The most probable parameters.
    ndarray of float64, shape (p,)
        Mean of the prior [1].
    ndarray of float64, shape (p, p)
        Its covariance [1].
    """
    mean, covariance = prior_for(structure, case.vehicle, prior)
    start = mean.copy()
    if near is not None:
        before = dict(zip(near[0].parameters, near[1], strict=True))
        start = np.array(
            [before.get(n, m) for n, m in zip(structure.parameters, mean, strict=True)]
        )
    peak = find_peak(lambda z: run_case(case, structure, z), mean, covariance, start)
    return peak, mean, covariance


def excitation_K(case: Case) -> float:
    """Tell by how much the heat so far would have warmed the pack, by the vehicle file.

    Parameters
    ----------
    case : Case
        The recording.

    Returns
    -------
    float
        Temperature rise [K].
    """
    capacity = vehicle_belief("pack.heat_capacity", case.vehicle)[0]
    return case.grid.heat_so_far_kWh * KILOJOULE_PER_KWH / capacity


def choose(case: Case, prior: Prior | None, near: tuple[Structure, Array] | None = None) -> Chosen:
    """Fit the smallest model and grow it.

    Where the recording holds too little heat to test anything, the model is what earlier
    mornings supported, else what physics expects.

    Parameters
    ----------
    case : Case
        The recording.
    prior : Prior or None
        What earlier mornings taught.
    near : tuple of Structure and ndarray of float64, optional
        A model chosen earlier in this recording, to begin from [1].

    Returns
    -------
    Chosen
        The model, its parameters and the tests.
    """
    start = smallest(
        tuple(s.name for s in case.seen), has_flow=case.has_flow, heat=case.sources.origin
    )
    if prior is not None:
        start = supported(start, prior.lumps)
    if excitation_K(case) < setting("excited_K"):
        guess = start if prior is not None and prior.lumps else expected(start)
        peak, mean, covariance = fit_structure(case, guess, prior, near)
        return Chosen(guess, peak, mean, covariance, (), tested=False)
    now = start
    peak, mean, covariance = fit_structure(case, now, prior, near)
    tests: list[RatioTest] = []
    refused: set[str] = set()
    while True:
        best: tuple[float, str, Structure, tuple[Peak, Array, Array]] | None = None
        for added, candidate in larger(now, has_cabin=case.has_cabin).items():
            if added in refused:
                continue
            fitted = fit_structure(case, candidate, prior, (now, peak.z))
            gain = 2.0 * (fitted[0].log_likelihood - peak.log_likelihood)
            extra = len(candidate.parameters) - len(now.parameters)
            least = setting(f"chi2_{min(max(extra, 1), 3)}")
            if gain <= least:
                tests.append(RatioTest(added, gain, least, accepted=False))
                refused.add(added)
            elif best is None or gain > best[0]:
                best = (gain, added, candidate, fitted)
                threshold = least
        if best is None:
            return Chosen(now, peak, mean, covariance, tuple(tests), tested=True)
        tests.append(RatioTest(best[1], best[0], threshold, accepted=True))
        now, (peak, mean, covariance) = best[2], best[3]
