"""The car as a plan knows it: model, limits, heat, charger, cabin; each with its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.allowed import TemperatureLimit
from thawline.vehicle.vehicle import Vehicle
from thawline.warmup.structure import Structure

Array = NDArray[np.float64]
#: A pack this near the end of its heating counts as heated [K].
LEAST_K = 0.5


@dataclass(frozen=True, slots=True)
class Heating:
    """How the car heats its pack.

    Parameters
    ----------
    full_kW : float
        Heat while it is far from its end [kW].
    sigma : float
        How surely, standard deviation of the logarithm [1].
    is_heater : bool
        Whether a heater in the coolant makes it; else drive units at standstill.
    until_degC : float
        Coldest cell at which it stops of itself [degC].
    until_sd_K : float
        How surely [K].
    below_K : tuple of float
        Distances below that end, falling to 0 [K].
    share : tuple of float
        Share of the full heat at each of them [1].
    flow_share : float
        Coolant flow while it heats, over the reference [1].
    """

    full_kW: float
    sigma: float
    is_heater: bool
    until_degC: float
    until_sd_K: float
    below_K: tuple[float, ...] = (1.0, 0.0)
    share: tuple[float, ...] = (1.0, 1.0)
    flow_share: float = 1.0

    @property
    def width_K(self) -> float:
        """A pack this near the end of its heating counts as heated [K]."""
        return LEAST_K

    def share_at(self, below_K: Array) -> Array:
        """Find the share of the full heat near its end.

        Parameters
        ----------
        below_K : ndarray of float64
            Distance of the coldest cell below the end of heating [K].

        Returns
        -------
        ndarray of float64
            Share [1].
        """
        return np.asarray(np.interp(below_K, self.below_K[::-1], self.share[::-1]))


@dataclass(frozen=True, slots=True)
class CabinHeating:
    """How the car heats its cabin.

    Parameters
    ----------
    full_kW : float
        Power of a cold cabin's heating [kW].
    sigma : float
        How surely, standard deviation of the logarithm [1].
    mean : ndarray of float64, shape (p,)
        The cabin's model: logarithms of its parameters [1].
    covariance : ndarray of float64, shape (p, p)
        How surely [1].
    glass_share, glass_share_sd : float
        Glass between outside air and cabin air [1].
    glass_K_per_kW, glass_K_per_kW_sigma : float
        What heating blows onto the glass beside that [K/kW], and how surely (log) [1].
    glass_lag_s : float
        Time constant of the glass [s].
    glass_is_learned : bool
        Whether recordings of the glass taught it.
    """

    full_kW: float
    sigma: float
    mean: Array
    covariance: Array
    glass_share: float
    glass_share_sd: float
    glass_K_per_kW: float
    glass_K_per_kW_sigma: float
    glass_lag_s: float
    glass_is_learned: bool


@dataclass(frozen=True, slots=True)
class PlanCar:
    """A car to plan for.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle.
    structure : Structure
        Lumps of its model.
    mean : ndarray of float64, shape (p,)
        Parameters, as the fit works with them [1].
    covariance : ndarray of float64, shape (p, p)
        How surely [1].
    heating : Heating
        How it heats the pack.
    cabin : CabinHeating
        How it heats the cabin.
    charging, regeneration : TemperatureLimit
        What the cells allow by the temperature of the coldest.
    rated_kW : float or None
        Power that the charger takes at most; None: not known [kW].
    efficiency : float
        Share that passes the charger [1].
    base_kW : float
        Other loads while it is awake [kW].
    cell_heat_per_kW2 : float
        Heat in the cells near 0 degC per square of the pack's power [1/kW].
    charge_last_pct : float or None
        State of charge at the end of the latest recording [percent].
    mornings : int
        Recordings that taught it [1].
    assumes : tuple of str
        What is taken for granted, in plain words.
    """

    vehicle: Vehicle
    structure: Structure
    mean: Array
    covariance: Array
    heating: Heating
    cabin: CabinHeating
    charging: TemperatureLimit
    regeneration: TemperatureLimit
    rated_kW: float | None
    efficiency: float
    base_kW: float
    cell_heat_per_kW2: float
    charge_last_pct: float | None
    mornings: int
    assumes: tuple[str, ...] = ()
