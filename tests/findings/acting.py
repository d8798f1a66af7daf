"""Mornings on which a fault of each kind acts, so that its size alone decides.

Cold and long, with a strong supply and charging asked for, the car standing; or mild, where
charge must go in. The two earlier mornings are alike, at other temperatures.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tests.findings.mornings import FAULTS, OLD, Car, Injected, _fault, morning, weather
from thawline.simulator.charger import Supply
from thawline.simulator.events import Logger, Wish
from thawline.simulator.scenario import Scenario

#: Faults that show while charge goes in or out, and not while a cold pack is warmed.
ON_CHARGE = ("aged-cells", "module-resistance", "module-capacity", "module-joint")
LONG_S = 4500.0


def _scenario(of: Car, seed: int, which: int, what: str) -> Scenario:
    rng = np.random.default_rng([seed, 31, which, sorted(FAULTS).index(what)])
    low, high = (-4.0, 8.0) if what in ON_CHARGE else (-19.0, -7.0)
    degC = round(float(rng.uniform(low, high)), 1)
    heats_cabin = what in ("dead-heater", "dead-element")
    room = Wish("cabin", 300.0 if heats_cabin else 2000.0, LONG_S, 21.0)
    supply = Supply(230.0, 16.0, 3, 80.0) if of.phases == 3 else Supply(240.0, 48.0, 1, 60.0)
    found = replace(
        morning(of, seed, which), duration_s=LONG_S, ambient_degC=degC, soak_degC=degC + 0.5,
        charge_pct=round(float(rng.uniform(28.0, 50.0)), 1), target_pct=100.0,
        plugged_s=((60.0, LONG_S),), supply=supply, offers=(), drive=(), logger=Logger(),
        wishes=(Wish("charging", 80.0, LONG_S), room),
    )  # fmt: skip
    return weather(found, rng)


def acting(of: Car, seed: int, what: str, size: float) -> tuple[Injected, list[Scenario]]:
    """Give a morning on which a fault acts, and two sound ones before it."""
    rng = np.random.default_rng([seed, 32, sorted(FAULTS).index(what)])
    now = _scenario(of, seed, 10, what)
    begins = of.build.limits.charging_from_degC
    if what == "charging-refused":
        degC = round(begins + 1.0 + 0.7 * size, 1)
        now = replace(now, ambient_degC=degC - 1.0, soak_degC=degC)
    at = 0.0 if what in OLD else float(rng.uniform(0.15, 0.35)) * LONG_S
    if what.startswith("dead"):
        at = 520.0
    fault = _fault(what, of, now, size, round(at, 1), rng)
    now = replace(now, faults=(fault,), name=f"{now.name}-{what}")
    # what is there from the beginning shows against a past; what breaks, within the morning
    earlier = [_scenario(of, seed, which, what) for which in range(2 if what in OLD else 0)]
    return Injected(fault, FAULTS[what][0], size, now), earlier
