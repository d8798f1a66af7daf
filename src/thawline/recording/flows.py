"""The powers in the car on one clock: who gives, who takes.

The clock ticks once a second. Fast channels are averaged over each tick, so that energies
keep; slow ones are interpolated; states hold. Where nothing was recorded, values are NaN.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from thawline.recording.clock import ticks
from thawline.recording.flow import Flow as Flow
from thawline.recording.powers import (
    BATTERY,
    CABIN,
    CHARGING,
    FED_KW,
    MOTOR,
    fed_directly,
    moving,
    pack,
    paths_like,
    power,
    supply,
    total,
)
from thawline.recording.recording import Recording

#: The charger in the car counts as fed if it gave power for longer [s].
OWN_LEAST_S = 30.0


@dataclass(frozen=True, slots=True)
class Flows:
    """All powers that the recording knows.

    Names: ``supply`` (taken from the wall, or direct current from outside),
    ``charger-output`` (direct-current side), ``charger-loss``, ``drive-unit-heating``,
    ``pack-heater``, ``cabin-heating`` (heaters and compressor), ``low-voltage`` (converter),
    ``driving`` (electrical power of the drive units when the car moves, positive when it
    drives), ``pack`` (positive into the pack).

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Middle of each tick, since the recording's start [s].
    step_s : float
        Length of a tick [s].
    flows : mapping of str to Flow
        The powers by name; what is not known is absent.
    lost : mapping of str to str
        Name to the reason why it is not known, in plain words.
    """

    t: NDArray[np.float64]
    step_s: float
    flows: Mapping[str, Flow] = field(default_factory=dict)
    lost: Mapping[str, str] = field(default_factory=dict)


def _heating(recording: Recording, t: NDArray[np.float64]) -> tuple[Flow | None, str | None]:
    units = paths_like(recording, MOTOR, ".StandstillHeat")
    if not units:
        return power(recording, t, MOTOR + "StandstillHeat"), None
    count = recording.vehicle.drive_units.count
    missing = f"only {len(units)} of {count} drive units are recorded"
    lost = missing if count is not None and len(units) < count else None
    return total(_powers(recording, t, units), note=lost or ""), lost


def _powers(recording: Recording, t: NDArray[np.float64], paths: list[str]) -> list[Flow]:
    return [flow for path in paths if (flow := power(recording, t, path)) is not None]


def _driving(recording: Recording, t: NDArray[np.float64]) -> Flow | None:
    units = paths_like(recording, MOTOR, ".Power") or [MOTOR + "Power"]
    drive = total(_powers(recording, t, units), note="mechanical power, without losses")
    moves = moving(recording, t)
    if drive is None or moves is None:
        return drive
    return replace(drive, kW=np.where(moves, drive.kW, 0.0 * drive.kW))


def _charger(
    recording: Recording, t: NDArray[np.float64], wall: Flow | None
) -> tuple[Flow | None, Flow | None]:
    """Find the charger's output and its loss, each from the other if need be.

    Where direct current comes from outside, the car's own charger has no part in it: all of
    the supply is output, and nothing is lost in the car.
    """
    output = power(recording, t, CHARGING + "OutputPower")
    loss = power(recording, t, CHARGING + "PowerLoss")
    if wall is None:
        return output, loss
    direct = _is_direct(recording, t, wall)
    if loss is None and output is not None:
        loss = _difference(wall, output, "supply less charger output")
    elif output is None and loss is not None:
        output = _difference(wall, loss, "supply less charger loss")
    if not direct.any():
        return output, loss
    nothing = np.where(np.isnan(wall.kW), np.nan, 0.0)
    if direct.all():
        output = output or replace(wall, note="direct current from outside")
        loss = loss or Flow(nothing, nothing, wall.signals, "derived", "the charger is outside")
    return _outside(direct, output, wall.kW, wall.sigma_kW), _outside(
        direct, loss, nothing, nothing
    )


def _own_charger_feeds(recording: Recording, t: NDArray[np.float64], wall: Flow) -> bool:
    """Tell whether the car's charger gave power that no mapped channel of the supply shows.

    So it is where only direct current is mapped, and the car was fed with alternating current.
    """
    output = power(recording, t, CHARGING + "OutputPower")
    if output is None or any("Phase" in path for path in wall.signals):
        return False
    own = np.nan_to_num(output.kW) > FED_KW
    own &= np.nan_to_num(wall.kW) < FED_KW
    return bool(np.count_nonzero(own) * (t[1] - t[0] if len(t) > 1 else 1.0) > OWN_LEAST_S)


def _is_direct(recording: Recording, t: NDArray[np.float64], wall: Flow) -> NDArray[np.bool_]:
    """Tell when the supply is direct current; what is recorded settles most cases."""
    if not any("Phase" in path for path in wall.signals):
        return np.ones(len(t), dtype=bool)
    if not any(path.endswith("ChargeCurrent.DC") for path in wall.signals):
        return np.zeros(len(t), dtype=bool)
    return fed_directly(recording, t)


def _outside(
    direct: NDArray[np.bool_],
    flow: Flow | None,
    kW: NDArray[np.float64],
    sigma_kW: NDArray[np.float64],
) -> Flow | None:
    """Put other values where direct current comes from outside."""
    if flow is None:
        return None
    return replace(
        flow,
        kW=np.where(direct, kW, flow.kW),
        sigma_kW=np.where(direct, sigma_kW, flow.sigma_kW),
    )


def _difference(more: Flow, less: Flow, note: str) -> Flow:
    sigma = np.hypot(more.sigma_kW, less.sigma_kW)
    return Flow(more.kW - less.kW, sigma, more.signals + less.signals, "derived", note)


#: What is needed for each power, for the message when it is missing.
NEEDS = {
    "supply": "Charging.ChargeCurrent.Phase1 with ChargeVoltage.Phase1 (or .DC of both)",
    "charger-output": "Charging.OutputPower, or Charging.PowerLoss with the supply",
    "charger-loss": "Charging.PowerLoss, or Charging.OutputPower with the supply",
    "drive-unit-heating": "ElectricMotor.<Position>.StandstillHeat",
    "pack-heater": "TractionBattery.Heater.Power",
    "cabin-heating": "Cabin.HVAC.Heater.<Name>.Power",
    "low-voltage": "TractionBattery.DCDC.InputPower",
    "driving": "ElectricMotor.Power",
    "pack": "TractionBattery.CurrentCurrent with CurrentVoltage (or CurrentPower)",
}


def make_flows(recording: Recording, step_s: float = 1.0) -> Flows:
    """Build all powers of a recording on one clock.

    Parameters
    ----------
    recording : Recording
        The recording.
    step_s : float
        Length of a tick [s].

    Returns
    -------
    Flows
        The powers that the recording tells, and why the others are lost.
    """
    t = ticks(recording.duration_s, step_s)
    wall = supply(recording, t)
    unseen = wall is not None and _own_charger_feeds(recording, t, wall)
    wall = None if unseen else wall
    output, loss = _charger(recording, t, wall)
    heating, part_lost = _heating(recording, t)
    cabin = [*paths_like(recording, CABIN + "Heater.", ".Power"), CABIN + "Compressor.Power"]
    found = {
        "supply": wall,
        "charger-output": output,
        "charger-loss": loss,
        "drive-unit-heating": heating,
        "pack-heater": power(recording, t, BATTERY + "Heater.Power"),
        "cabin-heating": total(_powers(recording, t, cabin)),
        "low-voltage": power(recording, t, BATTERY + "DCDC.InputPower"),
        "driving": _driving(recording, t),
        "pack": pack(recording, t),
    }
    lost = {
        name: f"not recorded; needs {NEEDS[name]}" for name, flow in found.items() if flow is None
    }
    if unseen:
        lost["supply"] = (
            "only direct current from outside is mapped, and the charger in the car gave power; "
            "needs Charging.ChargeCurrent.Phase1 with ChargeVoltage.Phase1"
        )
    if part_lost:
        lost["drive-unit-heating"] = part_lost
    known = {name: flow for name, flow in found.items() if flow is not None}
    return Flows(t, step_s, known, lost)
