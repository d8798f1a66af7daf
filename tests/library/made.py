"""Recordings made up for tests of the library, and what makes two of them equal."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
from hypothesis import strategies as st

from thawline.quantities import Accuracy
from thawline.recording.recording import Channel, ClockStep, Gap, Quality, Recording
from thawline.vehicle.vehicle import (
    Cabin,
    Charger,
    Coolant,
    DriveUnits,
    Limits,
    Pack,
    Road,
    SignalSource,
    Vehicle,
)

COLDEST = "Powertrain.TractionBattery.Temperature.Min"
VOLTAGE = "Powertrain.TractionBattery.CurrentVoltage"
CABLE = "Powertrain.TractionBattery.Charging.ChargingPort.Left.IsChargingCableConnected"


def a_morning(name: str = "gannet-20260117-0612-3f9a1c", seconds: int = 600) -> Recording:
    """A small recording with three channels on two clocks, a gap and a clock step."""
    t = np.arange(0.0, seconds, 1.0)
    fast = np.arange(0.0, seconds, 0.5)
    coldest = np.round((-12.0 + 0.02 * t) * 2.0) / 2.0
    return Recording(
        id=name,
        vehicle=Vehicle("Gannet", Pack(72.0), source='[vehicle]\nname = "Gannet"\n'),
        starts_at=1_768_630_320.25,
        duration_s=float(seconds - 1),
        channels={
            COLDEST: Channel(COLDEST, "degC", t, coldest, accuracy=Accuracy(0.5)),
            VOLTAGE: Channel(VOLTAGE, "V", fast, 346.0 + 0.001 * fast, source="Pack.U"),
            CABLE: Channel(CABLE, "", t, (t > 60.0).astype(np.float64), is_state=True),
        },
        gaps=(Gap(100.0, 130.0), Gap(400.0, 450.0)),
        quality=Quality(12_345, {"error": 3}, (ClockStep(300.0, -2.0),), 7, ("a warning",)),
    )


def named(recording: Recording, **changes: object) -> Recording:
    """The same recording with other fields."""
    return replace(recording, **changes)


def differences(one: Recording, other: Recording) -> list[str]:
    """What is not equal; arrays bit by bit, everything else by its own equality and type."""
    found = [
        field.name
        for field in fields(Recording)
        if field.name not in ("channels", "others")
        and getattr(one, field.name) != getattr(other, field.name)
    ]
    if list(one.channels) != list(other.channels) or list(one.others) != list(other.others):
        return [*found, "channels"]
    for path, channel in [*one.channels.items(), *one.others.items()]:
        twin = other.channels[path] if channel is one.channels.get(path) else other.others[path]
        for field in fields(Channel):
            mine, theirs = getattr(channel, field.name), getattr(twin, field.name)
            if isinstance(mine, np.ndarray):
                same = mine.dtype == theirs.dtype and mine.tobytes() == theirs.tobytes()
            else:
                same = mine == theirs or (mine != mine and theirs != theirs)
            if not same:
                found.append(f"{path} {field.name}")
    return found


numbers = st.floats(allow_nan=False)
finite = st.floats(allow_nan=False, allow_infinity=False)
seconds = st.floats(0.0, 1e6)
words = st.text(max_size=12)
maybe = st.none() | st.floats(1e-3, 1e4)
accuracies = st.none() | st.builds(Accuracy, st.floats(0, 1e3), st.floats(0, 1))


@st.composite
def channels(draw: st.DrawFn, path: str, clocks: list[np.ndarray]) -> Channel:
    """A channel on one of a few clocks."""
    t = draw(st.sampled_from(clocks))
    values = draw(st.lists(numbers, min_size=len(t), max_size=len(t)))
    return Channel(
        path,
        draw(words),
        t,
        np.array(values, dtype=np.float64),
        draw(st.booleans()),
        draw(finite),
        draw(finite),
        draw(seconds),
        draw(st.just(float("inf")) | seconds),
        draw(accuracies),
        draw(words),
    )


@st.composite
def vehicles(draw: st.DrawFn) -> Vehicle:
    """A vehicle with any of its optional parts."""
    sources = st.builds(
        SignalSource,
        words,
        words,
        st.none() | words,
        st.sampled_from([1.0, -1.0]),
        accuracies,
        st.none() | words,
        st.lists(finite | words, max_size=3).map(tuple),
        st.integers(0, 10_000),
    )
    return Vehicle(
        draw(words),
        draw(st.builds(Pack, finite, st.none() | st.integers(1, 500), maybe, maybe, words, maybe)),
        draw(st.builds(DriveUnits, st.none() | st.integers(0, 4), maybe, maybe)),
        draw(st.builds(Limits, maybe, maybe)),
        draw(st.builds(Charger, maybe, maybe)),
        draw(st.builds(Cabin, maybe)),
        draw(st.builds(Coolant, maybe, maybe)),
        draw(st.builds(Road, maybe, maybe, maybe, maybe, maybe)),
        draw(st.dictionaries(words, sources, max_size=3)),
        draw(st.none() | words),
        draw(st.text(max_size=80)),
        draw(words),
        draw(st.lists(words, max_size=2).map(tuple)),
    )


@st.composite
def recordings(draw: st.DrawFn) -> Recording:
    """Any recording that the contract allows, empty channels and odd texts included."""
    clocks = [
        np.sort(np.array(times, dtype=np.float64))
        for times in draw(st.lists(st.lists(seconds, max_size=9), min_size=1, max_size=3))
    ]
    paths = draw(st.lists(st.text(min_size=1, max_size=20), max_size=5, unique=True))
    return Recording(
        id=draw(st.from_regex(r"[a-z]{1,8}-[0-9a-f]{6}", fullmatch=True)),
        vehicle=draw(vehicles()),
        starts_at=draw(finite),
        duration_s=draw(seconds),
        channels={path: draw(channels(path, clocks)) for path in paths},
        gaps=draw(st.lists(st.builds(Gap, seconds, seconds), max_size=3).map(tuple)),
        quality=draw(
            st.builds(
                Quality,
                st.integers(0, 2**53),
                st.dictionaries(words, st.integers(0, 2**31), max_size=3),
                st.lists(st.builds(ClockStep, seconds, finite), max_size=3).map(tuple),
                st.integers(0, 2**31),
                st.lists(words, max_size=3).map(tuple),
            )
        ),
        others={f"other {path}": draw(channels(f"other {path}", clocks)) for path in paths[:2]},
    )
