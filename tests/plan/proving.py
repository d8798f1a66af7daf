"""Cars of the simulator that are taught, planned for, and then do what the plan says."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tests.simulator.strange_build import strange_build
from tests.story.simulated import gannet_build, record
from thawline.forecast.limits import learn
from thawline.physics.air import dew_point_degC
from thawline.plan.asked import Asked, Supply, Wishes
from thawline.plan.bench import lay_out
from thawline.plan.by_time import ByTime, constant
from thawline.plan.car import PlanCar
from thawline.plan.know import know_car
from thawline.plan.programme import runs
from thawline.plan.secure import Secured, secure
from thawline.plan.shown import Morning
from thawline.plan.trial import Bench
from thawline.recording.flows import make_flows
from thawline.simulator.build import Build
from thawline.simulator.charger import Supply as SimulatedSupply
from thawline.simulator.run import simulate
from thawline.simulator.scenario import Scenario, Wish
from thawline.story.tell import tell
from thawline.warmup.fit import fit
from thawline.warmup.mornings import prior_from

NOW_S = 1_800_000_000.0
SUPPLIES = ((230.0, 16.0, 1), (208.0, 24.0, 1), (230.0, 32.0, 1), (240.0, 40.0, 1),
            (230.0, 16.0, 3), (230.0, 20.0, 1))  # fmt: skip
LIMIT = "Powertrain.TractionBattery.Limits.RegenerationPower"
CHARGE = "Powertrain.TractionBattery.StateOfCharge.Current"


def taught(build: Build, seed: int, mornings: int = 2) -> PlanCar:
    """Let a car of the simulator teach us on a few mornings."""
    rng = np.random.default_rng([seed, 5])
    recordings = []
    for i in range(mornings):
        soak = float(rng.uniform(-14.0, -4.0))
        scenario = Scenario(
            f"lesson-{i}", "2026-01-10T05:00:00Z", 5400.0, soak, soak, 45.0,
            plugged_s=((30.0, 5400.0),), supply=SimulatedSupply(230.0, 32.0),
            wishes=(Wish("charging", 60.0, 5400.0), Wish("cabin", 2400.0, 5000.0, 21.0)),
            seed=seed * 10 + i,
        )  # fmt: skip
        recordings.append(record(simulate(build, scenario), seed * 10 + i))
    known = []
    for each in recordings:
        flows = make_flows(each)
        known.append(Morning(each, flows, tell(each, flows)))
    fits = [fit(m.recording, m.flows, m.story) for m in known]
    vehicle = recordings[-1].vehicle
    return know_car(vehicle, known, fits, prior_from(fits), learn(recordings))


def car_of(seed: int) -> Build:
    """Draw a car: the demo's for 0, else one that nobody has seen."""
    return gannet_build() if seed == 0 else strange_build(np.random.default_rng([seed, 3]))


def asked_by(rng: np.random.Generator, car: PlanCar) -> Asked:
    """Draw a request."""
    volts, amps, phases = SUPPLIES[int(rng.integers(len(SUPPLIES)))]
    hours, outside = float(rng.uniform(4.0, 10.0)), float(rng.uniform(-18.0, 0.0))
    times = tuple(NOW_S + 3600.0 * h for h in range(0, 30, 3))
    now_pct = float(rng.uniform(35.0, 60.0))
    dear = tuple(float(v) for v in rng.uniform(0.1, 0.4, len(times)))
    price = constant(0.25) if rng.random() < 0.4 else ByTime(times, dear)
    regeneration = None
    if rng.random() < 0.6:  # within what the car's own heating reaches
        most = car.regeneration.allowed_kW(
            np.array([max(car.heating.until_degC - 2.5 - car.regeneration.from_degC, 0.5)])
        )
        regeneration = float(rng.uniform(0.3, 1.0)) * float(most[0])
    wishes = Wishes(
        (NOW_S + hours * 3600.0,),
        now_pct + float(rng.uniform(2.0, 10.0)) if rng.random() < 0.85 else None,
        regeneration,
        float(rng.uniform(17.0, 21.0)) if rng.random() < 0.7 else None,
        bool(rng.random() < 0.4),
    )
    if wishes.charge_pct is None and wishes.regeneration_kW is None and not wishes.wants_cabin:
        wishes = replace(wishes, cabin_degC=19.0)
    heat_to = None
    if rng.random() < 0.4:
        heat_to = car.heating.until_degC + float(rng.uniform(0.0, 4.0))
    return Asked(
        NOW_S, wishes, Supply(volts, amps, phases), constant(outside), price,
        charge_now_pct=now_pct, heat_to_degC=heat_to,
    )  # fmt: skip


def carried_out(
    build: Build, bench: Bench, secured: Secured, rng: np.random.Generator, seed: int
) -> Scenario:
    """Write the plan down as a morning of the simulator, on a day unlike the forecast."""
    edges, programme, asked = bench.clock.edges_s, secured.best.programme, bench.asked
    any_on = programme.heat | programme.charge
    first = int(np.flatnonzero(any_on)[0]) if any_on.any() else len(any_on) - 1
    for leave, lead in zip(bench.clock.leaves, programme.leads, strict=True):
        first = min(first, leave - lead)
    begins = float(edges[max(first - 1, 0)])
    wishes = [
        Wish(what, float(edges[a]) - begins, float(edges[b]) - begins,
             asked.heat_to_degC if what == "pack" else None)
        for what, on in (("pack", programme.heat), ("charging", programme.charge))
        for a, b in runs(on)
    ]  # fmt: skip
    for run, leave, lead in zip(bench.cabins, bench.clock.leaves, programme.leads, strict=True):
        if lead:
            begin, end = float(edges[leave - lead]) - begins, float(edges[leave]) - begins
            wishes.append(Wish("cabin", begin, end, run.set_point_degC))
    outside = float(bench.clock.outside[-1]) + float(rng.normal(0.0, 1.0))
    supply = asked.supply
    return Scenario(
        "carried-out", "2026-01-17T05:00:00Z", float(edges[-1]) - begins, outside,
        outside + float(rng.normal(0.0, 0.7)), float(asked.charge_now_pct or 50.0),
        target_pct=programme.limit_pct, warming_K_per_h=0.0,
        plugged_s=((0.0, 9e9),),
        supply=SimulatedSupply(supply.volts, supply.allowed_A, supply.phases),
        wishes=tuple(wishes), seed=seed,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the simulator's car was like when leaving; None: no such wish."""

    charge: bool | None
    regeneration: bool | None
    cabin: bool | None
    glass: bool | None
    kWh: float

    @property
    def is_ready(self) -> bool:
        """Whether all wishes are met."""
        wishes = (self.charge, self.regeneration, self.cabin, self.glass)
        return all(each for each in wishes if each is not None)


def outcome(build: Build, scenario: Scenario, asked: Asked) -> Outcome:
    """Drive the plan on the simulator and look at the car when leaving."""
    morning = simulate(build, scenario)
    wishes, last = asked.wishes, {path: float(v[-1]) for path, v in morning.values.items()}
    air = last["Cabin.HVAC.AmbientAirTemperature"]
    dew = float(dew_point_degC(wishes.cabin_degC or 20.0, wishes.humidity_pct))
    kWh = float(morning.powers["supply"].sum()) * morning.step_s / 3.6e6
    return Outcome(
        None if wishes.charge_pct is None else last[CHARGE] >= wishes.charge_pct - 0.5,
        None if wishes.regeneration_kW is None else last[LIMIT] >= wishes.regeneration_kW,
        None if wishes.cabin_degC is None else air >= wishes.cabin_degC,
        None if not wishes.clear_glass else last["Cabin.Glass.Temperature"] > dew,
        kWh,
    )


def proven(car_seed: int, first: int, count: int) -> list[tuple[Asked, Secured, Outcome | None]]:
    """Teach a car, plan some mornings, and carry out what is promised."""
    build = car_of(car_seed)
    car, found = taught(build, car_seed), []
    for number in range(first, first + count):
        rng = np.random.default_rng([car_seed, number, 9])
        asked = asked_by(rng, car)
        bench = lay_out(car, asked)
        secured = secure(bench)
        result = None
        if secured.is_ready:
            scenario = carried_out(build, bench, secured, rng, number)
            result = outcome(build, scenario, asked)
        found.append((asked, secured, result))
    return found
