"""Where limits leave zero, member by member: as believed, and as the recording allows."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.allowed import TemperatureLimit
from thawline.forecast.settings import setting

Array = NDArray[np.float64]
#: Candidates from which a threshold above what is ruled out is picked [1].
CANDIDATES = 48


def thresholds(
    limit: TemperatureLimit,
    not_below: Array | None,
    rng: np.random.Generator,
    shape: tuple[int, ...],
    after: Array | None = None,
) -> Array:
    """Draw where a limit leaves zero, above what the recording rules out.

    Parameters
    ----------
    limit : TemperatureLimit
        What is believed.
    not_below : ndarray of float64 or None
        Temperature at which the limit is still zero; None if nothing is ruled out [degC].
    rng : Generator
        Random numbers.
    shape : tuple of int
        How many to draw [1].
    after : ndarray of float64, optional
        Where regeneration's limit leaves zero, which a limit of charging that no morning
        showed follows [degC].

    Returns
    -------
    ndarray of float64
        Temperatures [degC].
    """
    middle, sd = np.asarray(limit.from_degC), limit.sd_K
    if after is not None and not limit.is_shown:
        own, gap = 1.0 / limit.sd_K**2, 1.0 / setting("gap_sigma_K") ** 2
        middle = (own * limit.from_degC + gap * (after + setting("gap_K"))) / (own + gap)
        middle, sd = middle[..., None], float(1.0 / np.sqrt(own + gap))
    odd = rng.uniform(size=(*shape, CANDIDATES)) < limit.surprise_share
    spread = np.where(odd, np.hypot(sd, setting("surprise_K")), sd)
    drawn = middle + spread * rng.standard_normal((*shape, CANDIDATES))
    if not_below is None:
        return np.asarray(drawn[..., 0])
    return first_above(drawn, not_below, limit.sd_K, rng)


def begins_where(
    limit: TemperatureLimit, kW: float, coldest: Array, rng: np.random.Generator
) -> tuple[Array, Array]:
    """Draw where an open limit left zero and how steep it is: both must explain it as it is.

    Parameters
    ----------
    limit : TemperatureLimit
        What is believed of either.
    kW : float
        The limit now [kW].
    coldest : ndarray of float64, shape (k, m)
        The coldest cell of each member now [degC].
    rng : Generator
        Random numbers.

    Returns
    -------
    tuple of ndarray of float64, shape (k, m)
        Where it left zero [degC], and how far the power is from the middle, in standard
        deviations [1].
    """
    off = rng.standard_normal((*coldest.shape, CANDIDATES))
    begin = coldest[..., None] - limit.above_K(kW, off)
    away = (begin - limit.from_degC) ** 2
    share = limit.surprise_share
    density = np.zeros(off.shape)
    for sd, part in (
        (limit.sd_K, 1.0 - share),
        (limit.wide_K, share),
    ):
        density += part / sd * np.exp(-0.5 * away / sd**2)
    # a steeper limit passes a power sooner: less of its members stand there now
    log = np.log(density + 1e-12) - limit.sigma * off
    picked = np.argmax(log + rng.gumbel(size=off.shape), axis=-1)[..., None]
    found = (np.take_along_axis(each, picked, axis=-1)[..., 0] for each in (begin, off))
    return tuple(found)  # type: ignore[return-value] # two of them


def first_above(drawn: Array, not_below: Array, tail_K: float, rng: np.random.Generator) -> Array:
    """Pick the first candidate that is not ruled out, or one beyond if all are.

    Parameters
    ----------
    drawn : ndarray of float64, shape (..., c)
        Candidates [degC].
    not_below : ndarray of float64
        What is ruled out [degC].
    tail_K : float
        How far beyond, in the mean [K].
    rng : Generator
        Random numbers.

    Returns
    -------
    ndarray of float64
        One of each row [degC].
    """
    fits = drawn > not_below[..., None]
    first = np.argmax(fits, axis=-1)
    picked = np.take_along_axis(drawn, first[..., None], axis=-1)[..., 0]
    beyond = not_below + rng.exponential(tail_K, size=not_below.shape)
    return np.asarray(np.where(fits.any(axis=-1), picked, beyond))
