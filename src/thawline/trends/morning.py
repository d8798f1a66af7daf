"""One morning's figures, as trends compare them, and as plain values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from thawline.findings.figures import from_plain, plain
from thawline.findings.finding import Figures


@dataclass(frozen=True, slots=True)
class Value:
    """A figure and how sure it is.

    Parameters
    ----------
    value, sigma : float
        The figure and its standard uncertainty [unit].
    """

    value: float
    sigma: float


@dataclass(frozen=True, slots=True)
class Morning:
    """What one recording adds to the trends of its vehicle.

    Parameters
    ----------
    recording_id, vehicle : str
        The recording and its vehicle's name.
    model : str
        What vehicles that are built alike share.
    starts_at : float
        First sample, since 1970-01-01 UTC [s].
    duration_s : float
        From the first sample to the last [s].
    conditions : mapping of str to float
        What the car could not choose: ``outside`` and ``coldest`` [degC], ``supply`` [kW],
        ``charge`` [percent]; what is not known is absent.
    plugged_in : bool
        Whether it was plugged in.
    values : mapping of str to Value
        Figures by quantity; see ``quantities.csv``.
    figures : Figures
        What findings of later mornings hold themselves against.
    """

    recording_id: str
    vehicle: str
    model: str
    starts_at: float
    duration_s: float
    conditions: Mapping[str, float]
    plugged_in: bool
    values: Mapping[str, Value] = field(default_factory=dict)
    figures: Figures = field(default_factory=lambda: Figures("", 0.0, None))


def morning_plain(morning: Morning) -> dict[str, Any]:
    """Turn a morning to what JSON has.

    Parameters
    ----------
    morning : Morning
        The morning.

    Returns
    -------
    dict
        The same as plain values.
    """
    return {
        "recording": morning.recording_id,
        "vehicle": morning.vehicle,
        "model": morning.model,
        "starts_at": morning.starts_at,
        "duration_s": morning.duration_s,
        "conditions": dict(morning.conditions),
        "plugged_in": morning.plugged_in,
        "values": {name: [one.value, one.sigma] for name, one in morning.values.items()},
        "figures": plain(morning.figures),
    }


def morning_from(kept: Mapping[str, Any]) -> Morning:
    """Turn what ``morning_plain`` gave back to a morning.

    Parameters
    ----------
    kept : mapping of str to Any
        What was kept.

    Returns
    -------
    Morning
        The morning.

    Raises
    ------
    KeyError, TypeError, ValueError
        If it is not what ``morning_plain`` gives.
    """
    return Morning(
        str(kept["recording"]),
        str(kept["vehicle"]),
        str(kept["model"]),
        float(kept["starts_at"]),
        float(kept["duration_s"]),
        {str(name): float(value) for name, value in kept["conditions"].items()},
        bool(kept["plugged_in"]),
        {
            str(name): Value(float(value), float(sigma))
            for name, (value, sigma) in kept["values"].items()
        },
        from_plain(kept["figures"]),
    )
