"""The heading of a report: which car, when, how cold, how long."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thawline.recording.recording import Channel, Recording
from thawline.report.moments import Moments, duration_text
from thawline.report.numbers import number, quantity

OUTSIDE = "Exterior.AirTemperature"
COLDEST = "Powertrain.TractionBattery.Temperature.Min"
#: Temperatures that differ by less than this are told as one [K].
SAME_K = 1.0


@dataclass(frozen=True, slots=True)
class Heading:
    """The heading of a report.

    Parameters
    ----------
    title : str
        Vehicle and day.
    facts : tuple of str
        When, how long, how cold; a phrase each.
    """

    title: str
    facts: tuple[str, ...]


def _course(channel: Channel | None) -> str | None:
    """Tell a temperature, or from where to where it went."""
    if channel is None or len(channel.values) == 0:
        return None
    first, last = float(channel.values[0]), float(channel.values[-1])
    if abs(last - first) < SAME_K:
        return quantity(float(np.median(channel.values)), "degC")
    return f"{number(first, 1)} to {quantity(last, 'degC')}"


def heading_of(recording: Recording, moments: Moments) -> Heading:
    """Write the heading.

    Parameters
    ----------
    recording : Recording
        The recording.
    moments : Moments
        Its clock.

    Returns
    -------
    Heading
        The heading.
    """
    name = recording.vehicle.name
    title = f"{name}, {moments.date}" if moments.is_dated else f"{name}, on a day not recorded"
    begin, end = moments.clock(0.0), moments.clock(recording.duration_s)
    facts = [f"{begin} to {end} UTC" if moments.is_dated else "Times count from the first sample"]
    facts.append(duration_text(recording.duration_s))
    outside = _course(recording.channels.get(OUTSIDE))
    facts.append(f"outside {outside}" if outside else "outside temperature not recorded")
    coldest = _course(recording.channels.get(COLDEST))
    if coldest:
        facts.append(f"coldest cell {coldest}")
    return Heading(title, tuple(facts))
