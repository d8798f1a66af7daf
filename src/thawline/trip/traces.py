"""Traces that need no table: two of our own, and published ones where a package has them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from importlib import import_module
from importlib.resources import as_file, files
from importlib.util import find_spec
from pathlib import Path

import numpy as np

from thawline.errors import RequestError, did_you_mean
from thawline.physics.constants import read_table
from thawline.trip.trace import Trace, read_trace

#: Invented roads of an invented town.
SHIPPED = ("skerrow-town", "coast-road")
#: Published cycles, where the package ``fastsim`` is installed.
PUBLISHED = ("udds", "hwfet")


@dataclass(frozen=True, slots=True)
class Leg:
    """A piece of road: change to a speed, hold it, go on.

    Parameters
    ----------
    to_km_per_h : float
        Speed to reach [km/h].
    gain_m_per_s2 : float
        How hard, either way [m/s2].
    hold_s : float
        How long it is held [s].
    slope_percent : float
        Rise over run on this leg [percent].
    """

    to_km_per_h: float
    gain_m_per_s2: float
    hold_s: float
    slope_percent: float


def drive_legs(name: str, legs: Sequence[Leg], step_s: float = 1.0) -> Trace:
    """Follow legs: steady acceleration to each speed, then that speed.

    Parameters
    ----------
    name : str
        Name of the trace.
    legs : sequence of Leg
        The legs, from standing.
    step_s : float
        Time between two points [s].

    Returns
    -------
    Trace
        Whole steps; each change of speed takes the next whole step.
    """
    speeds, slopes, now = [0.0], [legs[0].slope_percent], 0.0
    for leg in legs:
        change = abs(leg.to_km_per_h - now) / 3.6 / leg.gain_m_per_s2
        count = int(np.ceil(change / step_s - 1e-9))
        ramp = np.linspace(now, leg.to_km_per_h, count + 1)[1:].tolist() if count else []
        part = [*ramp, *[leg.to_km_per_h] * round(leg.hold_s / step_s)]
        speeds += part
        slopes += [leg.slope_percent] * len(part)
        now = leg.to_km_per_h
    t = step_s * np.arange(len(speeds), dtype=np.float64)
    return Trace(name, t, np.array(speeds), np.array(slopes), "legs of an invented road")


def legs_of(name: str) -> tuple[Leg, ...]:
    """Read the rules of one of our own traces.

    Parameters
    ----------
    name : str
        One of ``SHIPPED``.

    Returns
    -------
    tuple of Leg
        Its legs.
    """
    rows = read_table("thawline", f"demo/{name}.legs.csv")
    numbers = ("to_km_per_h", "gain_m_per_s2", "hold_s", "slope_percent")
    return tuple(Leg(*(float(row[key]) for key in numbers)) for row in rows)


def shipped_trace(name: str) -> Trace:
    """Read one of our own traces.

    Parameters
    ----------
    name : str
        One of ``SHIPPED``.

    Returns
    -------
    Trace
        The trace.

    Raises
    ------
    RequestError
        If there is none of that name.
    """
    if name not in SHIPPED:
        known = f"there are {', '.join(SHIPPED)}, or give the path of a table"
        raise RequestError(f"the trip (={name!r}) is not known", cure=did_you_mean(name, SHIPPED)
                           or known)  # fmt: skip
    with as_file(files("thawline") / "demo" / f"{name}.csv") as path:
        return replace(read_trace(path), name=name, origin="an invented road near Skerrow")


def _published(name: str) -> Trace:
    if find_spec("fastsim") is None:
        raise RequestError(
            f"the published cycle {name} ships in the package fastsim, which is not installed",
            cure=f"install it, give a table of your own, or take {' or '.join(SHIPPED)}",
        )
    found = import_module("fastsim").Cycle.from_resource(f"{name}.csv")
    cycle = (found.to_dict if hasattr(found, "to_dict") else found.to_pydict)()
    t = np.asarray(cycle["time_seconds"], dtype=np.float64)
    v = np.asarray(cycle["speed_meters_per_second"], dtype=np.float64) * 3.6
    return Trace(name, t - t[0], v, np.zeros(len(t)), "as the package fastsim has it")


def find_trace(text: str) -> Trace:
    """Find a trace by its name, or read it.

    Parameters
    ----------
    text : str
        One of our own, a published cycle, or the path of a table.

    Returns
    -------
    Trace
        The trace.

    Raises
    ------
    RequestError
        If it is none of these.
    SourceError
        If the table is at fault.
    """
    if text in SHIPPED:
        return shipped_trace(text)
    if text.lower() in PUBLISHED:
        return _published(text.lower())
    if not Path(text).exists():
        return shipped_trace(text)
    return read_trace(Path(text))
