"""A bus for a car that has none yet: what such cars usually tell, laid out by a seed."""

from __future__ import annotations

from math import ceil, log2

import numpy as np

from thawline.errors import RequestError
from thawline.signals.catalogue import find_signal
from thawline.simulator.build import Build
from thawline.simulator.charger import Supply
from thawline.simulator.layout import (
    MOST_BITS,
    BusLayout,
    BusMessage,
    BusSignal,
    Sensor,
    placed_all,
)
from thawline.simulator.observed import cable_path, shaped
from thawline.simulator.tables import table

BATTERY = "Powertrain.TractionBattery."
CHARGING = BATTERY + "Charging."
MOTOR = "Powertrain.ElectricMotor."
#: Seconds between two frames of states [s].
STATE_PERIOD_S = 0.5
#: First identifier, and the most between two [1].
FIRST, APART = 0x100, 12


def _wanted(build: Build, supply: Supply | None) -> list[tuple[str, str, str]]:
    """Name what is on the bus: path, kind (``state`` for states), message."""
    found = [
        (BATTERY + "CurrentVoltage", "pack V", "Pack"),
        (BATTERY + "CurrentCurrent", "pack A", "Pack"),
        (BATTERY + "Temperature.Min", "cell", "Cells"),
        (BATTERY + "Temperature.Max", "cell", "Cells"),
        (BATTERY + "Temperature.Average", "cell", "Cells"),
        (BATTERY + "StateOfCharge.Current", "charge", "Charge"),
        (BATTERY + "StateOfCharge.Displayed", "shown", "Charge"),
        (CHARGING + "ChargeLimit", "charge", "Charge"),
        (BATTERY + "Limits.ChargePower", "limit", "Limits"),
        (BATTERY + "Limits.RegenerationPower", "limit", "Limits"),
        (BATTERY + "Limits.DischargePower", "limit", "Limits"),
        (BATTERY + "Coolant.InletTemperature", "fluid", "Coolant"),
        (BATTERY + "Coolant.OutletTemperature", "fluid", "Coolant"),
        (BATTERY + "Coolant.Flow", "flow", "Coolant"),
        (CHARGING + "OutputPower", "given", "Charger"),
        (CHARGING + "PilotDutyCycle", "duty", "Charger"),
        (cable_path(build), "state", "States"),
        (CHARGING + "IsRequested", "state", "States"),
        ("Cabin.HVAC.IsConditioningRequested", "state", "States"),
        (BATTERY + "BatteryConditioning.IsOngoing", "state", "States"),
        (BATTERY + "DCDC.InputPower", "small", "Small"),
        ("Cabin.HVAC.AmbientAirTemperature", "air", "Cabin"),
        ("Cabin.HVAC.TargetTemperature", "air", "Cabin"),
        ("Exterior.AirTemperature", "air", "Cabin"),
        ("Speed", "speed", "Motion"),
    ]
    if supply is not None and supply.is_direct:
        found += [(CHARGING + "ChargeVoltage.DC", "pack V", "Supply"),
                  (CHARGING + "ChargeCurrent.DC", "mains A", "Supply")]  # fmt: skip
    for i in range(0 if supply is None or supply.is_direct else supply.phases):
        found += [(f"{CHARGING}ChargeVoltage.Phase{i + 1}", "mains V", "Supply"),
                  (f"{CHARGING}ChargeCurrent.Phase{i + 1}", "mains A", "Supply")]  # fmt: skip
    if build.coolant.heater_kW:
        found.append((BATTERY + "Heater.Power", "heater", "Coolant"))
    for unit in build.drive_units.positions:
        found += [(f"{MOTOR}{unit}.Temperature", "winding", unit),
                  (f"{MOTOR}{unit}.StandstillHeat", "heat", unit),
                  (f"{MOTOR}{unit}.Power", "shaft", unit)]  # fmt: skip
    for heater in build.cabin.heaters_W:
        found.append((f"Cabin.HVAC.Heater.{shaped(heater)}.Power", "heater", "Heaters"))
    return found


def _signal(path: str, kind: str, name: str, rng: np.random.Generator) -> BusSignal:
    if kind == "state":
        return BusSignal(name, path, 1)
    row = next(row for row in table("usual_bus.csv") if row["kind"] == kind)
    low, high = float(row["low"]), float(row["high"])
    step = float(rng.choice([float(each) for each in row["steps"].split()]))
    signed = row["is_signed"] == "1"
    reach = 2.0 * max(-low, high) if signed else high - low
    gain = float(rng.normal(0.0, float(row["gain"])))
    sensor = Sensor(step=step, noise=float(row["noise_steps"]) * step, gain=gain)
    return BusSignal(
        name, path, ceil(log2(reach / step + 2.0)), scale=step, offset=0.0 if signed else low,
        unit=row["unit"], sign=int(rng.choice([1, -1])) if kind == "pack A" else 1,
        is_signed=signed, sensor=sensor, accuracy=row["accuracy"],
    )  # fmt: skip


def _period(kind: str, rng: np.random.Generator) -> float:
    if kind == "state":
        return STATE_PERIOD_S
    row = next(row for row in table("usual_bus.csv") if row["kind"] == kind)
    return float(rng.choice([float(each) for each in row["periods"].split()]))


def usual_bus(build: Build, supply: Supply | None, seed: int) -> BusLayout:
    """Lay out a bus that tells what such cars usually tell.

    Parameters
    ----------
    build : Build
        The vehicle.
    supply : Supply or None
        What it is plugged into: its phases are on the bus.
    seed : int
        Of byte orders, identifiers, steps, rates and signs [1].

    Returns
    -------
    BusLayout
        The bus, its start bits given; messages that would be too long are split.

    Raises
    ------
    RequestError
        If a drive unit, a heater or the port has a name that no signal can have.
    """
    rng = np.random.default_rng([seed, 23])
    groups: dict[str, list[tuple[str, str]]] = {}
    for path, kind, group in _wanted(build, supply):
        if find_signal(path) is None:
            raise RequestError(
                f"{build.name}: there is no signal {path!r}",
                cure="name drive units, heaters and port with letters and digits only",
            )
        groups.setdefault(group, []).append((path, kind))
    messages: list[BusMessage] = []
    is_big, identifier = bool(rng.random() < 0.5), FIRST
    for group, wanted in groups.items():
        pages: list[list[BusSignal]] = [[]]
        for number, (path, kind) in enumerate(wanted, 1):
            signal = _signal(path, kind, f"{group}{number}", rng)
            if sum(one.length for one in pages[-1]) + signal.length > MOST_BITS:
                pages.append([])
            pages[-1].append(signal)
        period = _period(wanted[0][1], rng)
        for part, inside in enumerate(pages, 1):
            identifier += int(rng.integers(1, APART))
            size = ceil(sum(one.length for one in inside) / 8)
            name = f"{group}Part{part}"
            messages.append(
                BusMessage(name, identifier, period, size, tuple(inside), is_big_endian=is_big)
            )
    return placed_all(BusLayout(tuple(messages)))
