"""Build each power of the car from the channels that tell it."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from thawline.quantities import converter
from thawline.recording.clock import on_clock
from thawline.recording.flow import Flow
from thawline.recording.recording import Channel, Recording
from thawline.signals.catalogue import catalogue

BATTERY = "Powertrain.TractionBattery."
CHARGING = BATTERY + "Charging."
MOTOR = "Powertrain.ElectricMotor."
CABIN = "Cabin.HVAC."
#: Rounding to steps of q spreads evenly: its standard deviation is q over this [1].
ROOT_12 = float(np.sqrt(12.0))
#: The car counts as moving above this [km/h].
MOVING_KMH = 0.5
#: The charger counts as fed by alternating current above this [kW].
FED_KW = 0.1


def paths_like(recording: Recording, head: str, tail: str) -> list[str]:
    """Find the channels of one kind, whatever their position or name.

    A branch that the catalogue names itself, such as the coolant at the motor, is no position.

    Parameters
    ----------
    recording : Recording
        The recording.
    head, tail : str
        What the path begins and ends with; one word stands between.

    Returns
    -------
    list of str
        Concrete paths, sorted.
    """
    return sorted(
        path
        for path in recording.channels
        if path.startswith(head)
        and path.endswith(tail)
        and len(path) > len(head) + len(tail)
        and "." not in path[len(head) : len(path) - len(tail)]
        and not (head.endswith(".") and path in catalogue())
    )


def _sigma(channel: Channel, values: NDArray[np.float64]) -> NDArray[np.float64]:
    stated = channel.accuracy.of(values) if channel.accuracy else np.zeros_like(values)
    return np.asarray(np.hypot(stated, channel.resolution / ROOT_12))


def power(recording: Recording, t: NDArray[np.float64], path: str) -> Flow | None:
    """Read a channel that is itself a power.

    Parameters
    ----------
    recording : Recording
        The recording.
    t : ndarray of float64, shape (n,)
        The clock [s].
    path : str
        Concrete path of a channel in W or kW.

    Returns
    -------
    Flow or None
        The power; None if the recording lacks the channel.
    """
    channel = recording.channels.get(path)
    if channel is None:
        return None
    factor = converter(channel.unit, "kW")[0]
    values = on_clock(channel, t, recording.gaps)
    return Flow(values * factor, _sigma(channel, values) * factor, (path,))


def product(
    recording: Recording, t: NDArray[np.float64], current: str, voltage: str, times: float = 1.0
) -> Flow | None:
    """Multiply a current and a voltage.

    Parameters
    ----------
    recording : Recording
        The recording.
    t : ndarray of float64, shape (n,)
        The clock [s].
    current, voltage : str
        Concrete paths of channels in A and V.
    times : float
        A factor, for instance cells in series where the voltage is a cell's [1].

    Returns
    -------
    Flow or None
        The power; None if a channel is missing.
    """
    amps, volts = recording.channels.get(current), recording.channels.get(voltage)
    if amps is None or volts is None:
        return None
    i, u = on_clock(amps, t, recording.gaps), on_clock(volts, t, recording.gaps)
    sigma = np.hypot(u * _sigma(amps, i), i * _sigma(volts, u))
    return Flow(i * u * times / 1e3, sigma * abs(times) / 1e3, (current, voltage))


def total(flows: Iterable[Flow], origin: str = "measured", note: str = "") -> Flow | None:
    """Add powers of separate sensors.

    Parameters
    ----------
    flows : iterable of Flow
        The powers, on one clock.
    origin, note : str
        How the sum was found.

    Returns
    -------
    Flow or None
        The sum; None if there is nothing to add. Unknown where a part is unknown.
    """
    parts = list(flows)
    if not parts:
        return None
    return Flow(
        np.sum([part.kW for part in parts], axis=0),
        np.sqrt(np.sum([part.sigma_kW**2 for part in parts], axis=0)),
        tuple(dict.fromkeys(path for part in parts for path in part.signals)),
        origin,
        note,
    )


def _alternating(recording: Recording, t: NDArray[np.float64]) -> Flow | None:
    phases = paths_like(recording, CHARGING + "ChargeCurrent.Phase", "")
    voltages = paths_like(recording, CHARGING + "ChargeVoltage.Phase", "")
    parts, notes = [], ["power factor taken as 1"]
    for current in phases:
        voltage = current.replace("ChargeCurrent", "ChargeVoltage")
        if voltage not in voltages and voltages:
            notes.append(f"{current.rsplit('.', 1)[-1]} taken at the voltage of another phase")
            voltage = voltages[0]
        part = product(recording, t, current, voltage)
        if part is not None:
            parts.append(part)
    return total(parts, note="; ".join(notes))


def fed_directly(recording: Recording, t: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Tell when direct current comes from outside.

    Parameters
    ----------
    recording : Recording
        The recording.
    t : ndarray of float64, shape (n,)
        The clock [s].

    Returns
    -------
    ndarray of bool, shape (n,)
        True where direct current flows at the inlet and no alternating current does.
    """
    return _used(_alternating(recording, t), _direct(recording, t), len(t))


def _used(alternating: Flow | None, direct: Flow | None, ticks: int) -> NDArray[np.bool_]:
    """Tell on which ticks it is the direct current that feeds."""
    if direct is None:
        return np.zeros(ticks, dtype=bool)
    flows = np.nan_to_num(direct.kW) > FED_KW
    if alternating is not None:
        flows &= np.nan_to_num(alternating.kW) < FED_KW
    return np.asarray(flows)


def _direct(recording: Recording, t: NDArray[np.float64]) -> Flow | None:
    amps = CHARGING + "ChargeCurrent.DC"
    return product(recording, t, amps, CHARGING + "ChargeVoltage.DC") or product(
        recording, t, amps, BATTERY + "CurrentVoltage"
    )


def supply(recording: Recording, t: NDArray[np.float64]) -> Flow | None:
    """Find the power taken from outside.

    Parameters
    ----------
    recording : Recording
        The recording.
    t : ndarray of float64, shape (n,)
        The clock [s].

    Returns
    -------
    Flow or None
        Alternating-current power of all phases, or the direct-current power at the inlet
        where no alternating current flows; None if neither is recorded.
    """
    alternating, direct = _alternating(recording, t), _direct(recording, t)
    if alternating is None or direct is None:
        found = alternating or direct
    else:
        use_direct = _used(alternating, direct, len(t))
        found = Flow(
            np.where(use_direct, direct.kW, alternating.kW),
            np.where(use_direct, direct.sigma_kW, alternating.sigma_kW),
            alternating.signals + direct.signals,
            note=alternating.note + "; direct current from outside where no alternating flows",
        )
    return None if found is None else _nothing_without_cable(recording, t, found)


def _nothing_without_cable(recording: Recording, t: NDArray[np.float64], flow: Flow) -> Flow:
    """Where the charger is silent and no cable is connected, nothing is taken."""
    cables = [
        on_clock(recording.channels[path], t, recording.gaps)
        for path in paths_like(recording, CHARGING + "ChargingPort.", ".IsChargingCableConnected")
    ]
    if not cables:
        return flow
    unplugged = np.all([cable == 0.0 for cable in cables], axis=0) & np.isnan(flow.kW)
    return Flow(
        np.where(unplugged, 0.0, flow.kW),
        np.where(unplugged, 0.0, flow.sigma_kW),
        flow.signals,
        flow.origin,
        flow.note,
    )


def moving(recording: Recording, t: NDArray[np.float64]) -> NDArray[np.bool_] | None:
    """Tell when the car moves.

    Parameters
    ----------
    recording : Recording
        The recording.
    t : ndarray of float64, shape (n,)
        The clock [s].

    Returns
    -------
    ndarray of bool, shape (n,) or None
        True where it moves; None if no speed is recorded.
    """
    speed = recording.channels.get("Speed")
    if speed is not None:
        return np.asarray(np.abs(np.nan_to_num(on_clock(speed, t, recording.gaps))) > MOVING_KMH)
    turning = [
        path
        for path in (MOTOR + "Speed", *paths_like(recording, MOTOR, ".Speed"))
        if path in recording.channels
    ]
    if not turning:
        return None
    rpm = [on_clock(recording.channels[path], t, recording.gaps) for path in turning]
    return np.asarray(np.any(np.abs(np.nan_to_num(rpm)) > 5.0, axis=0))


def pack(recording: Recording, t: NDArray[np.float64]) -> Flow | None:
    """Find the power into the pack.

    Parameters
    ----------
    recording : Recording
        The recording.
    t : ndarray of float64, shape (n,)
        The clock [s].

    Returns
    -------
    Flow or None
        Pack power, positive into it: current times voltage, else the power signal, else
        current times cell voltage times cells in series; None if none is recorded.
    """
    current = BATTERY + "CurrentCurrent"
    found = product(recording, t, current, BATTERY + "CurrentVoltage") or power(
        recording, t, BATTERY + "CurrentPower"
    )
    cells = recording.vehicle.pack.cells_in_series
    if found is None and cells:
        for cell in ("CellVoltage.Min", "CellVoltage.Max"):
            by_cell = product(recording, t, current, BATTERY + cell, float(cells))
            if by_cell is not None:
                note = f"{cell} times {cells} cells in series"
                return Flow(by_cell.kW, by_cell.sigma_kW, by_cell.signals, "derived", note)
    return found
