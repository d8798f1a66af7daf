"""Learn what a vehicle's cells allow, from all of its recordings."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from thawline.charge.capacity import capacity, physical
from thawline.charge.hidden import hidden_curve
from thawline.charge.learned import Learned, LimitCurve
from thawline.charge.limits_learned import learn_limit
from thawline.charge.observed import Observed, observe
from thawline.charge.open_circuit import open_circuit
from thawline.charge.real import DISPLAYED
from thawline.charge.resistance import fit_resistance, resistance_curve
from thawline.errors import RequestError
from thawline.recording.flows import make_flows
from thawline.recording.recording import Channel, Recording
from thawline.vehicle.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class Seen:
    """What all recordings of a vehicle show, on their clocks.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle, as the last recording has it.
    observed : tuple of Observed
        The recordings.
    charges : tuple of (Channel or None, Channel or None)
        Displayed and physical state of charge of each.
    """

    vehicle: Vehicle
    observed: tuple[Observed, ...]
    charges: tuple[tuple[Channel | None, Channel | None], ...]


def look_at(recordings: Iterable[Recording]) -> Seen:
    """Lay all recordings of a vehicle on their clocks, one at a time.

    Parameters
    ----------
    recordings : iterable of Recording
        Recordings of one vehicle, in the order of their start.

    Returns
    -------
    Seen
        What learning needs of them.

    Raises
    ------
    RequestError
        If there are none.
    """
    seen: list[Observed] = []
    charges: list[tuple[Channel | None, Channel | None]] = []
    vehicle: Vehicle | None = None
    for recording in recordings:
        vehicle = recording.vehicle
        seen.append(observe(recording, make_flows(recording)))
        charges.append((recording.channels.get(DISPLAYED), physical(recording)))
    if vehicle is None:
        raise RequestError("there are no recordings to learn from", cure="add a log first")
    return Seen(vehicle, tuple(seen), tuple(charges))


def learn_cells(recordings: Iterable[Recording]) -> Learned:
    """Learn from all recordings of a vehicle.

    Parameters
    ----------
    recordings : iterable of Recording
        Recordings of one vehicle, in the order of their start.

    Returns
    -------
    Learned
        What they teach.

    Raises
    ------
    RequestError
        If there are none.
    """
    return learn_from(look_at(recordings))


def learn_from(all_seen: Seen) -> Learned:
    """Learn from what recordings show.

    Parameters
    ----------
    all_seen : Seen
        What they show.

    Returns
    -------
    Learned
        Limits, resistance, capacity, what the cold hides, voltage at rest; and what could not
        be learned.
    """
    vehicle, seen, charges = all_seen.vehicle, all_seen.observed, all_seen.charges
    energy = vehicle.pack.usable_energy_kWh
    charging, regeneration = learn_limit(seen, "charging"), learn_limit(seen, "regeneration")
    fitted, found = fit_resistance(seen)
    rest = open_circuit(seen, fitted, energy, vehicle.pack.cells_in_series)
    resistance = resistance_curve(seen, fitted, found, energy)
    hidden = hidden_curve(seen, charges, energy)
    size = capacity(seen, [estimator for _, estimator in charges], rest)
    lost = tuple(_lost(charging, regeneration))
    if resistance is None:
        lost += ("Resistance: needs the pack's current and voltage, a temperature of the pack, and "
                 "a current that moves.",)  # fmt: skip
    if hidden is None:
        lost += ("What the cold hides from the display: needs both the displayed and the physical "
                 "state of charge, and a temperature of the pack.",)  # fmt: skip
    if rest is None:
        lost += ("Voltage at rest: needs the pack's voltage and current and its physical state of "
                 "charge.",)  # fmt: skip
    if size.Ah is None:
        lost += (f"Capacity: {size.note}.",)
    return Learned(
        vehicle.name,
        tuple(one.recording_id for one in seen),
        charging,
        regeneration,
        resistance,
        size,
        hidden,
        rest,
        lost,
    )


def _lost(charging: LimitCurve | None, regeneration: LimitCurve | None) -> Iterable[str]:
    for what, curve in (("Charging", charging), ("Regeneration", regeneration)):
        if curve is None:
            yield (
                f"{what} limit: needs a temperature of the pack, and the limit's signal or the "
                "pack's power."
            )
        elif curve.threshold.degC is None:
            yield f"Where the {curve.what} limit leaves zero: {curve.threshold.note}."
