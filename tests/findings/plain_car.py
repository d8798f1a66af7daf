"""A car by arithmetic, with faults: few lumps, coolant in balance, a second apart.

It shares nothing with the simulator, neither equations nor numbers, so that findings are not
judged by one writer's idea of a car alone. kJ/K, kW/K, kW, l/min, V, A, degC, s throughout.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

#: Heat of a litre of glycol and water [kJ/(l*K)]; common practice and no source.
LITRE = 3.55
#: Lumps of the pack along the coolant.
LUMPS = 4


@dataclass(frozen=True)
class PlainCar:
    """How the car is built."""

    name: str = "Plain"
    pack_kJ: float = 420.0
    cells: int = 100
    ampere_hours: float = 180.0
    milliohm: float = 160.0
    activation: float = 21_000.0
    is_flat: bool = False
    units: tuple[str, ...] = ("Front", "Rear")
    unit_kW: float = 3.0
    unit_kJ: float = 20.0
    unit_kW_per_K: float = 0.16
    litres: float = 9.0
    litres_per_K: float = 0.012
    plate_kW_per_K: float = 0.8
    loop_kJ: float = 9.0
    hose_kW_per_K: float = 0.003
    pack_loss_kW_per_K: float = 0.011
    late_s: float = 200.0
    charge_from: float = 0.5
    kW_per_K: float = 3.0
    efficiency: float = 0.95
    standing_kW: float = 0.09
    heaters: Mapping[str, float] = field(default_factory=lambda: {"Air": 4.5})
    base_kW: float = 0.32
    converter_V: float = 13.9
    warm_to: float = 8.0
    helps_kW: float = 3.0


@dataclass(frozen=True)
class Day:
    """What happens on a morning; ``bad`` names what is broken: since when, and how much."""

    outside: float = -10.0
    soak: float = -9.0
    seconds: int = 4500
    plug_s: int = 60
    volts: float = 235.0
    amps: float = 32.0
    line_ohm: float = 0.08
    charge: float = 0.5
    cabin_from_s: int | None = 1800
    bad: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    seed: int = 0

    def by(self, what: str, t: float) -> float:
        """How much something is broken at an instant; zero if it is not."""
        since, size = self.bad.get(what, (np.inf, 0.0))
        return size if t >= since else 0.0


def rest_V(car: PlainCar, charge: float) -> float:
    """A cell's voltage at rest: a straight line, nearly level for a flat chemistry."""
    return 3.27 + 0.06 * charge if car.is_flat else 3.40 + 0.75 * charge


def _live(day: Day, t: int) -> bool:
    begin, size = day.bad.get("interrupted", (np.inf, 0.0))
    gone = t >= begin and (t - begin) % 600 < size
    return t >= day.plug_s + 3 and not gone


def live_through(car: PlainCar, day: Day) -> dict[str, np.ndarray]:
    """Live the morning second by second; every quantity by a short name."""
    rng = np.random.default_rng(day.seed)
    lumps = np.full(LUMPS, day.soak)
    metal = [day.soak] * len(car.units)
    inlet = outlet = coldest = air = inside = day.soak
    heat, given, on_s, done = 0.0, 0.0, -1e9, False
    charge, sway, wind = day.charge, 0.0, float(rng.uniform(0.8, 1.5))
    rows = []
    for t in range(day.seconds):
        sway += -sway / 60.0 + 0.05 * rng.normal()
        live = _live(day, t)
        wants = t >= day.plug_s + 20
        wants_cabin = day.cabin_from_s is not None and t >= day.cabin_from_s
        open_V = day.volts * (1.0 + 0.002 * sway) * (1.0 - day.by("grid-sag", t))
        done = (done and coldest > car.warm_to - 3.0) or coldest >= car.warm_to
        # the cabin first asks for all, then eases over the last kelvins
        share = float(np.clip((21.0 - air) / 4.0, 0.0, 1.0)) if wants_cabin else 0.0
        first = next(iter(car.heaters))
        cabin = {n: kW * share * (1.0 - (n == first) * day.by("element-dead", t))
                 for n, kW in car.heaters.items()}  # fmt: skip
        cabin_kW = sum(cabin.values())
        small = car.base_kW + (0.12 if heat > 0.1 else 0.0) + 0.01 * sway
        line = day.line_ohm + day.by("long-cable", t)
        most_W = day.amps * (open_V - line * day.amps) if live else 0.0
        keeps = car.efficiency - day.by("lossy", t)
        ceiling = max(keeps * most_W / 1e3 - car.standing_kW, 0.0)
        room = max(ceiling - small - cabin_kW, 0.0) + car.helps_kW
        whole = car.unit_kW * (1.0 - day.by("slow-heat", t))
        each = [whole * (1.0 - (i == 0) * day.by("unit-dead", t)) for i in range(len(car.units))]
        aim = min(sum(each), room) if wants and live and not done else 0.0
        heat += float(np.clip(aim - heat, -1.0, 0.4))
        units = [heat * e / max(sum(each), 1e-9) for e in each]
        if heat > 0.1:
            on_s = t
        flow = max(car.litres + car.litres * car.litres_per_K * outlet, 0.3 * car.litres)
        flow *= (1.0 - day.by("weak-pump", t)) if t - on_s < 180 else 0.0
        carries = flow / 60.0 * LITRE
        # drive units into the coolant, along the pack, back: each place follows what passes it
        to_coolant = [car.unit_kW_per_K * (0.1 + 0.9 * min(flow / car.litres, 1.2)) * (m - inlet)
                      for m in metal]  # fmt: skip
        metal = [m + (q - out - 0.0015 * (m - day.outside)) / car.unit_kJ
                 for m, q, out in zip(metal, units, to_coolant, strict=True)]  # fmt: skip
        hose = car.hose_kW_per_K * wind
        lost = (hose + day.by("valve", t) * (flow > 0.5)) * (outlet - day.outside)
        inlet += (sum(to_coolant) + carries * (outlet - inlet) - lost) / car.loop_kJ
        along, into = inlet, np.zeros(LUMPS)
        plate = car.plate_kW_per_K * (1.0 - day.by("fouled", t)) / LUMPS
        for i in range(LUMPS):
            if carries > 0.01:
                gone = 1.0 - np.exp(-plate * (flow / car.litres) ** 0.4 / carries)
                into[i] = carries * (along - lumps[i]) * gone
                along -= into[i] / carries
        if carries > 0.01:
            outlet += carries * (along - outlet) / (0.5 * car.loop_kJ)
        else:
            outlet += (lumps[-1] - outlet) / 400.0
            inlet += (lumps[0] - inlet) / 400.0
        mean = float(lumps.mean())
        late = car.late_s * (1.0 + day.by("group-cold", t))
        coldest += (float(lumps[-1]) - coldest) / late
        warm = max(coldest - car.charge_from, 0.0) if wants else 0.0
        limit = min(car.kW_per_K * warm, 0.35 * car.ampere_hours) * (charge < 0.9)
        limit *= 1.0 - day.by("refused", t)
        loads = heat + cabin_kW + small
        goal = min(ceiling, loads + limit) if wants and live else 0.0
        given += float(np.clip(goal - given, -3.0 if live else -99.0, 0.5))
        taken = (given + car.standing_kW) / keeps if live and given > 0.0 else 0.0
        pack = given - loads
        kelvin = 1.0 / (mean + 273.15) - 1.0 / 273.15
        ohm = car.milliohm / 1e3 * np.exp(car.activation / 8.314 * kelvin)
        ohm *= 1.0 + day.by("aged", t)
        rest = car.cells * rest_V(car, charge)
        joint = day.by("group-joint", t) * ohm / car.cells
        amps = pack * 1e3 / rest
        volts = rest + amps * (ohm + joint)
        charge += amps / 3600.0 / car.ampere_hours
        lacks = day.by("group-capacity", t)
        weak = volts / car.cells + amps * joint
        weak += rest_V(car, 1.0 - (1.0 - charge) / (1.0 - lacks)) - rest_V(car, charge)
        others = volts / car.cells
        loss = car.pack_loss_kW_per_K * wind / LUMPS * (lumps - day.outside)
        lumps = lumps + (into + amps**2 * ohm / 1e3 / LUMPS - loss) / (car.pack_kJ / LUMPS)
        air += (cabin_kW - 0.05 * (air - day.outside) - 0.07 * (air - inside)) / 40.0
        inside += 0.07 * (air - inside) / 120.0
        low = car.converter_V + 0.01 * sway if t > 6 else 12.5
        if day.by("no-converter", t):
            low = 12.4 - 0.3 * (t - day.bad["no-converter"][0]) / 3600.0
        low -= day.by("low-battery", t)
        drawn = taken * 1e3 / open_V if open_V > 1.0 else 0.0
        seen_V = (open_V - line * drawn) if live else 0.0
        row = {"coldest": coldest, "warmest": max(float(lumps.max()), coldest), "mean": mean,
               "inlet": inlet, "outlet": outlet, "flow": flow, "limit": limit, "wants": wants,
               "cable": t >= day.plug_s, "ac_V": seen_V, "ac_A": drawn, "given": given,
               "pack_V": volts, "pack_A": amps, "charge": 100.0 * charge, "small": small * 1e3,
               "low_V": low, "cell_low": min(weak, others) - 0.004, "speed": 0.0,
               "cell_high": max(weak, others) + 0.004, "outside": day.outside, "cabin": air,
               "wants_cabin": wants_cabin}  # fmt: skip
        row |= {f"unit {n}": q for n, q in zip(car.units, units, strict=True)}
        row |= {f"metal {n}": q for n, q in zip(car.units, metal, strict=True)}
        row |= {f"heater {n}": 1e3 * q for n, q in cabin.items()}
        rows.append(row)
    return {name: np.array([row[name] for row in rows], dtype=float) for name in rows[0]}
