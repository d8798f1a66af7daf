"""Write a plain car's morning as a table and a vehicle file, as crude as asked, and read it."""

from __future__ import annotations

import tempfile
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from tests.findings.plain_car import Day, PlainCar, live_through
from thawline.recording.gather import gather
from thawline.recording.recording import Recording
from thawline.vehicle.read import read_vehicle

BATTERY, MOTOR = "Powertrain.TractionBattery.", "Powertrain.ElectricMotor."
CHARGING = BATTERY + "Charging."
COLDEST, AMPS, FLOW = BATTERY + "Temperature.Min", BATTERY + "CurrentCurrent", "flow"
#: Path by short name; step, noise, zero error, and gain error of a usual sensor.
SENSED: dict[str, tuple[str, float, float, float, float]] = {
    "coldest": (BATTERY + "Temperature.Min", 0.5, 0.05, 0.3, 0.0),
    "warmest": (BATTERY + "Temperature.Max", 0.5, 0.05, 0.3, 0.0),
    "mean": (BATTERY + "Temperature.Average", 0.5, 0.05, 0.2, 0.0),
    "inlet": (BATTERY + "Coolant.InletTemperature", 0.5, 0.1, 0.25, 0.0),
    "outlet": (BATTERY + "Coolant.OutletTemperature", 0.5, 0.1, 0.25, 0.0),
    "flow": (BATTERY + "Coolant.Flow", 0.1, 0.05, 0.0, 0.025),
    "limit": (BATTERY + "Limits.ChargePower", 0.1, 0.0, 0.0, 0.0),
    "wants": (CHARGING + "IsRequested", 1.0, 0.0, 0.0, 0.0),
    "cable": (CHARGING + "ChargingPort.Rear.IsChargingCableConnected", 1.0, 0.0, 0.0, 0.0),
    "ac_V": (CHARGING + "ChargeVoltage.Phase1", 0.5, 0.3, 0.0, 0.005),
    "ac_A": (CHARGING + "ChargeCurrent.Phase1", 0.1, 0.05, 0.0, 0.008),
    "given": (CHARGING + "OutputPower", 0.02, 0.01, 0.0, 0.01),
    "pack_V": (BATTERY + "CurrentVoltage", 0.1, 0.1, 0.0, 0.002),
    "pack_A": (AMPS, 0.1, 0.1, 0.15, 0.005),
    "charge": (BATTERY + "StateOfCharge.Current", 0.1, 0.0, 0.0, 0.0),
    "small": (BATTERY + "DCDC.InputPower", 10.0, 5.0, 0.0, 0.03),
    "low_V": ("LowVoltageBattery.CurrentVoltage", 0.1, 0.03, 0.0, 0.004),
    "cell_low": (BATTERY + "CellVoltage.Min", 0.001, 0.001, 0.0, 0.0),
    "cell_high": (BATTERY + "CellVoltage.Max", 0.001, 0.001, 0.0, 0.0),
    "speed": ("Speed", 0.1, 0.0, 0.0, 0.0),
    "outside": ("Exterior.AirTemperature", 0.5, 0.0, 0.8, 0.0),
    "cabin": ("Cabin.HVAC.AmbientAirTemperature", 0.5, 0.1, 0.5, 0.0),
    "wants_cabin": ("Cabin.HVAC.IsConditioningRequested", 1.0, 0.0, 0.0, 0.0),
    "unit": (MOTOR + "*.StandstillHeat", 0.02, 0.01, 0.0, 0.015),
    "metal": (MOTOR + "*.Temperature", 1.0, 0.3, 1.0, 0.0),
    "heater": ("Cabin.HVAC.Heater.*.Power", 20.0, 8.0, 0.0, 0.015),
}
STATES = ("wants", "cable", "wants_cabin")
TEMPERATURES = ("coldest", "warmest", "mean", "inlet", "outlet", "outside", "cabin", "metal")


@dataclass(frozen=True)
class Crude:
    """How a recording is made: a row every so often, coarse steps, what is left out, units."""

    period_s: float = 1.0
    whole_degrees: bool = False
    without: Collection[str] = ()
    fahrenheit: bool = False
    turned: bool = False
    milli: bool = False
    litres_per_h: bool = False


@dataclass(frozen=True)
class Off:
    """A sensor that is off: which, how (``stuck``, ``drift``, ``offset``, ``scale``), since
    when [s], and by how much [unit, unit/h]; a stuck one may show a value of its own."""

    which: str
    how: str
    from_s: float = 0.0
    size: float = 0.0


@dataclass(frozen=True)
class Errors:
    """What the sensors of one car are off by for good; drawn once for each car."""

    seed: int
    drawn: dict[str, tuple[float, float]] = field(default_factory=dict)

    def of(self, name: str, zero: float, gain: float) -> tuple[float, float]:
        """Zero and gain of a sensor."""
        if name not in self.drawn:
            rng = np.random.default_rng([self.seed, *name.encode()])
            a, b = np.clip(rng.normal(size=2), -2.0, 2.0)
            self.drawn[name] = (float(a) * zero, float(b) * gain)
        return self.drawn[name]


def _broken(values: np.ndarray, t: np.ndarray, off: Off) -> np.ndarray:
    after = t >= off.from_s
    if off.how == "stuck":
        at = int(np.argmax(after))
        return np.where(after, values[at] + off.size, values)
    if off.how == "drift":
        return values + off.size * np.maximum(t - off.from_s, 0.0) / 3600.0
    if off.how == "scale":
        return np.where(after, values * (1.0 - off.size), values)
    return values + off.size * after


def _unit(name: str, crude: Crude) -> tuple[str, float, float]:
    """Unit on the table, factor and addition to it."""
    if name in TEMPERATURES:
        return ("degF", 1.8, 32.0) if crude.fahrenheit else ("degC", 1.0, 0.0)
    if name in ("pack_A", "ac_A"):
        return ("mA", 1e3, 0.0) if crude.milli else ("A", 1.0, 0.0)
    if name == "flow":
        return ("l/h", 60.0, 0.0) if crude.litres_per_h else ("l/min", 1.0, 0.0)
    units = {"ac_V": "V", "pack_V": "V", "low_V": "V", "cell_low": "V", "cell_high": "V",
             "limit": "kW", "given": "kW", "unit": "kW", "small": "W", "heater": "W",
             "charge": "percent", "speed": "km/h"}  # fmt: skip
    return units[name], 1.0, 0.0


def written(
    car: PlainCar, day: Day, crude: Crude, errors: Errors, offs: Mapping[str, Off], folder: Path
) -> tuple[Path, Path]:
    """Live a morning, and write its table and its car's file."""
    truth = live_through(car, day)
    rng = np.random.default_rng([day.seed, 9])
    second = np.arange(day.seconds, dtype=float)
    rows = np.arange(0.0, day.seconds - 1, crude.period_s)
    columns = {"time [s]": np.round(rows, 3)}
    lines = ["[vehicle]", f'name = "{car.name}"', "[pack]",
             f"usable_energy_kWh = {car.ampere_hours * car.cells * 3.6 / 1e3:.1f}",
             "[drive_units]", f"count = {len(car.units)}"]  # fmt: skip
    for short, true in truth.items():
        kind, _, place = short.partition(" ")
        if kind in crude.without:
            continue
        path, step, noise, zero, gain = SENSED[kind]
        path = path.replace("*", place)
        column = f"ch{len(columns):02d}"
        if kind in STATES:
            held = true[rows.astype(int)]
            columns[column] = held.astype(int)
            lines += [f'[signals."{path}"]', f'from = "{column}"']
            continue
        a, b = errors.of(short, zero, gain)
        seen = true * (1.0 + b) + np.where(true == 0.0, 0.0, a)
        if short in offs:
            seen = _broken(seen, second, offs[short])
        unit, factor, add = _unit(kind, crude)
        seen = np.interp(rows, second, seen)
        if short not in offs or offs[short].how != "stuck":
            seen = seen + np.where(seen == 0.0, 0.0, rng.normal(0.0, noise, len(rows)))
        else:
            late = rows >= offs[short].from_s
            seen = seen + np.where(late, 0.0, rng.normal(0.0, noise, len(rows)))
        if crude.whole_degrees and kind in TEMPERATURES:
            step = 1.0
        sign = -1 if crude.turned and kind == "pack_A" else 1
        step = step if unit == "degF" else step * factor
        columns[column] = np.round(np.round((seen * factor + add) * sign / step) * step, 4)
        lines += [f'[signals."{path}"]', f'from = "{column}"', f'unit = "{unit}"']
        if sign < 0:
            lines.append("sign = -1")
    table = np.column_stack(list(columns.values()))
    log, file = folder / "morning.csv", folder / "car.toml"
    np.savetxt(log, table, "%.10g", ",", header=",".join(columns), comments="")
    file.write_text("\n".join(lines), encoding="utf-8")
    return log, file


def lived(
    car: PlainCar, day: Day, crude: Crude, errors: Errors, offs: Mapping[str, Off], name: str,
    number: int = 0,
) -> Recording:  # fmt: skip
    """Live a morning, write it and read it back like anyone's."""
    with tempfile.TemporaryDirectory() as inside:
        log, file = written(car, day, crude, errors, offs, Path(inside))
        starts = datetime(2026, 1, 1 + number, 6, tzinfo=UTC).timestamp()
        return gather([log], read_vehicle(file), None, recording_id=name, starts_at=starts)
