"""Cars and requests to plan for, without any recording behind them."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from thawline.plan.asked import Asked, Supply, Wishes
from thawline.plan.by_time import ByTime, constant
from thawline.plan.car import PlanCar
from thawline.plan.know import know_car
from thawline.vehicle.vehicle import Charger, DriveUnits, Limits, Pack, Vehicle

NOW_S = 1_800_000_000.0
VEHICLE = Vehicle(
    "Gannet",
    Pack(72.0, 108, heat_capacity_kJ_per_K=510.0),
    DriveUnits(count=2, standstill_heat_kW=3.4),
    Limits(charging_from_degC=0.0, regeneration_from_degC=-1.0),
    Charger(rated_kW=11.0),
)


@cache
def sure_car() -> PlanCar:
    """A car that is known well, as after some mornings: priors with little doubt."""
    car = know_car(VEHICLE)
    return replace(
        car,
        covariance=car.covariance * 0.01,
        heating=replace(car.heating, sigma=0.03, until_degC=6.0, until_sd_K=0.2),
        cabin=replace(car.cabin, covariance=car.cabin.covariance * 0.02, sigma=0.03),
        charging=replace(car.charging, sd_K=0.1, sigma=0.06),
        regeneration=replace(car.regeneration, sd_K=0.1, sigma=0.06),
        mornings=3,
    )


def asked(hours: float = 3.0, **changes: object) -> Asked:
    """A plain request: -9 °C, 230 V and 32 A, 50 to 55 %, a warm cabin."""
    wishes = Wishes(
        (NOW_S + hours * 3600.0,),
        changes.pop("charge", 55.0),  # type: ignore[arg-type] # a percentage or None
        changes.pop("regeneration", None),  # type: ignore[arg-type] # a power or None
        changes.pop("cabin", None),  # type: ignore[arg-type] # a temperature or None
        bool(changes.pop("glass", False)),
    )
    amps = float(changes.pop("amps", 32.0))  # type: ignore[arg-type] # a current
    degC = float(changes.pop("outside", -9.0))  # type: ignore[arg-type] # a temperature
    usual = Asked(
        NOW_S, wishes, Supply(230.0, amps), constant(degC), constant(0.25), "crowns",
        charge_now_pct=50.0, pack_degC=degC,
    )  # fmt: skip
    return replace(usual, **changes)  # type: ignore[arg-type] # fields of the request


def two_prices(cheap_from_h: float, cheap_to_h: float) -> ByTime:
    """A price that is low for some hours."""
    times = (NOW_S, NOW_S + cheap_from_h * 3600.0, NOW_S + cheap_to_h * 3600.0)
    return ByTime(times, (0.30, 0.10, 0.30))
