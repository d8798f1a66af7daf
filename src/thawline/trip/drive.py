"""Drive a trace with many cars that could be this one, and account for every kilowatt-hour.

The account is kept twice: out of the cells by current and rest voltage, and in lines by what
the road, the air, the drive, the brakes, the cabin and the cells took. What drag and motion
take is integrated exactly where the forces are taken at the middle of a step, so the two differ
a little, and the difference is told.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.errors import RequestError
from thawline.physics.air import air_density_kg_per_m3
from thawline.physics.constants import constants
from thawline.physics.roadload import drag_work_J, road_load_N, road_power_kW, rolling_at
from thawline.trip.begin import Begin, check_begin
from thawline.trip.car import TripCar, draw_cars
from thawline.trip.notes import notes_on
from thawline.trip.settings import setting
from thawline.trip.spread import spread_of
from thawline.trip.step import State, cabin_power_kW, from_pack, next_state
from thawline.trip.trace import Trace
from thawline.trip.trip import LINES, Course, Trip

Array = NDArray[np.float64]
#: Joules in a kilowatt-hour, kilojoules in one.
JOULES, KILOJOULES = 3.6e6, 3.6e3


@dataclass(frozen=True, slots=True)
class _Road:
    """The trace in fine steps."""

    t: Array
    seconds: Array
    ends: Array  # speed at the points [m/s]
    slope: Array


def _fine(trace: Trace) -> _Road:
    most = setting("longest_step_s")
    parts = np.maximum(np.ceil(np.diff(trace.t) / most - 1e-9), 1.0).astype(int)
    share = np.concatenate([np.arange(n) / n for n in parts])
    first = np.repeat(np.arange(len(parts)), parts)
    t = np.append(trace.t[first] + share * np.diff(trace.t)[first], trace.t[-1])
    speed = np.interp(t, trace.t, trace.speed_km_per_h) / 3.6
    slope = np.arctan(trace.slope_percent[first] / 100.0)
    return _Road(t, np.diff(t), speed, slope)


def _row(value: float | Array | None, otherwise: float | Array, members: int) -> Array:
    given = otherwise if value is None else value
    return np.broadcast_to(np.asarray(given, dtype=np.float64), (members,)).copy()


def _mechanics(
    road: _Road, drawn: dict[str, Array], outside: Array
) -> tuple[Array, dict[str, Array]]:
    """Give the power at the wheels (n, k), and the work of each part (k,) [kWh]."""
    v = 0.5 * (road.ends[1:] + road.ends[:-1])
    gain = np.diff(road.ends) / road.seconds
    air, mass = air_density_kg_per_m3(outside), drawn["mass"]
    rolling = rolling_at(drawn["rolling"], outside)
    inert = gain * (1.0 + setting("rotating"))
    force = road_load_N(
        3.6 * v[:, None], mass, rolling, drawn["drag-area"], air, road.slope[:, None],
        inert[:, None],
    )  # fmt: skip
    metres = v * road.seconds
    weight = mass * constants()["gravity"]
    drag = drag_work_J(1.0, 1.0, road.ends[:-1], road.ends[1:], road.seconds).sum()
    squares = 0.5 * (1.0 + setting("rotating")) * (road.ends[-1] ** 2 - road.ends[0] ** 2)
    work = {
        "aero": drag * air * drawn["drag-area"],
        "rolling": weight * rolling * float(metres @ np.cos(road.slope)),
        "gradient": weight * float(metres @ np.sin(road.slope)),
        "motion": mass * squares,
    }
    return road_power_kW(force, 3.6 * v[:, None]), {k: w / JOULES for k, w in work.items()}


def first_trip(
    car: TripCar,
    trace: Trace,
    begin: Begin,
    *,
    price_per_kWh: float = 0.0,
    members: int | None = None,
    seed: int | None = None,
) -> Trip:
    """Drive a trace.

    Parameters
    ----------
    car : TripCar
        The car.
    trace : Trace
        The road.
    begin : Begin
        How warm it begins.
    price_per_kWh : float
        What a kilowatt-hour from the supply costs [currency/kWh].
    members : int, optional
        Cars to compute it for; 1: the most probable one [1].
    seed : int, optional
        Start of the random numbers: the same gives the same cars [1].

    Returns
    -------
    Trip
        Where the energy went.

    Raises
    ------
    RequestError
        If the beginning cannot be, or there is no member.
    """
    count = int(setting("members")) if members is None else members
    if count < 1:
        raise RequestError(f"members (={count}) must be at least 1", cure="ask for one or more")
    check_begin(begin, count)
    drawn = draw_cars(car, count, int(setting("seed")) if seed is None else seed)
    outside = _row(begin.outside_degC, 0.0, count)
    pack = _row(begin.pack_degC, 0.0, count)
    cabin = _row(begin.cabin_degC, outside, count)
    state = State(pack, _row(begin.coldest_degC, pack, count), cabin, cabin)
    road = _fine(trace)
    wheels, sums = _mechanics(road, drawn, outside)
    for line in (*LINES[4:], "cells", "gross", "regenerated", "could"):
        sums[line] = np.zeros(count)
    courses = np.zeros((3, len(road.seconds), count))
    fade = _fade(0.5 * (road.ends[1:] + road.ends[:-1]))
    for i, seconds in enumerate(road.seconds.tolist()):
        limit = _limit(car, drawn, state.coldest)
        courses[:, i] = state.coldest, limit, state.cabin
        state = _drive(car, drawn, begin, state, outside, wheels[i], fade[i], limit, seconds, sums)
    return _told(car, trace, begin, price_per_kWh, drawn, sums, state, road.t[:-1], courses)


def _fade(v: Array) -> Array:
    low, high = setting("fade_from_km_per_h") / 3.6, setting("fade_to_km_per_h") / 3.6
    return np.asarray(np.clip((v - low) / (high - low), 0.0, 1.0))


def _limit(car: TripCar, drawn: dict[str, Array], coldest: Array) -> Array:
    above = coldest - drawn["limit-from"]
    allowed = car.regeneration.allowed_kW(np.maximum(above, 0.0), drawn["limit-off"])
    return np.asarray(np.where(above > 0.0, np.minimum(allowed, drawn["regeneration"]), 0.0))


def _drive(car: TripCar, drawn: dict[str, Array], begin: Begin, state: State, outside: Array,
           wheels: Array, fade: float, limit: Array, seconds: float,
           sums: dict[str, Array]) -> State:  # fmt: skip
    """Step all cars, and add to the sums [kWh]."""
    share = drawn["drive-efficiency"]
    forward, braking = np.maximum(wheels, 0.0), np.maximum(-wheels, 0.0)
    could = np.minimum(braking * share * fade, drawn["regeneration"])
    back = np.minimum(could, limit)
    taken, by_motor = forward / share, back / share
    heating = cabin_power_kW(drawn, state, outside, begin.cabin_wish_degC)
    gives = from_pack(car.volts, drawn["resistance"], state.pack,
                      taken - back + heating + drawn["auxiliaries"])  # fmt: skip
    hours = seconds / KILOJOULES
    for line, kW in (
        ("drive-losses", taken - forward + by_motor - back),
        ("friction-brakes", braking - by_motor),
        ("cabin", heating),
        ("auxiliaries", drawn["auxiliaries"]),
        ("cell-resistance", gives.heat_kW),
        ("not-delivered", -gives.lacking_kW),
        ("cells", gives.out_of_cells_kW),
        ("gross", np.maximum(gives.out_of_cells_kW, 0.0)),
        ("regenerated", back),
        ("could", could),
    ):
        sums[line] += kW * hours
    return next_state(drawn, state, outside, gives.heat_kW, heating, seconds)


def _told(car: TripCar, trace: Trace, begin: Begin, price: float, drawn: dict[str, Array],
          sums: dict[str, Array], state: State, t: Array, courses: Array) -> Trip:  # fmt: skip
    taken, km = sums["cells"], trace.km
    gross = sums["gross"]
    by_lines = np.sum([sums[line] for line in LINES], axis=0)
    figures = {
        **{line: sums[line] for line in LINES},
        "mass": drawn["mass"],
        "taken": taken,
        "regenerated": sums["regenerated"],
        "could_regenerate": sums["could"],
        "regeneration_share": sums["regenerated"] / np.maximum(gross, 1e-9),
        "kWh_per_100km": 100.0 * taken / km,
        "range_km": car.usable_energy_kWh * km / np.maximum(taken, 1e-9),
        "money": price * taken / car.charger_efficiency,
        "coldest": state.coldest,
        "pack": state.pack,
        "cabin_degC": state.cabin,
    }
    cuts = np.quantile(courses, (0.1, 0.5, 0.9), axis=2)  # (3 cuts, 3 courses, n)
    spread = {name: spread_of(values) for name, values in figures.items()}
    return Trip(
        car=car.name,
        trace=trace,
        begin=begin,
        km=km,
        lines={line: spread[line] for line in LINES},
        taken=spread["taken"],
        regenerated=spread["regenerated"],
        could_regenerate=spread["could_regenerate"],
        regeneration_share=spread["regeneration_share"],
        kWh_per_100km=spread["kWh_per_100km"],
        range_km=spread["range_km"],
        money=spread["money"],
        residual_share=float(np.max(np.abs(taken - by_lines) / np.maximum(gross, 1e-9))),
        ends_degC={
            "coldest": spread["coldest"], "pack": spread["pack"], "cabin": spread["cabin_degC"]
        },
        course=Course(t, *(cuts[:, which] for which in range(3))),
        members=figures,
        notes=notes_on(car, sums["not-delivered"]),
    )  # fmt: skip
