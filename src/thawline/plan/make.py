"""Make a plan."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from thawline.errors import RequestError
from thawline.plan.alternatives import alternatives, garage_bench, simple_programmes
from thawline.plan.asked import Asked
from thawline.plan.bench import lay_out
from thawline.plan.binding import what_binds
from thawline.plan.car import PlanCar
from thawline.plan.nearest import nearest
from thawline.plan.options import course_of, option_of
from thawline.plan.plan import Option, Plan, Solved, WishCost
from thawline.plan.road import make_roads
from thawline.plan.secure import Secured, secure
from thawline.plan.settings import setting
from thawline.plan.steps import steps_to_take
from thawline.plan.trial import Bench
from thawline.plan.wish_costs import price_wishes

if TYPE_CHECKING:  # only plans with a first trip pay for it
    from thawline.trip.trace import Trace

Progress = Callable[[str, int, int], None]


def make_plan(
    car: PlanCar,
    asked: Asked,
    trip: tuple[str, Trace] | None = None,
    *,
    is_quick: bool = False,
    progress: Progress | None = None,
) -> Plan:
    """Make a plan.

    Parameters
    ----------
    car : PlanCar
        The car.
    asked : Asked
        What is asked for.
    trip : tuple of str and Trace, optional
        Name and speeds of the first trip, for the alternatives.
    is_quick : bool
        Whether to leave out what the wishes cost.
    progress : callable, optional
        Called with what is being done, how much of it is done, and how much there is.

    Returns
    -------
    Plan
        The plan; where not all wishes can be met, the nearest that can be done.

    Raises
    ------
    RequestError
        If what is asked for makes no sense.
    """
    _check(asked)
    bench = lay_out(car, asked)
    simple = [programme for _, programme in simple_programmes(bench).values()]
    secured = secure(bench, simple, _told(progress, "planning"))
    best, is_possible = secured.best, secured.best.chance >= asked.chance
    roads = None if trip is None else make_roads(bench, trip[1], trip[0])
    road = None if roads is None else roads.after(bench, best)
    others = list(alternatives(bench, roads))
    if asked.garage_degC is not None:
        others.append(_in_a_garage(bench, asked.garage_degC))
    costs: tuple[WishCost, ...] = ()
    if is_possible and not is_quick:
        costs = price_wishes(bench, secured, _told(progress, "pricing the wishes"))
    return Plan(
        car.vehicle.name,
        asked,
        is_possible,
        steps_to_take(bench, best),
        option_of(bench, best, "plan", "the plan", road),
        course_of(bench, best),
        tuple(others),
        what_binds(bench, best),
        costs,
        None if is_possible else nearest(bench, best),
        _solved(bench, secured),
        car.mornings,
        (*car.assumes, *_assumed(car, asked, bench)),
    )


def _told(progress: Progress | None, what: str) -> Callable[[int, int], None] | None:
    if progress is None:
        return None
    return lambda done, whole: progress(what, done, whole)


def _in_a_garage(bench: Bench, degC: float) -> Option:
    inside = garage_bench(bench, degC)
    simple = [programme for _, programme in simple_programmes(inside).values()]
    best = secure(inside, simple).best
    said = "the car soaked in the garage's air; heating of the garage itself is not counted"
    return option_of(inside, best, "garage", f"the same from a garage at {degC:g} °C", None, said)


def _solved(bench: Bench, secured: Secured) -> Solved:
    found, gap = secured.found, None
    if found is not None and found.counts > 0.0:
        gap = max(found.counts - found.bound, 0.0) / found.counts
    seconds = 0.0 if found is None else found.seconds
    return Solved(secured.rounds, bench.members.count, gap, seconds, bench.clock.step_s)


def _assumed(car: PlanCar, asked: Asked, bench: Bench) -> tuple[str, ...]:
    said = []
    if asked.charge_now_pct is None:
        last = car.charge_last_pct
        said.append(
            "The state of charge now is not told: taken as 50 %."
            if last is None
            else f"The state of charge now is taken as {last:.0f} %, as the last recording ended."
        )
    if asked.pack_degC is None:
        said.append(
            f"The pack is soaked: as cold as the air outside now, {bench.clock.outside[0]:.1f} °C."
        )
    if asked.wishes.clear_glass:
        said.append(
            f"Cabin air holds {asked.wishes.humidity_pct:.0f} % relative humidity at its wished "
            "temperature; ice and snow outside are not counted."
        )
    said.append(f"A forecast of the air outside is off by {setting('outside_sd_K'):g} K or so.")
    said.append(
        "The car stays plugged in until it leaves, and stops charging at the wished charge."
    )
    said.append("A car that is asked for nothing sleeps, and takes nothing.")
    wish = asked.wishes.charge_pct
    if wish is not None and wish >= setting("nearly_full_pct"):
        said.append("Near full, cars take charging and regeneration back; that is not planned for.")
    return tuple(said)


def _check(asked: Asked) -> None:
    wishes, supply = asked.wishes, asked.supply
    ranges = (
        ("the wished charge", wishes.charge_pct, 0.0, 100.0, "%"),
        ("the charge now", asked.charge_now_pct, 0.0, 100.0, "%"),
        ("the wished regeneration", wishes.regeneration_kW, 0.0, 500.0, "kW"),
        ("the wished cabin temperature", wishes.cabin_degC, -10.0, 30.0, "°C"),
        ("the humidity of the cabin", wishes.humidity_pct, 1.0, 99.0, "%"),
        ("the temperature of the pack", asked.pack_degC, -45.0, 50.0, "°C"),
        ("the temperature to heat to", asked.heat_to_degC, -5.0, 30.0, "°C"),
        ("the garage's temperature", asked.garage_degC, -45.0, 50.0, "°C"),
        ("the supply's voltage", supply.volts, 90.0, 500.0, "V"),
        ("the supply's current", supply.amps, 6.0, 125.0, "A"),
        ("the chance", asked.chance, 0.5, 0.99, ""),
    )
    for what, value, low, high, unit in ranges:
        if value is not None and not low <= value <= high:
            raise RequestError(
                f"{what} (={value:g} {unit}".rstrip() + f") must be in [{low:g}, {high:g}] {unit}",
                cure="correct it",
            )
    if supply.phases not in (1, 2, 3):
        raise RequestError(
            f"the supply's phases (={supply.phases}) must be 1, 2 or 3", cure="correct it"
        )
    outside = np.array(asked.outside.values)
    if not np.all((outside >= -60.0) & (outside <= 50.0)):
        worst = float(outside[np.argmax(np.abs(outside))])
        raise RequestError(
            f"the air outside (={worst:g} °C) must be in [-60, 50] °C", cure="correct the forecast"
        )
    if not any((wishes.charge_pct is not None, wishes.regeneration_kW is not None,
                wishes.wants_cabin)):  # fmt: skip
        raise RequestError(
            "nothing is wished for",
            cure="give --charge, --regeneration, --cabin or --clear-glass",
        )
