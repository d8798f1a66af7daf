"""What a pack allows by temperature, and what is usual where nobody has learned it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.settings import setting
from thawline.vehicle.vehicle import Vehicle

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class TemperatureLimit:
    """A power that is allowed from a temperature on, and grows with it.

    Parameters
    ----------
    from_degC : float
        Coldest cell at which it leaves zero [degC].
    sd_K : float
        Standard deviation for a new morning [K].
    knots_K : tuple of float
        Temperatures above ``from_degC``, rising from 0 [K].
    knots_kW : tuple of float
        Power allowed there, never falling [kW].
    sigma : float
        Standard deviation of the power's logarithm [1].
    origin : str
        ``learned``, ``model`` (others of the model showed it), ``vehicle file`` or ``common
        practice``.
    mornings : int
        Mornings that it was learned from [1].
    """

    from_degC: float
    sd_K: float
    knots_K: tuple[float, ...]
    knots_kW: tuple[float, ...]
    sigma: float
    origin: str
    mornings: int = 0

    @property
    def is_shown(self) -> bool:
        """Whether mornings showed it, of this vehicle or of others of its model."""
        return self.origin in ("learned", "model")

    @property
    def surprise_share(self) -> float:
        """Share of mornings, or of cars, on which the threshold lies far from it [1]."""
        return setting("surprise_share" if self.is_shown else "usual_surprise_share")

    @property
    def wide_K(self) -> float:
        """Standard deviation of the threshold then [K]."""
        return float(np.hypot(self.sd_K, setting("surprise_K")))

    @property
    def slope_kW_per_K(self) -> float:
        """Mean slope over what is known [kW/K]."""
        return self.knots_kW[-1] / self.knots_K[-1]

    def _beyond(self, off: Array) -> Array:
        """Give the slope beyond what is known: like all of it and its last part."""
        run, rise = self.knots_K[-1] - self.knots_K[-2], self.knots_kW[-1] - self.knots_kW[-2]
        slope = (rise / run + self.slope_kW_per_K) / 2.0
        return np.asarray(slope * np.exp(max(self.sigma, setting("beyond_sigma")) * off))

    def above_K(self, kW: Array | float, off: Array | float = 0.0) -> Array:
        """Tell how far above its beginning a power is allowed.

        Parameters
        ----------
        kW : ndarray of float64 or float
            The power [kW].
        off : ndarray of float64 or float
            How far from the middle, in standard deviations of the logarithm [1].

        Returns
        -------
        ndarray of float64
            Temperature above ``from_degC`` [K].
        """
        deviation = np.asarray(off, dtype=np.float64)
        power = np.asarray(kW, dtype=np.float64) / np.exp(self.sigma * deviation)
        above = np.maximum(power - self.knots_kW[-1], 0.0) * np.exp(self.sigma * deviation)
        return np.asarray(
            np.interp(power, self.knots_kW, self.knots_K) + above / self._beyond(deviation)
        )

    def allowed_kW(self, above_K: Array | float, off: Array | float = 0.0) -> Array:
        """Tell what is allowed above the beginning.

        Parameters
        ----------
        above_K : ndarray of float64 or float
            Temperature above ``from_degC`` [K].
        off : ndarray of float64 or float
            How far from the middle, in standard deviations of the logarithm [1].

        Returns
        -------
        ndarray of float64
            Power [kW].
        """
        return self.curve(off)(np.asarray(above_K, dtype=np.float64))

    def curve(self, off: Array | float) -> Callable[[Array], Array]:
        """Give the curve of each member, to be asked again and again.

        Parameters
        ----------
        off : ndarray of float64 or float
            How far from the middle, in standard deviations of the logarithm [1].

        Returns
        -------
        callable
            Gives what is allowed [kW] above the beginning [K].
        """
        deviation = np.asarray(off, dtype=np.float64)
        steeper, beyond = np.exp(self.sigma * deviation), self._beyond(deviation)
        K, kW = np.asarray(self.knots_K), np.asarray(self.knots_kW)

        def allowed(above: Array) -> Array:
            known = np.interp(above, K, kW) * steeper
            return np.asarray(known + np.maximum(above - self.knots_K[-1], 0.0) * beyond)

        return allowed


@dataclass(frozen=True, slots=True)
class LearnedLimits:
    """What earlier mornings of a vehicle taught of its limits and habits.

    Parameters
    ----------
    regeneration, charging : TemperatureLimit or None
        None where no morning showed it.
    heat_until_degC : float or None
        Coldest cell at which heating stopped of itself [degC].
    heat_until_sd_K : float
        Its standard deviation for a new morning [K].
    heat_kW : float or None
        Usual heat [kW].
    flow_share : float or None
        Usual coolant flow while heating, over the reference [1].
    mornings : int
        Recordings that it was learned from [1].
    charges_first : float or None
        Share of the mornings that tell it on which heat yielded to charging [1].
    supply_kW : float or None
        The most that charging drew steadily from a supply [kW].
    """

    regeneration: TemperatureLimit | None
    charging: TemperatureLimit | None
    heat_until_degC: float | None
    heat_until_sd_K: float
    heat_kW: float | None
    flow_share: float | None
    mornings: int
    charges_first: float | None = None
    supply_kW: float | None = None


def usual_limit(vehicle: Vehicle, what: str) -> TemperatureLimit:
    """Give a limit that no morning has shown.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle.
    what : str
        ``regeneration`` or ``charging``.

    Returns
    -------
    TemperatureLimit
        As the vehicle file says, else by common practice and wider.
    """
    stated = {
        "regeneration": vehicle.limits.regeneration_from_degC,
        "charging": vehicle.limits.charging_from_degC,
    }[what]
    slope = setting(f"{what}_per_kWh") * vehicle.pack.usable_energy_kWh
    knots, sigma = ((0.0, 1.0), (0.0, slope)), setting("slope_sigma")
    if stated is not None:
        return TemperatureLimit(stated, setting("stated_K"), *knots, sigma, "vehicle file")
    begin, spread = setting(f"{what}_from_degC"), setting(f"{what}_usual_K")
    return TemperatureLimit(begin, spread, *knots, sigma, "common practice")
