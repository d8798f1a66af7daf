r"""Learn across mornings.

Each morning's posterior is its prior and its readings; the readings alone are
:math:`F_j = \Lambda_j - \Lambda_{0j}`. Together with what the vehicle file says,

.. math:: \Lambda = \Lambda_0 + \sum_j (I + F_j B)^{-1} F_j,\quad
          \Lambda m = \Lambda_0 m_0 + \sum_j (I + F_j B)^{-1} F_j \hat\theta_j,

where B is how far parameters differ between mornings; B is added once more for the morning to
come. Where mornings are further apart than their fits and B allow, B is doubled until they are
not. :math:`F_j \hat\theta_j = \Lambda_j m_j - \Lambda_{0j} m_{0j}` needs no inverse of
:math:`F_j`, which has none where the readings are blind.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from thawline.warmup.information import told
from thawline.warmup.prior import Prior
from thawline.warmup.settings import setting
from thawline.warmup.warmup import Fitted, WarmUp

Array = NDArray[np.float64]


def _between(name: str) -> float:
    if name.endswith(("heat_capacity", "air_capacity", "mass_capacity", "gain")):
        return setting("between_mornings_fixed")
    if name.endswith("loss"):
        return setting("between_mornings_loss")
    if "noise" in name:
        return setting("between_mornings_noise")
    return setting("between_mornings_other")


def between_mornings(names: Sequence[str]) -> Array:
    """Say how far parameters usually differ from one morning to the next.

    Parameters
    ----------
    names : sequence of str
        Parameters.

    Returns
    -------
    ndarray of float64, shape (p,)
        Variances, of the logarithm where a parameter is positive [1].
    """
    return np.array([_between(name) ** 2 for name in names], dtype=np.float64)


def readings_of(fits: Sequence[Fitted], names: Sequence[str]) -> tuple[Array, Array]:
    """Add up what the readings of mornings tell, the priors of their fits taken out.

    Parameters
    ----------
    fits : sequence of Fitted
        Fits of mornings of one vehicle.
    names : sequence of str
        Parameters, in the order of what is given.

    Returns
    -------
    information : ndarray of float64, shape (p, p)
        Information of the readings on what the mornings share [1].
    pull : ndarray of float64, shape (p,)
        That information times its most probable values [1].
    """
    information, pull = np.zeros((len(names), len(names))), np.zeros(len(names))
    between = between_mornings(names)
    for fit in fits:
        at = [list(names).index(name) for name in fit.names]
        alone, pulled = _readings(fit, between[at])
        information[np.ix_(at, at)] += alone
        pull[at] += pulled
    return information, pull


def prior_from(warmups: Sequence[WarmUp]) -> Prior | None:
    """Turn earlier mornings into a prior for the next one.

    Parameters
    ----------
    warmups : sequence of WarmUp
        Fits of earlier mornings of one vehicle; the prior that each was fitted with is taken
        out again, so that nothing counts twice.

    Returns
    -------
    Prior or None
        What they taught; None if there are none.
    """
    if not warmups:
        return None
    fits = [fit for w in warmups for fit in (w.pack, w.cabin) if fit is not None]
    names = tuple(dict.fromkeys(name for fit in fits for name in fit.names))
    widened = 1.0
    while True:
        mean, covariance, between = _together(fits, names, widened)
        apart, freedom = _apart(fits, names, mean, between)
        if len(warmups) < 2 or apart <= freedom or widened >= setting("most_apart"):
            break
        widened *= 2.0
    lumps = Counter(lump for w in warmups if w.is_tested for lump in w.structure.lumps)
    tested = sum(1 for w in warmups if w.is_tested)
    kept = tuple(lump for lump, count in lumps.items() if 2 * count >= tested)
    return Prior(
        names,
        mean,
        np.asarray((covariance + covariance.T) / 2.0 + np.diag(between)),
        kept,
        len(warmups),
    )


def _together(
    fits: Sequence[Fitted], names: tuple[str, ...], widened: float
) -> tuple[Array, Array, Array]:
    """Add up mornings: mean and covariance of what they share, and the spread between them."""
    first = {name: fit for fit in reversed(fits) for name in fit.names}
    mean0 = np.array([first[n].prior_mean[first[n].names.index(n)] for n in names])
    widest = np.array([_widest(fits, name) for name in names])
    precision = np.diag(1.0 / widest)
    pull = precision @ mean0
    usual = np.array([_between(name) ** 2 for name in names], dtype=np.float64)
    between = np.asarray(np.minimum(widened * usual, widest), dtype=np.float64)
    for fit in fits:
        at = [names.index(name) for name in fit.names]
        told, pulled = _readings(fit, between[at])
        precision[np.ix_(at, at)] += told
        pull[at] += pulled
    covariance = np.linalg.inv(precision)
    return np.asarray(covariance @ pull), np.asarray(covariance), between


def _apart(
    fits: Sequence[Fitted], names: tuple[str, ...], mean: Array, between: Array
) -> tuple[float, float]:
    """Tell how far mornings are from what they share, and how far chance would put them."""
    apart = freedom = 0.0
    for fit in fits:
        at = [names.index(name) for name in fit.names]
        spread = fit.covariance + np.diag(between[at])
        off = fit.mean - mean[at]
        apart += float(off @ np.linalg.solve(spread, off))
        freedom += float(np.sum(told(fit.information, fit.prior_covariance)))
    return apart, max(freedom, 1.0)


def _widest(fits: Sequence[Fitted], name: str) -> float:
    """Give the variance of the least informed prior that a parameter was fitted with."""
    return max(
        float(fit.prior_covariance[i, i])
        for fit in fits
        for i in [fit.names.index(name) if name in fit.names else -1]
        if i >= 0
    )


def _readings(fit: Fitted, between: Array) -> tuple[Array, Array]:
    """Give what the readings of a morning tell, and how they pull."""
    posterior, before = np.linalg.inv(fit.covariance), np.linalg.inv(fit.prior_covariance)
    alone = posterior - before
    shrink = np.linalg.inv(np.eye(len(between)) + alone * between[None, :])
    told = shrink @ alone
    pulled = shrink @ (posterior @ fit.mean - before @ fit.prior_mean)
    return (told + told.T) / 2.0, pulled
