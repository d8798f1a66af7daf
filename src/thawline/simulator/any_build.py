"""Any car to simulate: one of the demo or a file, other drive units, faults with their places."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from thawline.errors import RequestError, did_you_mean
from thawline.simulator.build import Build, read_build
from thawline.simulator.demo import vehicle
from thawline.simulator.events import Fault
from thawline.simulator.layout import BusLayout
from thawline.simulator.tables import table

#: The invented cars that ship.
CARS = ("gannet", "petrel")
#: What a car cannot do without: above zero.
NEEDED = ("energy_kWh", "cells_in_series", "heat_capacity_kJ_per_K", "resistance_mOhm",
          "modules", "rated_kW", "warm_l_per_min", "hose_cells", "mass_kg")  # fmt: skip
#: Fields that may lie below zero end so.
BELOW_ZERO = ("_degC",)
#: Names of drive units by their number; more are counted.
NAMED = {1: ("Rear",), 2: ("Front", "Rear"), 3: ("Front", "RearLeft", "RearRight")}


def _check_number(name: str, value: float, file: str) -> None:
    lowest = -math.inf if name.endswith(BELOW_ZERO) else 0.0
    if math.isfinite(value) and value >= lowest and (value > 0.0 or _last(name) not in NEEDED):
        return
    wanted = "above 0" if _last(name) in NEEDED else "0 or more"
    wanted = "a number" if lowest < 0.0 else wanted
    raise RequestError(f"{name} (={value:g}) must be {wanted}", file=file, cure="correct it there")


def _last(name: str) -> str:
    return name.rpartition(".")[2]


def _check(part: Any, place: str, file: str) -> None:
    for field in fields(part):
        value, name = getattr(part, field.name), f"{place}{field.name}"
        if is_dataclass(value):
            _check(value, f"{name}.", file)
        elif isinstance(value, int | float) and not isinstance(value, bool):
            _check_number(name, float(value), file)
        elif isinstance(value, dict):
            for key, each in value.items():
                _check_number(f"{name}.{key}", float(each), file)


def checked_build(build: Build, file: str) -> Build:
    """See that a car can be.

    Parameters
    ----------
    build : Build
        The vehicle.
    file : str
        For messages.

    Returns
    -------
    Build
        The same.

    Raises
    ------
    RequestError
        If a figure cannot be, the chemistry is not known, or nothing can heat the pack.
    """
    _check(build, "", file)
    known = sorted({row["chemistry"] for row in table("chemistries.csv")})
    if build.pack.chemistry not in known:
        cure = did_you_mean(build.pack.chemistry, known) or f"it may be {' or '.join(known)}"
        raise RequestError(f"pack.chemistry (={build.pack.chemistry!r}) is not known", file=file,
                           cure=cure)  # fmt: skip
    if not build.name.strip() or not build.name.isprintable() or set(build.name) & set('/\\:"'):
        raise RequestError(f"name (={build.name!r}) cannot name a file", file=file,
                           cure="use letters and digits")  # fmt: skip
    positions = build.drive_units.positions
    if not positions or len(set(positions)) != len(positions):
        raise RequestError("drive_units.positions must name each drive unit once", file=file,
                           cure='write positions = ["Front", "Rear"]')  # fmt: skip
    return build


def any_build(text: str) -> tuple[Build, BusLayout | None]:
    """Find a car by its name, or read it.

    Parameters
    ----------
    text : str
        ``gannet``, ``petrel``, or the path of a TOML file such as those of the demo.

    Returns
    -------
    Build
        The vehicle.
    BusLayout or None
        Its bus; None for a file, whose bus is still to be laid out.

    Raises
    ------
    RequestError
        If there is no such car, or its file is at fault.
    """
    if text in CARS:
        return vehicle(text)
    path = Path(text)
    if path.suffix.lower() == ".toml" or path.is_file():
        return checked_build(read_build(path), path.name), None
    cure = did_you_mean(text, CARS) or f"it may be {' or '.join(CARS)}, or a file such as car.toml"
    raise RequestError(f"build (={text!r}) is not known", cure=cure)


def with_units(build: Build, count: int) -> Build:
    """Give a car so many drive units, each as those that it has.

    Parameters
    ----------
    build : Build
        The vehicle.
    count : int
        Drive units [1].

    Returns
    -------
    Build
        The vehicle with them; the heat that one makes stays.
    """
    names = NAMED.get(count) or tuple(f"Unit{i + 1}" for i in range(count))
    return replace(build, drive_units=replace(build.drive_units, positions=names))


def _places(kind: str, build: Build, layout: BusLayout) -> list[str]:
    """List where a fault of a kind can be; empty for kinds without a place."""
    if kind == "dead-heater":
        return list(build.cabin.heaters_W)
    if kind.startswith("module-"):
        return [str(i) for i in range(build.pack.modules)]
    if kind.endswith("-sensor") or kind.startswith("sensor-"):
        signals = [signal for message in layout.messages for signal in message.signals]
        return [one.path for one in signals if one.is_mapped and one.length > 1 and "." in one.path
                and not one.labels and not one.path.startswith("module.")]  # fmt: skip
    return []


def placed_fault(text: str, build: Build, layout: BusLayout, rng: np.random.Generator) -> Fault:
    """Read a fault, and draw its place where it needs one that is not given.

    Parameters
    ----------
    text : str
        ``KIND``, ``KIND=SIZE`` or ``KIND@PLACE=SIZE``.
    build : Build
        The vehicle.
    layout : BusLayout
        Its bus.
    rng : Generator
        Draws the place.

    Returns
    -------
    Fault
        The fault.

    Raises
    ------
    RequestError
        If there is no such fault or place, or the size is no number or cannot be.
    """
    head, _, size = text.partition("=")
    kind, _, where = head.partition("@")
    rows = {row["kind"]: row for row in table("faults.csv")}
    if kind not in rows:
        cure = did_you_mean(kind, rows) or f"it may be {', '.join(rows)}"
        raise RequestError(f"fault (={kind!r}) is not known", cure=cure)
    by = rows[kind]["sized_by"]
    try:
        value = float(size) if size else 1.0
    except ValueError:
        value = math.nan
    if not math.isfinite(value) or (by == "share" and not 0.0 <= value <= 1.0):
        wanted = "a share from 0 to 1" if by == "share" else "a number"
        raise RequestError(f"size (={size!r}) of {kind} must be {wanted}",
                           cure=f"write {kind}=0.5")  # fmt: skip
    places = _places(kind, build, layout)
    if kind == "weak-unit":
        places = ["", *build.drive_units.positions]
    if where and where not in places:
        cure = did_you_mean(where, places) or f"it may be {', '.join(filter(None, places))}"
        raise RequestError(f"place (={where!r}) of {kind} is not on {build.name}",
                           cure=cure if any(places) else f"{kind} needs none")  # fmt: skip
    if not where and places and "" not in places:
        where = str(rng.choice(places))
    if by == "size":
        return Fault(kind, size=value, where=where)
    return Fault(kind, share=value, where=where)


def placed_faults(
    texts: Sequence[str], build: Build, layout: BusLayout, seed: int
) -> tuple[Fault, ...]:
    """Read faults, with places from a seed.

    Parameters
    ----------
    texts : sequence of str
        As ``placed_fault`` takes them.
    build : Build
        The vehicle.
    layout : BusLayout
        Its bus.
    seed : int
        Of the places [1].

    Returns
    -------
    tuple of Fault
        The faults.

    Raises
    ------
    RequestError
        If one cannot be.
    """
    rng = np.random.default_rng([seed, 29])
    return tuple(placed_fault(text, build, layout, rng) for text in texts)
