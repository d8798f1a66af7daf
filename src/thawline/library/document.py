"""All that a recording says of itself but its samples, as plain data for JSON, and back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, fields
from typing import Any

import numpy as np

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

_SAMPLES = ("t", "values")


def plain(value: object) -> object:
    """Turn a number of NumPy's into Python's own, for ``json.dumps``.

    Parameters
    ----------
    value : object
        What JSON does not know.

    Returns
    -------
    object
        The same value in a type that it knows.

    Raises
    ------
    TypeError
        If there is no such type.
    """
    if isinstance(value, np.generic):
        number: object = value.item()
        return number
    raise TypeError(f"a {type(value).__name__} cannot be kept in a library")


def _accuracy(kept: Mapping[str, Any] | None) -> Accuracy | None:
    return None if kept is None else Accuracy(**kept)


def _source(kept: Mapping[str, Any]) -> SignalSource:
    changed = {"accuracy": _accuracy(kept["accuracy"]), "true_when": tuple(kept["true_when"])}
    return SignalSource(**{**kept, **changed})


def vehicle_from(kept: Mapping[str, Any]) -> Vehicle:
    """Make a vehicle from its plain data.

    Parameters
    ----------
    kept : mapping of str to Any
        What ``document`` made of it.

    Returns
    -------
    Vehicle
        The same vehicle.
    """
    changed = {
        "pack": Pack(**kept["pack"]),
        "drive_units": DriveUnits(**kept["drive_units"]),
        "limits": Limits(**kept["limits"]),
        "charger": Charger(**kept["charger"]),
        "cabin": Cabin(**kept["cabin"]),
        "coolant": Coolant(**kept["coolant"]),
        "road": Road(**kept.get("road", {})),  # recordings kept before have none
        "signals": {path: _source(source) for path, source in kept["signals"].items()},
        "warnings": tuple(kept["warnings"]),
    }
    return Vehicle(**{**kept, **changed})


def quality_from(kept: Mapping[str, Any]) -> Quality:
    """Make a log's quality from its plain data.

    Parameters
    ----------
    kept : mapping of str to Any
        What ``document`` made of it.

    Returns
    -------
    Quality
        The same quality.
    """
    changed = {
        "frames_left_out": dict(kept["frames_left_out"]),
        "clock_steps": tuple(ClockStep(**step) for step in kept["clock_steps"]),
        "warnings": tuple(kept["warnings"]),
    }
    return Quality(**{**kept, **changed})


def channel_from(kept: Mapping[str, Any], **samples: Any) -> Channel:
    """Make a channel from its plain data and its samples.

    Parameters
    ----------
    kept : mapping of str to Any
        What ``document`` made of it.
    **samples : ndarray of float64
        ``t`` [s] and ``values`` [unit].

    Returns
    -------
    Channel
        The same channel.
    """
    return Channel(**{**kept, "accuracy": _accuracy(kept["accuracy"]), **samples})


def gaps_from(kept: list[Mapping[str, Any]]) -> tuple[Gap, ...]:
    """Make gaps from their plain data.

    Parameters
    ----------
    kept : list of mapping of str to Any
        What ``document`` made of them.

    Returns
    -------
    tuple of Gap
        The same gaps.
    """
    return tuple(Gap(**gap) for gap in kept)


def document(recording: Recording) -> dict[str, Any]:
    """Turn all of a recording but its samples into plain data.

    Parameters
    ----------
    recording : Recording
        The recording.

    Returns
    -------
    dict of str to Any
        ``id``, ``starts_at``, ``duration_s``, ``vehicle``, ``gaps``, ``quality``, and
        ``channels`` and ``others``, lists in the recording's order.
    """
    vehicle = recording.vehicle
    quality = recording.quality
    return {
        "id": recording.id,
        "starts_at": recording.starts_at,
        "duration_s": recording.duration_s,
        "vehicle": {
            **{f.name: getattr(vehicle, f.name) for f in fields(vehicle)},
            **{
                name: asdict(getattr(vehicle, name))
                for name in ("pack", "drive_units", "limits", "charger", "cabin", "coolant", "road")
            },
            "signals": {path: asdict(source) for path, source in vehicle.signals.items()},
        },
        "gaps": [asdict(gap) for gap in recording.gaps],
        "quality": {
            **{f.name: getattr(quality, f.name) for f in fields(quality)},
            "frames_left_out": dict(quality.frames_left_out),
            "clock_steps": [asdict(step) for step in quality.clock_steps],
        },
        "channels": [_told(channel) for channel in recording.channels.values()],
        "others": [_told(channel) for channel in recording.others.values()],
    }


def _told(channel: Channel) -> dict[str, Any]:
    """Turn all of a channel but its samples into plain data."""
    told = {f.name: getattr(channel, f.name) for f in fields(channel) if f.name not in _SAMPLES}
    return {**told, "accuracy": None if channel.accuracy is None else asdict(channel.accuracy)}
