"""A morning on which every signal that the table of capabilities knows is recorded."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np

from tests.ledger.made import channel
from tests.story.mornings import BATTERY, CHARGING, DT, Plan, gannet, morning, truth
from thawline.recording.recording import Recording
from thawline.vehicle.vehicle import SignalSource

MOTOR = "Powertrain.ElectricMotor."


@cache
def everything() -> Recording:
    """The morning of the story's tests, with all that it does not record itself."""
    plan = Plan()
    recording, _ = morning(plan)
    t, true = truth(plan)
    heats, into, cell = true["heat"] > 0.05, true["into"], true["cell"]
    same = np.ones(len(t))
    energy = np.cumsum(into) * DT / 3600.0
    more = {
        BATTERY + "Temperature.Average": cell + 1.0,
        BATTERY + "Temperature.Max": cell + 2.0,
        BATTERY + "StateOfCharge.Current": 50.0 + energy / 0.72,
        BATTERY + "StateOfCharge.Displayed": 48.0 + energy / 0.72 + np.clip(cell + 6.0, 0.0, 3.0),
        BATTERY + "CurrentPower": 1e3 * into,
        BATTERY + "CellVoltage.Min": 3.5 * same,
        BATTERY + "BatteryConditioning.IsOngoing": heats,
        BATTERY + "BatteryConditioning.IsActive": true["asked"],
        BATTERY + "Coolant.InletTemperature": cell + 6.0 * heats,
        BATTERY + "Coolant.OutletTemperature": cell + 2.0,
        BATTERY + "DCDC.InputPower": 300.0 * same,
        CHARGING + "OutputPower": 0.92 * true["drawn"],
        CHARGING + "PowerLoss": 80.0 * true["drawn"],
        CHARGING + "SupplyEnergy": np.cumsum(true["drawn"]) * DT / 3600.0,
        CHARGING + "IsCharging": into > 0.2,
        CHARGING + "ChargeLimit": 80.0 * same,
        CHARGING + "PilotDutyCycle": 40.0 * same,
        CHARGING + "MaximumChargingCurrent.Phase1": 24.0 * same,
        MOTOR + "Rear.Temperature": cell + 10.0 * heats,
        MOTOR + "EngineCoolant.Temperature": cell + 7.0 * heats,
        MOTOR + "Rear.Speed": 80.0 * true["speed"],
        MOTOR + "Rear.Power": 0.2 * true["speed"],
        "Cabin.HVAC.TargetTemperature": 18.0 * same,
    }
    channels = dict(recording.channels)
    for path, values in more.items():
        last = np.asarray(values, dtype=float)

        def at(when: np.ndarray, last: np.ndarray = last) -> np.ndarray:
            return last[np.minimum((when / DT).astype(int), len(last) - 1)]

        channels[path] = channel(path, at, duration_s=plan.duration_s)
    return replace(recording, channels=channels)


def only(paths: list[str], **parts: object) -> Recording:
    """The same morning with these signals only, mapped and recorded."""
    whole = everything()
    signals = {path: SignalSource(path, path) for path in paths}
    vehicle = replace(gannet(**parts), signals=signals)
    return replace(whole, vehicle=vehicle, channels={p: whole.channels[p] for p in paths})
