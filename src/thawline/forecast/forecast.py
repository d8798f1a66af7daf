"""When each turning point will come."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from thawline.warmup.going_on import Kept

KINDS = (
    "regeneration-returns",
    "regeneration-at-kW",
    "coldest-cell-thaws",
    "charging-begins",
    "charger-at-full-power",
    "cabin-comfortable",
)


@dataclass(frozen=True, slots=True)
class PointAhead:
    """One turning point.

    Parameters
    ----------
    kind : str
        One of ``KINDS``.
    p10_s, p50_s, p90_s : float or None
        It comes before this with a chance of 10, 50, 90 %, since the recording's start; None
        where the chance is that it comes later than the look ahead reaches, or never [s].
    never : float
        Chance that it does not come within the look ahead [1].
    level_kW : float or None
        The power asked for, for ``regeneration-at-kW`` [kW].
    is_past : bool
        Whether it has come already; then the three times are the same.
    because : str
        What it hangs on, in one sentence with its numbers.
    times_s : ndarray of float64, shape (m,)
        The sample behind it; infinite where it does not come [s].
    """

    kind: str
    p10_s: float | None
    p50_s: float | None
    p90_s: float | None
    never: float
    level_kW: float | None
    is_past: bool
    because: str
    times_s: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Fan:
    """The coldest cell ahead, for a chart.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Times since the recording's start [s].
    p10_degC, p50_degC, p90_degC : ndarray of float64, shape (n,)
        Quantiles at each time [degC].
    """

    t: NDArray[np.float64]
    p10_degC: NDArray[np.float64]
    p50_degC: NDArray[np.float64]
    p90_degC: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Forecast:
    """When each turning point will come, as seen from an instant.

    Parameters
    ----------
    recording_id : str
        The recording.
    made_at_s : float
        No sample after this was used [s].
    until_s : float
        How far the look ahead reaches [s].
    verdict : str
        What to think of it, in one sentence.
    turning_points : tuple of PointAhead
        In the order of ``KINDS``; those that are past by their time.
    fan : Fan
        The coldest cell ahead.
    assumes : tuple of str
        What is taken for granted, in plain words.
    needs_fit : bool
        Whether the readings have left the fit behind, so that a new one is due.
    keeps_fit : bool
        Whether the car seems to have changed, so that no new fit should be made of it.
    kept : tuple of Kept or None
        Where the filters of pack and cabin stand, for the next forecast to go on from.
    """

    recording_id: str
    made_at_s: float
    until_s: float
    verdict: str
    turning_points: tuple[PointAhead, ...]
    fan: Fan
    assumes: tuple[str, ...]
    needs_fit: bool = False
    keeps_fit: bool = False
    kept: tuple[Kept | None, Kept | None] = field(default=(None, None), repr=False, compare=False)

    def alone(self) -> Forecast:
        """Give the same without where its filters stand, which takes a few megabytes.

        Returns
        -------
        Forecast
            The forecast.
        """
        return replace(self, kept=(None, None))
