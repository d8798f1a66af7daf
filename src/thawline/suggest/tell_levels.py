"""Votes from unit and level alone: weak, but they need no particular morning."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from thawline.suggest.anchors import Anchors
from thawline.suggest.kinds import Reading
from thawline.suggest.pack import is_pack_voltage
from thawline.suggest.places import (
    CABIN_TARGET,
    CURRENT,
    FLOW,
    LOW_BATTERY,
    SPEED,
    SPEED_OF,
    TARGET_CHARGE,
    TORQUE_OF,
    VOLTAGE,
    supply_current,
    supply_voltage,
)
from thawline.suggest.supply import is_supply_voltage
from thawline.suggest.thresholds import threshold
from thawline.suggest.votes import Vote
from thawline.suggest.weights import weight

Readings = Mapping[str, Sequence[Reading]]


def tell_levels(anchors: Anchors, readings: Readings) -> Iterator[Vote]:
    """Say what units and levels alone tell; only of signals whose unit is stated.

    Parameters
    ----------
    anchors : Anchors
        What was found first.
    readings : mapping of str to sequence of Reading
        Readings by kind.

    Yields
    ------
    Vote
        What speaks for a signal.
    """
    said = {kind: [one for one in found if one.is_said] for kind, found in readings.items()}
    yield from _voltages(said["voltage"], anchors)
    yield from _currents(said["current"], anchors)
    yield from _only(said["flow"], FLOW, "flow_unit", "it is the only volume flow")
    yield from _speeds(said["velocity"], said["rotation"])
    for one in said["torque"]:
        if _moves(one):
            yield Vote(
                TORQUE_OF, one.key, weight("torque"), "it is a torque by its unit", "", one.unit
            )
    yield from _settings(said["temperature"], said["share"])


def _moves(one: Reading) -> bool:
    return float(np.nanmax(one.values) - np.nanmin(one.values)) > 2.0 * one.step


def _level(one: Reading) -> float:
    return float(np.nanmedian(one.values))


def _only(found: Sequence[Reading], path: str, name: str, because: str) -> Iterator[Vote]:
    moving = [one for one in found if _moves(one)] or list(found)
    for one in moving:
        value = weight(name) if len(moving) == 1 else 0.5
        yield Vote(path, one.key, value, because, f"{len(moving)} in that unit", one.unit)


def _voltages(voltages: Sequence[Reading], anchors: Anchors) -> Iterator[Vote]:
    packs = [one for one in voltages if is_pack_voltage(one) and _level(one) > 260.0]
    for one in packs:
        value = weight("level_pack_voltage") - 1.5 * (len(packs) - 1)
        if anchors.pair is None or anchors.pair.voltage.key == one.key:
            because = "a steady voltage of a pack's level"
            yield Vote(VOLTAGE, one.key, value, because, f"{_level(one):.0f} V", one.unit)
    others = [one for one in voltages if one not in packs]
    if anchors.supply is None:
        mains = [one for one in others if _is_mains(one)]
        for i, one in enumerate(mains[:3]):
            because = "a steady voltage of a mains level"
            value = weight("level_supply_voltage") - 1.0 * (len(mains) > 3)
            yield Vote(
                supply_voltage(i + 1), one.key, value, because, f"{_level(one):.0f} V", one.unit
            )
    low = [one for one in others if 9.0 < _level(one) < 16.5 and float(np.nanmin(one.values)) > 6.0]
    for one in low:
        value = weight("level_low_battery") - 2.0 * (len(low) - 1)
        because = "a voltage of 9 to 16 V"
        yield Vote(LOW_BATTERY, one.key, value, because, f"{_level(one):.1f} V", one.unit)


def _is_mains(one: Reading) -> bool:
    there = one.values[np.isfinite(one.values)]
    if not len(there):
        return False
    on = there > threshold("supply_low")
    return bool(on.mean() > 0.5 and np.median(there[on]) < 260.0) or is_supply_voltage(one)


def _currents(currents: Sequence[Reading], anchors: Anchors) -> Iterator[Vote]:
    if anchors.pair is not None:
        return
    supply = {one.key for one in (anchors.supply.currents if anchors.supply else ())}
    free = [one for one in currents if one.key not in supply and _moves(one)]
    both = [one for one in free if float(np.nanmin(one.values)) < -one.step]
    for one in both:
        value = weight("level_pack_current") - 1.5 * (len(both) - 1) + 1.0 * (len(free) == 1)
        because = "a current that runs against its sign, as no supply's does"
        evidence = f"{np.nanmin(one.values):.1f} to {np.nanmax(one.values):.1f} A"
        yield Vote(CURRENT, one.key, value, because, evidence, one.unit)
    drawn = [one for one in free if one not in both and anchors.supply is None]
    for i, one in enumerate(drawn[:3]):
        if len(drawn) == 1:
            because = "the only current that never runs backward"
            yield Vote(supply_current(i + 1), one.key, 1.5, because, "", one.unit)


def _speeds(velocities: Sequence[Reading], rotations: Sequence[Reading]) -> Iterator[Vote]:
    yield from _only(velocities, SPEED, "speed_unit", "it is the only speed")
    moving = [one for one in rotations if _moves(one)] or list(rotations)
    for one in moving:
        driven = any(_ratio(speed, one) for speed in velocities)
        value = weight("motor_speed") + weight("speed_ratio") * driven - 1.5 * (len(moving) > 2)
        because = "it turns in a fixed ratio to the car's speed" if driven else "a rotational speed"
        if driven or len(moving) <= 2:
            yield Vote(SPEED_OF, one.key, value, because, "", one.unit)


def _ratio(speed: Reading, turns: Reading) -> bool:
    """Tell whether a motor turns 30 to 200 times a minute for each km/h."""
    both = np.isfinite(speed.values) & np.isfinite(turns.values) & (np.abs(speed.values) > 3.0)
    if both.sum() < 30:
        return False
    ratios = np.abs(turns.values[both] / speed.values[both])
    middle = float(np.median(ratios))
    return bool(30.0 < middle < 200.0 and np.percentile(np.abs(ratios / middle - 1.0), 75) < 0.1)


def _settings(temperatures: Sequence[Reading], shares: Sequence[Reading]) -> Iterator[Vote]:
    steady = [one for one in temperatures if not _moves(one) and 15.0 <= _level(one) <= 28.0]
    for one in steady:
        if len(steady) == 1 and _level(one) % 0.5 < 0.01:
            because = "a constant that is usual for a cabin"
            evidence = f"{_level(one):g} °C"
            yield Vote(
                CABIN_TARGET, one.key, weight("target_steady") + 1.5, because, evidence, one.unit
            )
    goals = [one for one in shares if not _moves(one) and 50.0 <= _level(one) <= 100.0]
    for one in goals:
        if len(goals) == 1 and _level(one) % 5.0 < 0.01:
            because = "a constant that is usual for a charging target"
            evidence = f"{_level(one):g} %"
            yield Vote(
                TARGET_CHARGE, one.key, weight("target_steady") + 0.5, because, evidence, one.unit
            )
