"""Random buses: names, identifiers, byte orders, units, resolutions, rates, what is missing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil, log2

import numpy as np

from tests.simulator.strange_build import word
from thawline.quantities import convert
from thawline.signals.catalogue import find_signal
from thawline.simulator.build import Build
from thawline.simulator.layout import BusLayout, BusMessage, BusSignal, Sensor, placed_all
from thawline.simulator.observed import cable_path, shaped

BATTERY = "Powertrain.TractionBattery."
CHARGING = BATTERY + "Charging."
MOTOR = "Powertrain.ElectricMotor."


@dataclass(frozen=True)
class Kind:
    """What signals of a kind may look like: range in the catalogue's unit, units with their
    steps, errors (share, absolute in the catalogue's unit), accuracies to state, periods [s]."""

    low: float
    high: float
    units: dict[str, tuple[float, ...]]
    share: float = 0.0
    absolute: float = 0.0
    stated: str = ""
    periods: tuple[float, ...] = (0.5, 1.0, 2.0)


SLOW, MEDIUM, FAST = (0.5, 1.0, 2.0, 5.0), (0.1, 0.2, 0.5, 1.0), (0.02, 0.05, 0.1, 0.2, 0.5, 1.0)
WARM = {"degC": (0.1, 0.5, 1.0, 0.25), "°C": (0.1, 0.5), "degF": (0.5, 1.0)}
KINDS = {
    "cell": Kind(-40, 80, WARM, 0.0, 0.0, "0.5 K", SLOW),
    "fluid": Kind(-40, 120, WARM, 0.0, 0.15, "0.3 K", MEDIUM),
    "winding": Kind(-40, 200, {"degC": (1.0, 0.5)}, 0.0, 1.0, "2 K", MEDIUM),
    "air": Kind(-40, 85, {"degC": (0.5, 1.0, 0.1), "degF": (1.0,)}, 0.0, 0.0, "", SLOW),
    "pack V": Kind(0, 1000, {"V": (0.1, 0.01, 0.5)}, 0.002, 0.0, "0.5 %", FAST),
    "pack A": Kind(
        -800, 800, {"A": (0.05, 0.1, 0.01), "mA": (50.0, 100.0)}, 0.004, 0.0, "1 %", FAST
    ),
    "pack W": Kind(-3e5, 3e5, {"W": (10.0, 20.0), "kW": (0.01, 0.05)}, 0.005, 0.0, "1 %", FAST),
    "limit": Kind(0, 300, {"kW": (0.1, 0.25, 0.05), "W": (50.0, 100.0, 10.0)}, periods=MEDIUM),
    "heat": Kind(0, 10, {"kW": (0.01, 0.05), "W": (5.0, 10.0, 20.0)}, 0.01, 0.0, "2 %", MEDIUM),
    "heater": Kind(0, 9000, {"W": (10.0, 25.0), "kW": (0.02, 0.01)}, 0.01, 0.0, "3 %", MEDIUM),
    "AC V": Kind(0, 500, {"V": (0.1, 0.5, 1.0)}, 0.004, 0.0, "1 %", MEDIUM),
    "AC A": Kind(0, 100, {"A": (0.1, 0.05), "mA": (50.0, 100.0)}, 0.006, 0.0, "1.5 %", MEDIUM),
    "DC A": Kind(0, 400, {"A": (0.1, 0.5)}, 0.005, 0.0, "1 %", MEDIUM),
    "given": Kind(0, 300, {"kW": (0.01, 0.05), "W": (10.0, 20.0)}, 0.006, 0.0, "2 %", MEDIUM),
    "flow": Kind(0, 30, {"l/min": (0.1, 0.2), "l/h": (1.0, 5.0, 10.0)}, 0.02, 0.0, "5 %", MEDIUM),
    "charge": Kind(0, 102, {"percent": (0.1, 0.05), "%": (0.1, 0.5)}, periods=SLOW),
    "shown": Kind(0, 102, {"percent": (0.5, 1.0), "%": (0.5, 1.0)}, periods=SLOW),
    "duty": Kind(0, 100, {"percent": (0.5, 1.0), "%": (0.1,)}, periods=SLOW),
    "offer": Kind(0, 500, {"A": (0.5, 1.0, 0.1)}, periods=SLOW),
    "speed": Kind(0, 250, {"km/h": (0.01, 0.05, 0.1), "mph": (0.01, 0.05)}, periods=FAST),
    "small": Kind(0, 4000, {"W": (5.0, 10.0), "kW": (0.005,)}, 0.01, 0.0, "5 %", SLOW),
    "shaft": Kind(-300, 300, {"kW": (0.05, 0.1, 0.5)}, 0.01, 0.0, "5 %", MEDIUM),
}
STATE_LABELS = (("off", "on"), ("Nein", "Ja"), ("ei", "on_kytketty"), ("0_inaktiv", "1_aktiv"))
SIGNS = ("pack A", "pack W")


def _wanted(
    build: Build, rng: np.random.Generator, phases: int, has_direct: bool
) -> list[tuple[str, str, str]]:
    """Choose which paths are on the bus: path, kind (``state`` for states), group that is
    there as a whole or not at all."""
    units, heaters = build.drive_units.positions, build.cabin.heaters_W
    found = [
        (BATTERY + "Temperature.Min", "cell", "coldest"),
        (BATTERY + "Temperature.Max", "cell", "warmest"),
        (BATTERY + "Temperature.Average", "cell", "mean"),
        (BATTERY + "StateOfCharge.Current", "charge", "charge"),
        (BATTERY + "StateOfCharge.Displayed", "shown", "shown"),
        (BATTERY + "CurrentVoltage", "pack V", "pack"),
        (BATTERY + "CurrentCurrent", "pack A", "pack"),
        (BATTERY + "Limits.ChargePower", "limit", "charge limit"),
        (BATTERY + "Limits.RegenerationPower", "limit", "regeneration limit"),
        (BATTERY + "Coolant.InletTemperature", "fluid", "coolant"),
        (BATTERY + "Coolant.OutletTemperature", "fluid", "coolant"),
        (BATTERY + "Coolant.Flow", "flow", "flow"),
        (CHARGING + "OutputPower", "given", "given"),
        (CHARGING + "IsRequested", "state", "request"),
        (CHARGING + "ChargeLimit", "charge", "charge goal"),
        (BATTERY + "DCDC.InputPower", "small", "small"),
        ("Cabin.HVAC.AmbientAirTemperature", "air", "cabin air"),
        ("Cabin.HVAC.IsConditioningRequested", "state", "cabin request"),
        ("Exterior.AirTemperature", "air", "outside"),
        ("Speed", "speed", "speed"),
        (cable_path(build), "state", "cable"),
        (MOTOR + "Power", "shaft", "shaft"),
        (
            (CHARGING + "PilotDutyCycle", "duty", "offer")
            if rng.random() < 0.4
            else (CHARGING + "OfferedCurrent", "offer", "offer")
        ),
    ]
    for i in range(phases):
        found.append((f"{CHARGING}ChargeCurrent.Phase{i + 1}", "AC A", "supply"))
        found.append((f"{CHARGING}ChargeVoltage.Phase{i + 1}", "AC V", "supply"))
    if has_direct:
        found.append((CHARGING + "ChargeCurrent.DC", "DC A", "direct"))
        found.append((CHARGING + "ChargeVoltage.DC", "pack V", "direct"))
    if build.coolant.heater_kW:
        found.append((BATTERY + "Heater.Power", "heater", "heat"))
    elif rng.random() < 0.25:
        found.append((MOTOR + "StandstillHeat", "heat", "heat"))
    else:
        found += [(f"{MOTOR}{unit}.StandstillHeat", "heat", "heat") for unit in units]
    found += [(f"{MOTOR}{unit}.Temperature", "winding", "windings") for unit in units]
    found += [(f"Cabin.HVAC.Heater.{shaped(h)}.Power", "heater", "heaters") for h in heaters]
    if rng.random() < 0.15:  # a bus that shows the pack's power and not its current
        found = [
            (BATTERY + "CurrentPower", "pack W", g) if k == "pack A" else (p, k, g)
            for p, k, g in found
        ]
    return found


#: Chance that a group is not on the bus, or unknown to the person [1].
MISSING = {"coldest": 0.02, "pack": 0.02, "supply": 0.03, "heat": 0.04, "heaters": 0.06}
MISSING |= {"direct": 0.0}
USUALLY = 0.12
#: Signals without noise, and the most noise that a cell's thermometer has [K].
CALM, CELL_NOISE = ("limit", "shown", "offer"), 0.12


def _name(rng: np.random.Generator, style: int, taken: set[str]) -> str:
    while True:
        if style == 0:
            name = f"S{int(rng.integers(16, 4096)):03X}_{int(rng.integers(100)):02d}"
        elif style == 1:
            name = word(rng, int(rng.integers(2, 4))).capitalize() + word(rng, 1).capitalize()
        else:
            name = f"{word(rng, 1).upper()}_{word(rng, 2)}{int(rng.integers(10))}"
        if name not in taken:
            taken.add(name)
            return name


def _signal(path: str, kind: str, rng: np.random.Generator, name: str) -> BusSignal:
    ready = float(rng.choice([0.0, 0.0, 1.0, 3.0, 8.0]))
    if kind == "state":
        if rng.random() < 0.5:
            return BusSignal(name, path, 1)
        length = int(rng.integers(2, 5))
        no, yes = (int(code) for code in rng.choice(2**length - 1, 2, replace=False))
        said = STATE_LABELS[int(rng.integers(len(STATE_LABELS)))]
        labels = {str(no): said[0], str(yes): said[1], str(2**length - 1): "SNA"}
        missing = 2**length - 1
        return BusSignal(
            name,
            path,
            length,
            codes=(no, yes),
            labels=labels,
            missing_code=missing,
            true_when=(said[1],),
            sensor=Sensor(ready_s=ready),
        )
    look, found = KINDS[kind], find_signal(path)
    assert found is not None
    unit = str(rng.choice(list(look.units)))
    step = float(rng.choice(look.units[unit]))
    low, high = (float(v) for v in convert(np.array([look.low, look.high]), found.unit, unit))
    per = (high - low) / (look.high - look.low)
    if rng.random() < 0.05 and kind != "shown":
        sensor = Sensor(noise=0.2 * step, ready_s=0.0)
        return BusSignal(name, path, 32, unit=unit, is_float=True, is_signed=True, sensor=sensor)
    scale = step if rng.random() < 0.7 else step / float(rng.choice([2.0, 4.0, 10.0]))
    signed = look.low < 0.0 and rng.random() < 0.5
    reach = 2.0 * max(abs(low), abs(high)) if signed else high - low
    length = ceil(log2(reach / scale + 2.0))
    sensor = Sensor(
        step=step,
        noise=float(rng.uniform(0.0, 0.5)) * step
        if kind not in ("limit", "shown", "offer")
        else 0.0,
        gain=float(np.clip(rng.normal(0.0, look.share), -2 * look.share, 2 * look.share)),
        offset=float(np.clip(rng.normal(), -2, 2)) * look.absolute * abs(per),
        lag_s=float(rng.uniform(0.5, 3.0)) if kind == "fluid" else 0.0,
        ready_s=ready,
    )
    offset = 0.0 if signed else (np.floor(low / step) * step if low < 0.0 else 0.0)
    missing = None
    if rng.random() < 0.6:
        missing = 2 ** (length - 1) - 1 if signed else 2**length - 1
    else:
        sensor = replace(sensor, ready_s=0.0)
    labels = {str(missing): "SNA"} if missing is not None and rng.random() < 0.4 else {}
    return BusSignal(
        name,
        path,
        length,
        scale=scale,
        offset=float(offset),
        unit=unit,
        sign=-1 if kind in SIGNS and rng.random() < 0.5 else 1,
        is_signed=signed,
        sensor=sensor,
        labels=labels,
        missing_code=missing,
        accuracy=look.stated if look.stated and rng.random() < 0.4 else "",
    )


def _messages(
    signals: Sequence[tuple[BusSignal, tuple[float, ...]]], rng: np.random.Generator, style: int
) -> list[BusMessage]:
    """Put signals of like rates into messages until each is full."""
    taken: set[str] = set()
    identifiers: set[int] = set()
    order = rng.permutation(len(signals))
    left = sorted((signals[i] for i in order), key=lambda pair: pair[1])
    made = []
    while left:
        periods, bits = left[0][1], int(rng.choice([16, 24, 32, 48, 64, 64]))
        bits = max(bits, 8 * ceil(left[0][0].length / 8))
        inside: list[BusSignal] = []
        while left and left[0][1] == periods:
            used = sum(signal.length for signal in inside)
            if used + left[0][0].length > bits:
                break
            inside.append(left.pop(0)[0])
        extended = bool(rng.random() < 0.25)
        identifier = int(rng.integers(0x80, 0x7E0))
        while identifier in identifiers:
            identifier = int(rng.integers(0x80, 0x7E0))
        identifiers.add(identifier)
        if extended:
            identifier = 0x18000000 + identifier * 0x101
        made.append(
            BusMessage(
                _name(rng, style, taken),
                identifier,
                float(rng.choice(periods)),
                bits // 8,
                tuple(inside),
                extended,
                bool(rng.random() < 0.5),
                float(rng.uniform(0.0, 0.05)),
            )
        )
    return made


def strange_bus(build: Build, rng: np.random.Generator, phases: int, has_direct: bool) -> BusLayout:
    """Draw a bus for a vehicle."""
    style = int(rng.integers(3))
    wanted = _wanted(build, rng, phases, has_direct)
    groups = dict.fromkeys(group for _, _, group in wanted)
    gone = {g for g in groups if rng.random() < MISSING.get(g, USUALLY)}
    taken: set[str] = set()
    signals = [
        (
            _signal(path, kind, rng, _name(rng, style, taken)),
            SLOW if kind == "state" else KINDS[kind].periods,
        )
        for path, kind, group in wanted
        if group not in gone
    ]
    made = tuple(_messages(signals, rng, style))
    return placed_all(BusLayout(made, str(rng.choice(["can0", "can1", "vcan0", "slcan0"]))))
