"""A crude morning of an invented car at 1 s, for tests of single rules: known lumps, no noise.

Winding -> coolant -> cells, a charger of 92 %, a cabin of one lump that is kept at 20 °C. Written
apart from the simulator, and simpler, so that a rule is not proven by what it was built on.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from thawline.suggest.candidate import Candidate, Habits, Scene
from thawline.suggest.kinds import Reading

SECONDS = 3000
PLUGGED_AT, CABIN_AT = 120, 1500
SOAK = -9.0
ENERGY_KWH, CELLS, OHM = 60.0, 96, 0.12
PATHS = {
    "voltage": "Powertrain.TractionBattery.CurrentVoltage",
    "current": "Powertrain.TractionBattery.CurrentCurrent",
    "physical": "Powertrain.TractionBattery.StateOfCharge.Current",
    "displayed": "Powertrain.TractionBattery.StateOfCharge.Displayed",
    "coldest": "Powertrain.TractionBattery.Temperature.Min",
    "mean": "Powertrain.TractionBattery.Temperature.Average",
    "warmest": "Powertrain.TractionBattery.Temperature.Max",
    "inlet": "Powertrain.TractionBattery.Coolant.InletTemperature",
    "outlet": "Powertrain.TractionBattery.Coolant.OutletTemperature",
    "flow": "Powertrain.TractionBattery.Coolant.Flow",
    "winding": "Powertrain.ElectricMotor.First.Temperature",
    "heat": "Powertrain.ElectricMotor.First.StandstillHeat",
    "cabin_heat": "Cabin.HVAC.Heater.First.Power",
    "cabin": "Cabin.HVAC.AmbientAirTemperature",
    "outside": "Exterior.AirTemperature",
    "output": "Powertrain.TractionBattery.Charging.OutputPower",
    "supply_volts": "Powertrain.TractionBattery.Charging.ChargeVoltage.Phase1",
    "supply_amps": "Powertrain.TractionBattery.Charging.ChargeCurrent.Phase1",
    "charge_limit": "Powertrain.TractionBattery.Limits.ChargePower",
    "regeneration_limit": "Powertrain.TractionBattery.Limits.RegenerationPower",
    "cable": "Powertrain.TractionBattery.Charging.ChargingPort.First.IsChargingCableConnected",
    "warming": "Powertrain.TractionBattery.BatteryConditioning.IsOngoing",
}
UNITS = {
    "voltage": ("V", 0.1),
    "current": ("A", 0.1),
    "physical": ("%", 0.1),
    "displayed": ("%", 0.5),
    "coldest": ("degC", 0.1),
    "mean": ("degC", 0.1),
    "warmest": ("degC", 0.1),
    "inlet": ("degC", 0.1),
    "outlet": ("degC", 0.1),
    "flow": ("l/min", 0.1),
    "winding": ("degC", 1.0),
    "heat": ("kW", 0.01),
    "cabin_heat": ("W", 10.0),
    "cabin": ("degC", 0.5),
    "outside": ("degC", 0.5),
    "output": ("kW", 0.01),
    "supply_volts": ("V", 0.5),
    "supply_amps": ("A", 0.1),
    "charge_limit": ("kW", 0.1),
    "regeneration_limit": ("kW", 0.1),
    "cable": ("", 1.0),
    "warming": ("", 1.0),
}


@cache
def curves() -> dict[str, np.ndarray]:
    """All curves by what they are."""
    made = {name: np.zeros(SECONDS) for name in PATHS}
    winding = coolant = cabin = SOAK
    cells = np.full(6, SOAK)
    charge, heat, output = 0.5, 0.0, 0.0
    for t in range(SECONDS):
        plugged = t >= PLUGGED_AT
        coldest = float(cells.min())
        wanted = 3.4 if plugged and coldest < 5.0 else 0.0
        heat += float(np.clip(wanted - heat, -1.0, 0.1))
        warm = min(4.0, max(0.0, (20.0 - cabin) * 0.8)) if t >= CABIN_AT else 0.0
        limit = max(0.0, coldest - 0.3) * 1.2
        loads = heat + warm + 0.3
        full = 6.9 * 0.92 if plugged else 0.0
        output += float(np.clip(min(full, loads + limit) - output, -2.0, 0.3))
        output = min(output, full)
        pack = output - loads
        rest = 3.65 * CELLS * (0.95 + 0.1 * charge)
        amps = pack * 1e3 / rest
        volts = rest + amps * OHM * np.exp(-(cells.mean() - 20.0) / 40.0)
        charge += pack / 3600.0 / ENERGY_KWH
        flow = 10.0 if heat > 0.05 else 0.0
        carry = 55.0 * flow  # W/K: 10 l/min of half glycol carry some 550
        ends = np.linspace(1.35, 0.65, 6) * (60.0 if flow else 4.0)
        into = ends * (coolant - cells)
        winding += (heat * 1e3 - 160.0 * (winding - coolant)) / 9e3
        coolant += (160.0 * (winding - coolant) - into.sum() - 3.0 * (coolant - SOAK)) / 25e3
        cells = cells + into / (ENERGY_KWH * 4.5e3 / 6.0)
        cabin += (warm * 1e3 - 90.0 * (cabin - SOAK)) / 60e3
        drawn = output / 0.92 * 1e3
        mains = 230.0 - 0.2 * drawn / 230.0 if plugged else 0.0
        drop = into.sum() / carry if carry > 0.0 else 0.0
        row = {
            "voltage": volts,
            "current": -pack * 1e3 / volts,  # this bus counts discharge positive
            "physical": 100.0 * charge,
            "displayed": 100.0 * charge - 0.3 * max(0.0, 12.0 - cells.mean()),
            "coldest": cells.min(),
            "mean": cells.mean(),
            "warmest": cells.max(),
            "inlet": coolant,
            "outlet": coolant - drop,
            "flow": flow,
            "winding": winding,
            "heat": heat,
            "cabin_heat": warm * 1e3,
            "cabin": cabin,
            "outside": SOAK - 2.0,
            "output": output,
            "supply_volts": mains,
            "supply_amps": drawn / mains if plugged else 0.0,
            "charge_limit": limit,
            "regeneration_limit": max(0.0, coldest + 1.0) * 2.5,
            "cable": float(t >= PLUGGED_AT - 2),
            "warming": float(heat > 0.05),
        }
        for name, value in row.items():
            made[name][t] = value
    return made


def rounded(name: str) -> np.ndarray:
    """A curve as its sensor shows it."""
    step = UNITS[name][1]
    return np.round(curves()[name] / step) * step


def candidate(name: str, number: int, *, unit: str | None = None) -> Candidate:
    """A curve as a signal whose name says nothing."""
    values = rounded(name)
    codes = tuple(np.unique(values).tolist()) if len(np.unique(values)) <= 12 else ()
    key = f"M{number // 4}.S{number:03d}"
    return Candidate(
        key,
        UNITS[name][0] if unit is None else unit,
        values,
        UNITS[name][1],
        codes,
        habits=Habits(SECONDS, 0.1, 0.01, 0.05),
        words=(key.split(".")[1], key.split(".")[0], ""),
        order=number,
    )


def scene(*, blank: bool = False, without: tuple[str, ...] = ()) -> tuple[Scene, dict[str, str]]:
    """The morning as a scene, and what each key is."""
    names = [name for name in PATHS if name not in without]
    made = [candidate(name, i, unit="" if blank else None) for i, name in enumerate(names)]
    keys = {one.key: PATHS[name] for one, name in zip(made, names, strict=True)}
    return Scene(tuple(made), np.zeros(SECONDS, dtype=np.int64)), keys


def reading(name: str, kind: str, *, said: bool = True, order: int = 0) -> Reading:
    """A curve as a reading in the unit that it has."""
    values, step = rounded(name), UNITS[name][1]
    if UNITS[name][0] == "W":
        values, step = values / 1e3, step / 1e3
    return Reading(name, kind, UNITS[name][0], values, step, said, order)
