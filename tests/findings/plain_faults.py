"""Draw plain cars, their mornings and what is broken on them, of a size to be called out."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tests.findings.plain_car import Day, PlainCar
from tests.findings.plain_log import Crude, Off

SUPPLIES = ((230.0, 32.0), (230.0, 16.0), (240.0, 48.0), (240.0, 32.0), (208.0, 30.0),
            (230.0, 10.0), (120.0, 12.0))  # fmt: skip
SETS = (("Front", "Rear"), ("A", "B"), ("Rear",), ("Left", "Right", "Front"))
OPTIONAL = (
    "warmest", "mean", "inlet", "flow", "limit", "wants", "cable", "given", "charge", "small",
    "low_V", "cell", "outside", "cabin", "wants_cabin", "metal", "speed",
)  # fmt: skip


@dataclass(frozen=True)
class Kind:
    """A fault: what it should be called, sizes, what must be recorded, whether it shows only
    against earlier mornings, whether it begins within the morning, at once, or either."""

    kind: str
    low: float
    high: float
    needs: str
    past: bool = False
    begins: str = "either"


KINDS = {
    "weak-pump": Kind("weak-coolant-flow", 0.45, 0.75, "flow", begins="within"),
    "weak-pump-before": Kind("weak-coolant-flow", 0.45, 0.75, "flow", True, "start"),
    "pump-unseen": Kind("weak-coolant-flow", 0.6, 0.8, "inlet unit mean", begins="within"),
    "pump-dead": Kind("weak-coolant-flow", 0.97, 0.99, "flow"),
    "flow-meter": Kind("coolant-sensor", 0.5, 1.0, "flow inlet unit", begins="within"),
    "valve": Kind("heat-lost-outside", 0.06, 0.2, "flow inlet unit"),
    "valve-unmetered": Kind("heat-lost-outside", 0.1, 0.25, "inlet unit mean", begins="within"),
    "unit-dead": Kind("heater-dead", 0.7, 1.0, "unit"),
    "element-dead": Kind("heater-dead", 0.34, 1.0, "heater cabin wants_cabin", begins="within"),
    "element-before": Kind("heater-dead", 0.34, 1.0, "heater cabin wants_cabin", True, "start"),
    "refused": Kind("charging-refused-warm", 1.0, 1.0, "coldest limit"),
    "refused-unsaid": Kind("charging-refused-warm", 1.0, 1.0, "coldest wants ac_V"),
    "interrupted": Kind("supply-cut", 20.0, 150.0, "ac_V cable", begins="within"),
    "long-cable": Kind("supply-sagging", 0.1, 0.18, "ac_V", begins="start"),
    "grid-sag": Kind("supply-sagging", 0.11, 0.18, "ac_V", begins="within"),
    "lossy": Kind("lossy-charger", 0.12, 0.22, "ac_V ac_A given"),
    "lossy-unseen": Kind(
        "lossy-charger", 0.15, 0.25, "ac_V ac_A pack_A unit heater small", begins="start"
    ),
    "aged": Kind("resistance-growth", 0.4, 1.0, "pack_V pack_A mean", True, "start"),
    "group-joint": Kind("lagging-cell-group", 1.5, 4.0, "cell pack_A pack_V", begins="start"),
    "group-capacity": Kind("lagging-cell-group", 0.12, 0.3, "cell pack_A charge", begins="start"),
    "slow-heat": Kind("slower-warming", 0.4, 0.6, "unit coldest wants pack_A", True, "start"),
    "fouled": Kind("slower-warming", 0.6, 0.8, "mean inlet unit", True, "start"),
    "group-cold": Kind("lagging-cell-group", 3.0, 6.0, "coldest mean unit", True, "start"),
    "low-battery": Kind("low-voltage-trouble", 2.0, 3.0, "low_V"),
    "no-converter": Kind("low-voltage-trouble", 1.0, 1.0, "low_V"),
    "coldest stuck": Kind("coldest-cell-sensor", 0.0, 0.0, "coldest mean"),
    "coldest stuck off": Kind("coldest-cell-sensor", 4.0, 12.0, "coldest mean", begins="start"),
    "coldest drift": Kind("coldest-cell-sensor", 8.0, 16.0, "coldest mean unit"),
    "coldest offset": Kind("coldest-cell-sensor", 4.0, 9.0, "coldest mean inlet", begins="start"),
    "inlet stuck": Kind("coolant-sensor", 0.0, 0.0, "inlet unit"),
    "outlet stuck": Kind("coolant-sensor", 0.0, 0.0, "inlet unit"),
    "inlet drift": Kind("coolant-sensor", 8.0, 16.0, "inlet flow unit mean"),
    "outlet drift": Kind("coolant-sensor", 8.0, 16.0, "inlet flow unit mean"),
    "inlet offset": Kind("coolant-sensor", 4.5, 9.0, "inlet mean", begins="start"),
    "outlet offset": Kind("coolant-sensor", 4.5, 9.0, "inlet mean", begins="start"),
    "pack_A offset": Kind("current-sensor", 2.0, 5.0, "pack_A pack_V given unit heater small"),
    "pack_A offset few": Kind(
        "current-sensor", 2.5, 5.0, "pack_A pack_V ac_A ac_V unit heater", begins="start"
    ),
}
#: What is broken, where it bears another name.
ACTS = {
    "valve-unmetered": "valve",
    "weak-pump-before": "weak-pump", "pump-unseen": "weak-pump", "pump-dead": "weak-pump",
    "refused-unsaid": "refused", "element-before": "element-dead", "lossy-unseen": "lossy",
}  # fmt: skip
#: Faults that act on heat into a cold pack: a strong supply, a cold night and time.
ON_HEAT = (
    "weak-pump", "weak-pump-before", "pump-unseen", "pump-dead", "flow-meter", "valve",
    "valve-unmetered", "unit-dead", "slow-heat", "fouled", "group-cold",
)  # fmt: skip


def draw_car(seed: int) -> PlainCar:
    """Draw a car."""
    rng = np.random.default_rng([seed, 1])

    def at(low: float, high: float) -> float:
        return float(rng.uniform(low, high))

    names = ("Air", "Left", "Right")[: int(rng.integers(1, 4))]
    energy = at(28.0, 95.0)
    cells = int(rng.integers(86, 120))
    count = SETS[int(rng.choice(4, p=[0.4, 0.2, 0.25, 0.15]))]
    pack = energy * at(4.5, 7.5)
    return PlainCar(
        name=f"Plain{seed}", pack_kJ=pack, cells=cells, ampere_hours=energy * 1e3 / cells / 3.6,
        milliohm=at(70.0, 110.0) * 60.0 / energy, activation=at(18e3, 28e3),
        is_flat=bool(rng.random() < 0.4), units=count,
        unit_kW=at(4.0, 8.0) / len(count) if len(count) > 1 else at(3.0, 5.0),
        unit_kJ=at(12.0, 28.0), unit_kW_per_K=at(0.11, 0.25), litres=at(5.5, 12.0),
        litres_per_K=at(0.004, 0.016), plate_kW_per_K=pack * at(1.3, 2.6) / 1e3,
        loop_kJ=at(6.0, 14.0), hose_kW_per_K=at(0.001, 0.006),
        pack_loss_kW_per_K=pack / at(6.0, 18.0) / 3600.0, late_s=at(120.0, 330.0),
        charge_from=at(0.0, 2.0), kW_per_K=at(1.0, 5.0), efficiency=at(0.93, 0.965),
        standing_kW=at(0.05, 0.13), heaters={n: at(3.0, 6.0) / len(names) for n in names},
        base_kW=at(0.22, 0.42), converter_V=at(13.5, 14.5), warm_to=at(5.0, 12.0),
        helps_kW=float(rng.choice([0.0, 1.5, 4.0])),
    )  # fmt: skip


def draw_day(seed: int, which: int) -> Day:
    """Draw a sound morning."""
    rng = np.random.default_rng([seed, 2, which])
    outside = float(rng.uniform(-23.0, 2.0))
    volts, amps = SUPPLIES[int(rng.integers(len(SUPPLIES)))]
    return Day(
        outside=outside, soak=outside + float(rng.uniform(-1.0, 3.0)),
        seconds=int(rng.integers(3000, 6000)), plug_s=int(rng.integers(20, 240)), volts=volts,
        amps=amps, line_ohm=float(rng.uniform(0.03, 0.25)), charge=float(rng.uniform(0.2, 0.75)),
        cabin_from_s=int(rng.integers(200, 3000)) if rng.random() < 0.7 else None,
        seed=seed * 100 + which,
    )  # fmt: skip


def draw_crude(seed: int, keep: str = "") -> Crude:
    """Draw how the car is recorded; what is to be kept is."""
    rng = np.random.default_rng([seed, 3])
    kept = {name.removesuffix("_low").removesuffix("_high") for name in keep.split()}
    gone = [n for n in OPTIONAL if rng.random() < 0.17 and n not in kept]
    gone += ["outlet"] * ("inlet" in gone) + ["cell_low", "cell_high"] * ("cell" in gone)
    return Crude(
        period_s=float(rng.choice([0.5, 1.0, 1.0, 2.0, 5.0, 10.0])),
        whole_degrees=bool(rng.random() < 0.35), without=tuple(gone),
        fahrenheit=bool(rng.random() < 0.2), turned=bool(rng.random() < 0.4),
        milli=bool(rng.random() < 0.2), litres_per_h=bool(rng.random() < 0.3),
    )  # fmt: skip


@dataclass(frozen=True)
class Broken:
    """A morning with a fault: the car and the earlier mornings that suit it come along."""

    what: str
    kind: str
    size: float
    from_s: float
    car: PlainCar
    day: Day
    earlier: tuple[Day, ...]
    crude: Crude
    offs: dict[str, Off]


def draw_fault(seed: int, what: str, apart_K: float | None = None) -> Broken:
    """Draw a fault of a kind with the morning that shows it; earlier ones so much warmer."""
    rng = np.random.default_rng([seed, 4, sorted(KINDS).index(what)])
    kind = KINDS[what]
    car, day = draw_car(seed), draw_day(seed, 9)
    size = float(rng.uniform(kind.low, kind.high))
    days = [draw_day(seed, i) for i in range(int(rng.integers(1, 5)) if kind.past else
                                             int(rng.integers(0, 3)))]  # fmt: skip
    heats = what in ON_HEAT or "stuck" in what or "drift" in what
    if heats or what in (
        "long-cable",
        "lossy",
        "lossy-unseen",
        "aged",
        "group-joint",
        "group-capacity",
    ):
        cold = float(rng.uniform(-20.0, -7.0))
        strong = SUPPLIES[int(rng.choice([0, 2, 3, 4]))]
        day = _strong(day, cold, strong)
        if kind.past:
            days = [_strong(d, float(rng.uniform(-21.0, -5.0)), strong) for d in days]
    if heats:  # the target is far, so that heat goes on
        car = replace(car, warm_to=30.0)
    if what == "unit-dead" and len(car.units) == 1:
        car = replace(car, units=("Front", "Rear"), unit_kW=3.0)
    if what.startswith("element"):
        day = replace(day, cabin_from_s=600, outside=min(day.outside, -8.0), soak=-9.0)
        days = [replace(d, cabin_from_s=900, outside=min(d.outside, -5.0), soak=-6.0)
                for d in days]  # fmt: skip
    if what.startswith("refused"):
        warm = float(rng.uniform(7.0, 14.0))
        day = replace(day, outside=warm - 1.0, soak=warm, charge=min(day.charge, 0.6))
    if what in ("aged", "group-joint", "group-capacity"):  # charge goes in, and the current moves
        day = replace(day, soak=float(rng.uniform(0.0, 8.0)), cabin_from_s=1500)
        days = [replace(d, soak=float(rng.uniform(-2.0, 10.0)), cabin_from_s=1800) for d in days]
    if what == "group-capacity":  # of a level voltage nothing can be told
        car = replace(car, is_flat=False)
    if what == "refused-unsaid":  # nothing else may take what comes from the supply
        day = replace(day, cabin_from_s=None)
    if what == "pack_A offset few":  # only what is before the plug tells
        day = replace(day, plug_s=240)
    if what == "slow-heat":
        car = replace(car, helps_kW=20.0)
    at = 0.0
    if kind.begins == "within" or (kind.begins == "either" and rng.random() < 0.6):
        at = float(rng.uniform(0.15, 0.4)) * day.seconds
    if what.startswith("element") and at:
        at = float(rng.uniform(720.0, 860.0))
    turns = float(rng.choice([-1.0, 1.0]))
    if apart_K is not None:
        days = [replace(d, outside=day.outside + apart_K, soak=day.soak + apart_K) for d in days]
    offs: dict[str, Off] = {}
    name, _, how = what.partition(" ")
    if how:
        off = how.split()[0]
        offs[name] = Off(name, off, at, turns * size)
    elif what == "flow-meter":
        offs["flow"] = Off("flow", "scale", at, size)
    else:
        day_has = ACTS.get(what, what)
        size = size * day.volts / day.amps if what == "long-cable" else size
        day = replace(day, bad={day_has: (at, size)})
    crude = draw_crude(seed, kind.needs)
    more = {"pump-unseen": ("flow",),
        "valve-unmetered": ("flow",), "lossy-unseen": ("given",), "refused-unsaid": ("limit",),
            "pack_A offset few": ("given", "small")}.get(what, ())  # fmt: skip
    crude = replace(crude, without=(*crude.without, *more))
    longest = {"interrupted": 5.0, "aged": 2.0}.get(what, 10.0)  # what is brief needs samples
    crude = replace(crude, period_s=min(crude.period_s, longest))
    return Broken(what, kind.kind, size, at, car, day, tuple(days), crude, offs)


def _strong(day: Day, cold: float, supply: tuple[float, float]) -> Day:
    volts, amps = supply
    return replace(day, outside=cold, soak=cold + 0.5, volts=volts, amps=amps, line_ohm=0.08,
                   seconds=max(day.seconds, 4500), charge=min(day.charge, 0.7))  # fmt: skip
