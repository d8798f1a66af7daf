"""How the coldest cell rose with the heat: time and energy to each kelvin of a warm-up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thawline.compare.comparison import Array
from thawline.compare.sides import setting

HOUR_S = 3600.0
#: Fewest points that a line is laid through [1].
FEWEST = 4


@dataclass(frozen=True, slots=True)
class Curve:
    """Time and heat to each rise of the coldest cell, since heating began.

    Parameters
    ----------
    rises_K : ndarray of float64, shape (n,)
        Rises, each above the one before; the first is zero [K].
    times_s : ndarray of float64, shape (n,)
        When each was first reached [s].
    heats_kWh : ndarray of float64, shape (n,)
        Heat until then [kWh].
    """

    rises_K: Array
    times_s: Array
    heats_kWh: Array

    def time_s(self, rise_K: float) -> float:
        """Read when a rise was reached.

        Parameters
        ----------
        rise_K : float
            The rise [K].

        Returns
        -------
        float
            Time since heating began [s].
        """
        return float(np.interp(rise_K, self.rises_K, self.times_s))

    def heat_kWh(self, rise_K: float) -> float:
        """Read the heat until a rise was reached.

        Parameters
        ----------
        rise_K : float
            The rise [K].

        Returns
        -------
        float
            Heat since it began [kWh].
        """
        return float(np.interp(rise_K, self.rises_K, self.heats_kWh))

    def lag_s(self, rise_K: float) -> tuple[float, float]:
        """Find how long heat ran ahead of the coldest cell: coolant and drive units took it.

        Parameters
        ----------
        rise_K : float
            Until this rise [K].

        Returns
        -------
        lag_s, doubt_s : float
            Intercept of a line through the later part of the warm-up, and by how much it moves
            with the part that the line is laid through [s].
        """
        begins = setting("lag_from"), setting("lag_from_late")
        lags = [self._intercept_s(rise_K, begin) for begin in begins]
        known = [lag for lag in lags if lag is not None]
        if not known:
            return 0.0, self.time_s(rise_K) * setting("lag_unknown")
        return known[0], float(np.ptp(known)) / 2.0

    def _intercept_s(self, rise_K: float, begin: float) -> float | None:
        # on an even grid of rises: a sensor's steps then weigh by kelvins, not by samples
        grid = np.linspace(begin * rise_K, rise_K, int(setting("lag_points")))
        inside = (self.rises_K > begin * rise_K) & (self.rises_K <= rise_K)
        if np.count_nonzero(inside) < FEWEST:
            return None
        heats = np.interp(grid, self.rises_K, self.heats_kWh)
        at_zero = float(np.polyfit(grid, heats, 1)[1])
        whole_s, whole_kWh = self.time_s(rise_K), self.heat_kWh(rise_K)
        lag = at_zero / whole_kWh * whole_s
        return float(np.clip(lag, 0.0, setting("lag_most") * whole_s))


def curve_of(t: Array, coldest: Array, power: Array, low: float, rise_K: float) -> Curve | None:
    """Lay the curve of a warm-up.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Clock from the beginning of heating to the turning point [s].
    coldest : ndarray of float64, shape (n,)
        Coldest cell; NaN where unknown [degC].
    power : ndarray of float64, shape (n,)
        Heat; NaN where unknown, bridged by its mean [kW].
    low : float
        Where the coldest cell began [degC].
    rise_K : float
        Its rise until the turning point [K].

    Returns
    -------
    Curve or None
        It ends at ``rise_K``; None where too little is known.
    """
    if len(t) < FEWEST or np.all(np.isnan(power)):
        return None
    step = float(np.median(np.diff(t)))
    bridged = np.where(np.isnan(power), np.nanmean(power), power)
    since = t - t[0]
    heats = np.concatenate(([0.0], np.cumsum(bridged[:-1]) * step / HOUR_S))
    rises = np.fmax.accumulate(np.nan_to_num(coldest - low, nan=-np.inf))
    new = np.flatnonzero(np.diff(np.concatenate(([0.0], rises))) > 0.0)
    new = new[(rises[new] > 0.0) & (rises[new] < rise_K)]
    return Curve(
        np.concatenate(([0.0], rises[new], [rise_K])),
        np.concatenate(([0.0], since[new], [since[-1]])),
        np.concatenate(([0.0], heats[new], [heats[-1]])),
    )
