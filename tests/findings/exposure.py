"""Say whether a fault could be found at all: its size, the signals, and what happened.

The rule is written in terms of the simulator's truth and of what the vehicle file maps; it
knows nothing of the checks.
"""

from __future__ import annotations

import csv
from collections.abc import Collection, Sequence
from pathlib import Path

import numpy as np

from tests.findings.mornings import BATTERY, Injected
from thawline.simulator.build import Build
from thawline.simulator.events import within
from thawline.simulator.morning import Morning
from thawline.simulator.observed import cable_path

SIZES = Path(__file__).parents[2] / "benchmarks" / "findings_sizes.csv"
CHARGING, MOTOR = BATTERY + "Charging.", "Powertrain.ElectricMotor."


def sizes() -> dict[str, dict[str, str]]:
    """Read which sizes a technician would call out, and why."""
    with SIZES.open(encoding="utf-8") as file:
        return {row["fault"]: row for row in csv.DictReader(file)}


def _minutes(on: np.ndarray, morning: Morning) -> float:
    return float(np.count_nonzero(on)) * morning.step_s / 60.0


def _heat_kW(morning: Morning) -> np.ndarray:
    return (morning.powers["drive-unit-heating"] + morning.powers["pack-heater"]) / 1e3


def _heats(morning: Morning) -> np.ndarray:
    return _heat_kW(morning) > 1.0


def _free(morning: Morning) -> np.ndarray:
    """Where nothing but the heaters themselves bounds the heat, and the recording shows it."""
    asks = morning.values[CHARGING + "IsRequested"] > 0.0
    cold = morning.values[BATTERY + "Temperature.Min"] < -3.5
    supply = morning.powers["supply"]
    later = np.maximum.accumulate(supply[::-1])[::-1]
    spare = (morning.powers["pack"] < -1700.0) | (supply < 0.8 * later)
    return _heats(morning) & asks & cold & spare


def _lacks(mapped: Collection[str], build: Build, what: str, plugged: bool = True) -> str:
    """Name what is not recorded of a list such as ``flow, heat``."""
    units = build.drive_units.positions
    each = [f"{MOTOR}{u}.StandstillHeat" for u in units]
    heat = (
        BATTERY + "Heater.Power" in mapped
        if build.coolant.heater_kW
        else all(p in mapped for p in each) or MOTOR + "StandstillHeat" in mapped
    )
    has_volts = any(p.startswith(CHARGING + "ChargeVoltage.Phase") for p in mapped)
    heaters = [p for p in mapped if p.startswith("Cabin.HVAC.Heater.")]
    limits = (BATTERY + "Limits.ChargePower", CHARGING + "IsRequested")
    known = {
        "flow": BATTERY + "Coolant.Flow" in mapped,
        "inlet": BATTERY + "Coolant.InletTemperature" in mapped,
        "outlet": BATTERY + "Coolant.OutletTemperature" in mapped,
        "heat": heat,
        "units": all(p in mapped for p in each) and len(units) > 1,
        "coldest": BATTERY + "Temperature.Min" in mapped,
        "mean": BATTERY + "Temperature.Average" in mapped,
        "other": any(BATTERY + f"Temperature.{w}" in mapped for w in ("Average", "Max")),
        "limit": limits[0] in mapped,
        "request": limits[1] in mapped,
        "volts": has_volts,
        "cable": cable_path(build) in mapped,
        "pack": all(BATTERY + p in mapped for p in ("CurrentCurrent", "CurrentVoltage")),
        "output": not plugged or (CHARGING + "OutputPower" in mapped and has_volts),
        "heaters": bool(heaters),
        "cells": BATTERY + "CellVoltage.Min" in mapped,
        "low": "LowVoltageBattery.CurrentVoltage" in mapped,
    }
    return ", ".join(n for n in what.split() if not known[n])


def lacking(what: str, build: Build, mapped: Collection[str]) -> str:
    """Name the signals that a car does not record of those that a fault needs."""
    return _lacks(mapped, build, sizes()[what]["signals"], plugged=True)


def hidden_by(
    what: str, injected: Injected, morning: Morning, mapped: Collection[str],
    earlier: Sequence[Morning],
) -> str:  # fmt: skip
    """Say what hides a fault; empty if it should be found."""
    row = sizes()[what]
    if injected.size < float(row["smallest"]):
        return "too small"
    plugged = morning.scenario.supply is not None
    lacks = _lacks(mapped, morning.build, row["signals"], plugged)
    if lacks:
        return f"not recorded: {lacks}"
    after = morning.t >= injected.fault.from_s
    stands = morning.values["Speed"] < 0.5
    heats = _heats(morning) & stands
    v, p = morning.values, morning.powers
    past_heat = sum(_minutes(_heats(m), m) >= 12.0 for m in earlier)
    fault = injected.fault
    if what in ("weak-pump", "flow-meter"):
        known = past_heat or _minutes(heats & ~after, morning) >= 5.0
        return "" if known and _minutes(heats & after, morning) >= 5.0 else "not heated"
    if what == "valve-open":
        lost = 0.18 * injected.size * (v[BATTERY + "Coolant.OutletTemperature"]
                                       - v["Exterior.AirTemperature"])  # fmt: skip
        seen = heats & after
        enough = _minutes(seen, morning) >= 12.0 and float(lost[seen].mean()) > 0.5
        return "" if enough else "not heated, or little lost"
    if what in ("dead-heater", "dead-element", "weak-unit"):
        head, tail = ("Cabin.HVAC.Heater.", ".Power") if what.startswith("dead") else (
            MOTOR, ".StandstillHeat")  # fmt: skip
        per = 1e3 if what.startswith("dead") else 1.0
        others = [v[q] / per for q in v if q.startswith(head) and q.endswith(tail)
                  and q != f"{head}{fault.where}{tail}" and q != MOTOR + "StandstillHeat"
                  and q in mapped]  # fmt: skip
        if not others or f"{head}{fault.where}{tail}" not in mapped:
            return "no other one beside it"
        busy = np.sum(others, axis=0) > 0.35
        known = _minutes(busy & ~after & stands, morning) >= 3.0 or any(
            _minutes(sum(m.values[q] for q in m.values if q.startswith(head) and q.endswith(tail))
                     > 0.4 * per, m) >= 4.0 for m in earlier)  # fmt: skip
        enough = _minutes(busy & after & stands, morning) >= 4.0 and (known or what == "weak-unit")
        return "" if enough else "not in use"
    if what == "charging-refused":
        live = np.array([within(morning.scenario.plugged_s, at) for at in morning.t])
        warm = v[BATTERY + "Temperature.Min"] > morning.build.limits.charging_from_degC + 4.0
        refused = live & warm & after & (v[BATTERY + "Limits.ChargePower"] <= 0.0) & stands
        refused &= v[CHARGING + "IsRequested"] > 0.0
        refused &= v[BATTERY + "StateOfCharge.Current"] < morning.scenario.target_pct - 3.0
        if _lacks(mapped, morning.build, "limit"):
            refused &= ~_heats(morning) & (p["cabin-heating"] < 100.0)
        return "" if _minutes(refused, morning) >= 3.0 else "not asked for, or not warm"
    if what in ("supply-cut", "supply-sag", "line-resistance"):
        return _supply_hides(what, injected, morning, mapped)
    if what.endswith("-coldest"):
        coldest, mean = v[BATTERY + "Temperature.Min"][after], v[BATTERY + "Temperature.Average"]
        if what.startswith("drift"):
            total = injected.size * (morning.t[-1] - fault.from_s) / 3600.0
            return "" if total >= 6.0 else "drifted little"
        moved = abs(coldest - coldest[0]).max() >= 5.0 and np.ptp(mean[after]) >= 5.0
        long = morning.t[-1] - fault.from_s >= 900.0
        return "" if moved and long else "the coldest cell moved little"
    if what == "stuck-coolant":
        seen = heats & after
        if _minutes(seen, morning) < 12.0:
            return "not heated"
        return "" if np.ptp(v[fault.where][seen]) >= 5.0 else "the coolant moved little"
    if what == "offset-coolant":
        near = (abs(morning.t - fault.from_s) < 420.0) & stands
        heat = _heat_kW(morning)[near]
        steady = _minutes(near, morning) > 13.5 and heat.min() > 1.0 and np.ptp(heat) < 0.4
        return "" if steady else "heat and flow were not steady"
    if what == "drift-coolant":
        seen = heats & after
        total = injected.size * (morning.t[-1] - fault.from_s) / 3600.0
        long = _minutes(seen, morning) >= 20.0
        return "" if long and total >= 5.0 else "heated for short, or drifted little"
    if what == "module-capacity":
        own = morning.build.pack
        apart = (1.0 - v[BATTERY + "StateOfCharge.Current"].mean() / 100.0) * injected.size
        apart /= 1.0 - injected.size
        apart *= {"NMC": 1.0, "LFP": 0.1}.get(own.chemistry, 1.0)
        return "" if apart > 0.07 else "too near to full, or a chemistry of level voltage"
    if what == "sensor-current":
        return "" if _minutes(after & stands, morning) >= 6.0 else "not awake for long"
    if what in ("module-resistance", "module-joint", "aged-cells"):
        moved = min(np.ptp(m.values[BATTERY + "CurrentCurrent"]) for m in (morning, *earlier[:1]))
        return "" if moved >= 15.0 and (earlier or what[0] == "m") else "the current moved little"
    if what in ("module-contact", "fouled-plate"):
        enough = bool(_minutes(heats, morning) >= 15.0 and past_heat)
        if what == "module-contact" and enough:
            cells, weak = morning.modules_degC, int(fault.where)
            rest = np.delete(cells, weak, axis=1).min(axis=1)
            enough = _minutes(heats & (cells[:, weak] < rest - 1.5), morning) >= 6.0
        return "" if enough else "not heated now and before, or another cell is the coldest"
    if what == "weak-units":
        free = _minutes(_free(morning), morning) >= 6.0
        before = any(_minutes(_free(m), m) >= 6.0 for m in earlier)
        return "" if free and before else "other things held the heat back"
    if what == "lossy-charger":
        works = (p["supply"] > 1100.0) & after
        return "" if _minutes(works, morning) >= 6.0 else "the charger worked little"
    return "" if morning.t[-1] - fault.from_s >= 240.0 else "too late"


def _supply_hides(what: str, injected: Injected, morning: Morning, mapped: Collection[str]) -> str:
    fault, v = injected.fault, morning.values
    volts, amps = (v[f"{CHARGING}Charge{w}.Phase1"] for w in ("Voltage", "Current"))
    if what == "supply-cut":
        plugged = any(a <= fault.from_s and fault.to_s + 10.0 < b
                      for a, b in morning.scenario.plugged_s)  # fmt: skip
        live = volts[(morning.t < fault.from_s) & (morning.t >= fault.from_s - 15.0)]
        return "" if plugged and len(live) and live.min() > 60.0 else "not connected"
    low = (morning.t >= fault.from_s) & (volts > 60.0)
    if what == "line-resistance":
        drop = injected.size / 1e3 * amps / max(float(volts.max()), 1.0)
        low &= drop > 0.09
    return "" if _minutes(low, morning) >= 1.5 else "little was drawn"
