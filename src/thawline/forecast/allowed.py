"""What a pack allows by temperature, and what is usual where nobody has learned it."""

from __future__ import annotations

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
    slope_kW_per_K : float
        Power per kelvin above that, at first [kW/K].
    bend_kW_per_K2 : float
        How the slope grows [kW/K2].
    slope_sigma : float
        Standard deviation of the slope's logarithm [1].
    origin : str
        ``learned``, ``vehicle file`` or ``common practice``.
    mornings : int
        Mornings that it was learned from [1].
    """

    from_degC: float
    sd_K: float
    slope_kW_per_K: float
    bend_kW_per_K2: float
    slope_sigma: float
    origin: str
    mornings: int = 0

    def above_K(self, kW: float) -> float:
        """Tell how far above its beginning a power is allowed.

        Parameters
        ----------
        kW : float
            The power [kW].

        Returns
        -------
        float
            Temperature above ``from_degC``, with the middle slope [K].
        """
        a, b = self.slope_kW_per_K, self.bend_kW_per_K2
        if b < 1e-9:
            return kW / a
        return float((np.sqrt(a * a + 4.0 * b * max(kW, 0.0)) - a) / (2.0 * b))

    def allowed_kW(self, above_K: Array) -> Array:
        """Tell what is allowed above the beginning.

        Parameters
        ----------
        above_K : ndarray of float64
            Temperature above ``from_degC`` [K].

        Returns
        -------
        ndarray of float64
            Power, with the middle slope [kW].
        """
        above = np.maximum(above_K, 0.0)
        return np.asarray(self.slope_kW_per_K * above + self.bend_kW_per_K2 * above**2)


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
    """

    regeneration: TemperatureLimit | None
    charging: TemperatureLimit | None
    heat_until_degC: float | None
    heat_until_sd_K: float
    heat_kW: float | None
    flow_share: float | None
    mornings: int


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
    slope = setting("slope_per_kWh") * vehicle.pack.usable_energy_kWh
    if stated is not None:
        return TemperatureLimit(
            stated, setting("stated_K"), slope, 0.0, setting("slope_sigma"), "vehicle file"
        )
    return TemperatureLimit(
        setting(f"{what}_from_degC"),
        setting(f"{what}_usual_K"),
        slope,
        0.0,
        setting("slope_sigma"),
        "common practice",
    )
