"""The car as a trip knows it: what its file states, else what is usual, each with its spread."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.allowed import TemperatureLimit, usual_limit
from thawline.physics.battery import (
    nominal_cell_V,
    resistance_at_mOhm,
    resistance_prior_mOhm,
)
from thawline.physics.constants import constants
from thawline.trip.settings import setting
from thawline.vehicle.vehicle import Vehicle
from thawline.warmup.prior import vehicle_belief
from thawline.warmup.settings import belief

Array = NDArray[np.float64]
#: The vehicle file states a resistance near this temperature [degC].
STATED_DEGC = 20.0


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure of the car and how surely it is known.

    Parameters
    ----------
    value : float
        The figure [unit].
    sigma : float
        Standard deviation of its logarithm [1].
    is_stated : bool
        Whether the vehicle file, or a recording, states it.
    """

    value: float
    sigma: float
    is_stated: bool = False


@dataclass(frozen=True, slots=True)
class TripCar:
    """A car to drive with.

    Parameters
    ----------
    name : str
        Its name.
    usable_energy_kWh : float
        Energy between empty and full [kWh].
    volts : float
        Voltage of the pack at rest [V].
    charger_efficiency : float
        Share of what is paid for that reaches the pack [1].
    figures : mapping of str to Figure
        ``mass`` [kg], ``drag-area`` [m2], ``rolling`` [1], ``drive-efficiency`` [1],
        ``regeneration`` [kW], ``auxiliaries`` [kW], ``resistance`` at 25 degC [ohm],
        ``heat-capacity`` [kJ/K], ``heat-loss`` [kW/K], ``coldest-lag`` [s], ``cabin-power`` [kW],
        ``cabin-air`` [kJ/K], ``cabin-loss`` [kW/K], ``cabin-mass`` [kJ/K],
        ``cabin-mass-conductance`` [kW/K], ``cabin-gain`` [1].
    regeneration : TemperatureLimit
        What the cells allow by the temperature of the coldest.
    """

    name: str
    usable_energy_kWh: float
    volts: float
    charger_efficiency: float
    figures: Mapping[str, Figure]
    regeneration: TemperatureLimit

    @property
    def assumed(self) -> tuple[str, ...]:
        """Figures that rest on common practice."""
        return tuple(name for name, figure in self.figures.items() if not figure.is_stated)


def _road(stated: float | None, name: str, usual: float) -> Figure:
    sigma = setting(f"{name}_sigma")
    if stated is None:
        return Figure(usual, sigma)
    return Figure(stated, sigma * setting("stated_share"), is_stated=True)


def _resistance(vehicle: Vehicle, volts: float) -> Figure:
    pack = vehicle.pack
    if pack.resistance_mOhm is not None:
        warm = constants()["activation_reference_degC"]
        ohm = float(resistance_at_mOhm(pack.resistance_mOhm, warm, STATED_DEGC)) / 1e3
        sigma = belief("pack.resistance").sigma * setting("stated_share")
        return Figure(ohm, sigma, is_stated=True)
    middle = resistance_prior_mOhm(pack.usable_energy_kWh, volts, pack.chemistry)[0]
    return Figure(middle / 1e3, belief("pack.resistance").sigma)


def _believed(name: str, factor: float = 1.0) -> Figure:
    known = belief(name)
    return Figure(known.value * factor, known.sigma)


def _pack(vehicle: Vehicle, name: str, stated: float | None, known: float | None) -> Figure:
    value, sigma = vehicle_belief(name, vehicle)
    if known is not None:
        return Figure(known, belief(f"{name}.stated").sigma, is_stated=True)
    return Figure(value, sigma, is_stated=stated is not None)


def trip_car(
    vehicle: Vehicle,
    regeneration: TemperatureLimit | None = None,
    *,
    heat_capacity_kJ_per_K: float | None = None,
    heat_loss_W_per_K: float | None = None,
) -> TripCar:
    """Put together what a trip needs to know of a car.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle; its ``[road]`` table states what driving takes.
    regeneration : TemperatureLimit, optional
        What recordings teach of regeneration; else what the file says, or what is usual.
    heat_capacity_kJ_per_K : float, optional
        The pack's heat capacity as a fit has it; else the file's, or what is usual [kJ/K].
    heat_loss_W_per_K : float, optional
        The pack's conductance to the air outside, likewise [W/K].

    Returns
    -------
    TripCar
        The car.
    """
    pack, road, energy = vehicle.pack, vehicle.road, vehicle.pack.usable_energy_kWh
    cells = pack.cells_in_series
    volts = setting("usual_V") if cells is None else cells * nominal_cell_V(pack.chemistry)
    mass = setting("mass_kg") + setting("mass_per_kWh") * energy
    efficiency = setting("drive_efficiency")
    kilo = None if heat_loss_W_per_K is None else heat_loss_W_per_K / 1e3
    loss = _pack(vehicle, "pack.loss", pack.heat_loss_W_per_K, kilo)
    figures = {
        "mass": _road(road.mass_kg, "mass", mass),
        "drag-area": _road(road.drag_area_m2, "drag_area", setting("drag_area_m2")),
        "rolling": _road(road.rolling, "rolling", setting("rolling")),
        "drive-efficiency": _road(road.drive_efficiency, "drive_efficiency", efficiency),
        "regeneration": _road(
            road.regeneration_kW, "regeneration", setting("regeneration_kW_per_kWh") * energy
        ),
        "auxiliaries": Figure(setting("auxiliaries_kW"), setting("auxiliaries_sigma")),
        "resistance": _resistance(vehicle, volts),
        "heat-capacity": _pack(
            vehicle, "pack.heat_capacity", pack.heat_capacity_kJ_per_K, heat_capacity_kJ_per_K
        ),
        "heat-loss": Figure(loss.value * setting("pack_airflow"), loss.sigma, loss.is_stated),
        "coldest-lag": Figure(setting("coldest_lag_s"), setting("coldest_lag_sigma")),
        "cabin-power": Figure(setting("cabin_kW"), 0.0),
        "cabin-air": _believed("cabin.air_capacity"),
        "cabin-loss": _believed("cabin.loss", setting("cabin_airflow") / 1e3),
        "cabin-mass": _believed("cabin.mass_capacity"),
        "cabin-mass-conductance": _believed("cabin.mass_conductance", 1e-3),
        "cabin-gain": _believed("cabin.gain"),
    }
    limit = regeneration or usual_limit(vehicle, "regeneration")
    charger = vehicle.charger.efficiency or setting("charger_efficiency")
    return TripCar(vehicle.name, energy, volts, charger, figures, limit)


def draw_cars(car: TripCar, members: int, seed: int) -> dict[str, Array]:
    """Draw cars that could be this one; the first is the most probable.

    Parameters
    ----------
    car : TripCar
        The car.
    members : int
        How many [1].
    seed : int
        Start of the random numbers [1].

    Returns
    -------
    dict of str to ndarray of float64, shape (k,)
        Figures, and ``limit-from`` [degC] and ``limit-off`` [standard deviations].
    """
    rng = np.random.default_rng(seed)
    drawn = {}
    for name, figure in car.figures.items():
        # every figure draws its numbers, whatever its spread: cars stay the same cars
        off = rng.standard_normal(members)
        off[0] = 0.0
        drawn[name] = figure.value * np.exp(figure.sigma * off)
    drawn["drive-efficiency"] = np.minimum(drawn["drive-efficiency"], 1.0)
    first, off = rng.standard_normal((2, members))
    first[0] = off[0] = 0.0
    drawn["limit-from"] = car.regeneration.from_degC + car.regeneration.sd_K * first
    drawn["limit-off"] = off
    return drawn
