"""What other recordings of a vehicle taught of its limits, as the story may use it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class KnownLimit:
    """A power that a pack allows: the smaller of a curve by temperature and one by charge.

    Parameters
    ----------
    what : str
        ``charging`` or ``regeneration``.
    origin : str
        ``limit signal``, or ``achieved``: so much has flowed, a lower bound of what is allowed.
    against : str
        ``coldest cell``, ``mean of the pack`` or ``warmest cell``.
    degC, kW, sigma_kW : ndarray of float64, shape (n,)
        Temperature, rising [degC], the power, never falling, and its standard uncertainty [kW].
    from_degC, from_sigma_K : float or None
        Where it leaves zero [degC] and its standard uncertainty [K]; None where none shows it.
    charge_pct, charge_kW : ndarray of float64, shape (m,)
        State of charge, rising [percent], and the power that it leaves, never rising [kW]; may
        be empty.
    mornings : int
        Recordings that it comes from [1].
    """

    what: str
    origin: str
    against: str
    degC: Array
    kW: Array
    sigma_kW: Array
    from_degC: float | None
    from_sigma_K: float | None
    charge_pct: Array
    charge_kW: Array
    mornings: int

    def at(self, degC: Array, charge_pct: Array | None = None) -> tuple[Array, Array]:
        """Read the curves.

        Parameters
        ----------
        degC : ndarray of float64, shape (n,)
            Temperature of what ``against`` says [degC].
        charge_pct : ndarray of float64, shape (n,), optional
            State of charge; NaN holds nothing back [percent].

        Returns
        -------
        kW, sigma_kW : ndarray of float64, shape (n,)
            Power and its standard uncertainty; NaN outside the temperatures that were recorded,
            zero below where the limit leaves zero [kW].
        """
        kW = np.interp(degC, self.degC, self.kW, left=np.nan, right=np.nan)
        sigma = np.interp(degC, self.degC, self.sigma_kW, left=np.nan, right=np.nan)
        if self.from_degC is not None:
            shut = degC < self.from_degC
            kW = np.where(shut, 0.0, kW)
            sure = self.from_degC - 2.0 * (self.from_sigma_K or 0.0)
            first = float(self.sigma_kW[0]) if len(self.sigma_kW) else 0.0
            sigma = np.where(shut, np.where(degC < sure, 0.0, first), sigma)
        if charge_pct is not None and len(self.charge_pct):
            left = np.interp(charge_pct, self.charge_pct, self.charge_kW)
            kW = np.where(np.isnan(charge_pct), kW, np.minimum(kW, left))
        return np.asarray(kW), np.asarray(sigma)


@dataclass(frozen=True, slots=True)
class KnownLimits:
    """What other recordings of a vehicle taught of its limits.

    Parameters
    ----------
    charging, regeneration : KnownLimit or None
        What the pack allows; None where nothing tells it.
    recordings : tuple of str
        The recordings.
    """

    charging: KnownLimit | None
    regeneration: KnownLimit | None
    recordings: tuple[str, ...]
