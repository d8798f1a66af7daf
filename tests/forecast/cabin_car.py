"""A cabin to prove forecasts on: richer than the fitted one, and written apart from it.

Air, surfaces with a depth behind them, and glass; a heater with a ramp and a loop of its own; a
controller in proportion, with memory, in stages or on and off; fresh air that changes on the
way; a thermometer that is slow, coarse, noisy or in the sun. The car about it is the proving car.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tests.warmup.proving_car import BATTERY, CHARGING, Build, Morning, record
from thawline.recording.recording import Channel, Recording
from thawline.recording.sensor import noise, period, resolution, stale_after
from thawline.signals.catalogue import find_signal
from thawline.vehicle.vehicle import Cabin as Stated

HVAC = "Cabin.HVAC."
VOLTS = 208.0  # of the proving car's supply
AIR_HEAT = 1.006  # kJ/(kg*K), dry air


@dataclass(frozen=True)
class Cabin:
    """How a cabin is built and what happens in it; kJ/K, kW/K, kW, s, degC, kg/s."""

    air: float = 12.0
    surfaces: float = 50.0
    depth: float = 90.0
    glass: float = 10.0
    air_to_surfaces: float = 0.085
    surfaces_to_depth: float = 0.045
    air_to_glass: float = 0.02
    glass_to_outside: float = 0.03
    body: float = 0.03
    fresh: float = 0.018
    fresh_later: tuple[float, float] | None = None
    onto_glass: float = 0.1
    gain: float = 0.95
    heater_kW: float = 5.0
    ramp_s: float = 20.0
    loop_s: float = 5.0
    law: str = "proportional"
    band_K: float = 3.0
    set_degC: float = 21.0
    on_s: tuple[tuple[float, float], ...] = ((300.0, 3600.0),)
    is_shared: bool = False
    sensor_step_K: float = 0.5
    sensor_noise_K: float = 0.1
    sensor_lag_s: float = 0.0
    sensor_every_s: float = 1.0
    sun_K: float = 0.0
    comfortable_degC: float | None = 18.0
    shows_target: bool = False
    shows_power: bool = True
    shows_request: bool = True
    shows_outside: bool = True
    seed: int = 0


def _wants(cabin: Cabin, reads: float, memory: float, was_on: bool) -> tuple[float, float]:
    """Give the share of its power that the controller asks for, and its memory."""
    below = cabin.set_degC - reads
    if cabin.law == "on-off":
        return (1.0 if below > (0.0 if was_on else cabin.band_K / 2.0) else 0.0), memory
    share = below / cabin.band_K
    if cabin.law == "memory":
        if 0.0 < share + memory < 1.0:  # no wind-up outside
            memory = float(np.clip(memory + below / cabin.band_K / 240.0, 0.0, 1.0))
        return float(np.clip(share + memory, 0.0, 1.0)), memory
    share = float(np.clip(share, 0.0, 1.0))
    return (np.ceil(4.0 * share) / 4.0 if cabin.law == "stages" else share), memory


def run_cabin(
    cabin: Cabin, duration_s: float, start_degC: float, outside_degC: float, spare_kW: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Run the cabin second by second: what the thermometer feels, power, whether it is wanted."""
    rng = np.random.default_rng([cabin.seed, 5])
    air = surfaces = depth = glass = felt = start_degC
    heat = given = memory = sway = 0.0
    rows = []
    for now in range(int(duration_s)):
        sway += -sway / 300.0 + 0.04 * np.sqrt(2.0 / 300.0) * rng.normal()
        wanted = any(begin <= now < end for begin, end in cabin.on_s)
        share, memory = _wants(cabin, felt, memory, given > 0.0) if wanted else (0.0, 0.0)
        most = min(cabin.heater_kW, spare_kW[now]) if cabin.is_shared else cabin.heater_kW
        step = cabin.heater_kW / cabin.ramp_s
        given += float(np.clip(share * most - given, -4.0 * step, step))
        heat += (cabin.gain * given - heat) / max(cabin.loop_s, 1.0)
        fresh = cabin.fresh if wanted else 0.003
        if wanted and cabin.fresh_later is not None and now >= cabin.fresh_later[0]:
            fresh = cabin.fresh_later[1]
        leaves = (cabin.body * (1.0 + sway) + fresh * AIR_HEAT) * (air - outside_degC)
        to_surfaces = cabin.air_to_surfaces * (air - surfaces)
        to_glass = cabin.air_to_glass * (air - glass)
        inward = cabin.surfaces_to_depth * (surfaces - depth)
        off_glass = cabin.glass_to_outside * (glass - outside_degC)
        air += ((1.0 - cabin.onto_glass) * heat - leaves - to_surfaces - to_glass) / cabin.air
        surfaces += (to_surfaces - inward) / cabin.surfaces
        depth += inward / cabin.depth
        glass += (to_glass + cabin.onto_glass * heat - off_glass) / cabin.glass
        sun = cabin.sun_K * (1.0 - np.exp(-now / 1500.0))
        felt += (air + sun - felt) / max(cabin.sensor_lag_s, 1.0)
        rows.append((felt, given, float(wanted)))
    felt_all, power, on = np.array(rows).T
    return felt_all, power, on


def _channel(
    path: str, values: np.ndarray, every_s: float, step: float, spread: float,
    rng: np.random.Generator,
) -> Channel:  # fmt: skip
    name = find_signal(path)
    assert name is not None, path
    at = np.arange(rng.uniform(0.0, every_s), len(values) - 1.0, every_s)
    seen = np.interp(at, np.arange(len(values)), values) + spread * rng.standard_normal(len(at))
    if name.is_state:
        seen = values[at.astype(int)]
    seen = np.round(seen / step) * step if step else seen
    return Channel(path, name.unit, at, seen, name.is_state, resolution(seen), noise(seen),
                   period(at), stale_after(at, (), is_state=name.is_state))  # fmt: skip


def record_cabin(
    cabin: Cabin, morning: Morning, build: Build | None = None
) -> tuple[Recording, np.ndarray]:
    """Record a morning of the proving car with this cabin in it; give what its air was too."""
    build = build or Build()
    whole, true = record(build, replace(morning, cabin_s=None))
    seconds = slice(None, None, 2)  # the proving car runs in half seconds
    spare = build.efficiency * min(morning.offer_kW, build.rated_kW) - true["heat"][seconds] - 0.3
    felt, power, wanted = run_cabin(
        cabin, morning.duration_s, morning.start_degC, morning.outside_degC,
        np.maximum(np.where(true["live"][seconds] > 0.5, spare, 20.0), 0.0),
    )  # fmt: skip
    rng = np.random.default_rng([cabin.seed, 6])
    made = dict(whole.channels)
    for path in [p for p in made if p.startswith(("Cabin.", "Exterior."))]:
        del made[path]
    said = [(HVAC + "AmbientAirTemperature", felt, cabin.sensor_every_s, cabin.sensor_step_K,
             cabin.sensor_noise_K)]  # fmt: skip
    if cabin.shows_power:
        said.append((HVAC + "Heater.Main.Power", power * 1e3, 0.5, 10.0, 8.0))
    if cabin.shows_request:
        said.append((HVAC + "IsConditioningRequested", wanted, 1.0, 0.0, 0.0))
    if cabin.shows_target:
        said.append((HVAC + "TargetTemperature", np.full(len(felt), cabin.set_degC), 2.0, 0.5, 0.0))
    if cabin.shows_outside:
        outside = np.full(len(felt), morning.outside_degC)
        said.append(("Exterior.AirTemperature", outside, 5.0, 0.5, 0.0))
    made |= {path: _channel(path, values, every, step, spread, rng)
             for path, values, every, step, spread in said}  # fmt: skip
    clock = np.arange(len(power))
    room = np.where(true["live"] > 0.5, min(morning.offer_kW, build.rated_kW) - true["drawn"], 0.0)
    fed = np.minimum(power, build.efficiency * np.maximum(room[seconds][: len(power)], 0.0))
    for path, change in (
        (BATTERY + "CurrentCurrent", (fed - power) * 1e3 / (build.cells * 3.4)),
        (CHARGING + "OutputPower", fed),
        (CHARGING + "ChargeCurrent.Phase1", fed / build.efficiency * 1e3 / VOLTS),
    ):
        channel = whole.channels.get(path)
        if channel is not None:
            more = np.interp(channel.t, clock, change)
            made[path] = replace(channel, values=channel.values + more)
    vehicle = replace(whole.vehicle, cabin=Stated(comfortable_from_degC=cabin.comfortable_degC))
    return replace(whole, vehicle=vehicle, channels=made), felt


def strange_cabin(seed: int) -> tuple[Cabin, Morning]:
    """Draw a cabin and its morning."""
    rng = np.random.default_rng([seed, 7])
    outside = float(rng.uniform(-22.0, 4.0))
    air, begins = float(rng.uniform(5.0, 30.0)), float(rng.uniform(90.0, 1500.0))
    body, to_surfaces = float(rng.uniform(0.015, 0.05)), float(rng.uniform(0.04, 0.16))
    fresh = float(rng.choice([0.004, 0.012, 0.02, 0.03]))
    duration = begins + 2700.0
    on: tuple[tuple[float, float], ...] = ((begins, duration),)
    if rng.random() < 0.2:
        stop = begins + float(rng.uniform(60.0, 500.0))
        on = ((begins, stop), (stop + float(rng.uniform(60.0, 500.0)), duration))
    set_degC = float(rng.uniform(19.0, 23.5))
    # made to hold its set point at some -25 degC, more or less; one in ten is too weak
    holds = (body + 0.012 + fresh * AIR_HEAT + 0.4 * to_surfaces) * (set_degC + 25.0)
    heater = float(np.clip(holds * rng.uniform(0.9, 1.8), 1.5, 8.0))
    if rng.random() < 0.1:
        heater *= 0.45
    pump = rng.random() < 0.2
    cabin = Cabin(
        air=air, surfaces=float(rng.uniform(25.0, 90.0)), depth=float(rng.uniform(30.0, 160.0)),
        glass=float(rng.uniform(7.0, 14.0)), air_to_surfaces=to_surfaces,
        surfaces_to_depth=float(rng.uniform(0.02, 0.09)), body=body, fresh=fresh,
        fresh_later=(begins + float(rng.uniform(120.0, 700.0)), float(rng.choice([0.004, 0.02])))
        if rng.random() < 0.2 else None,
        onto_glass=float(rng.uniform(0.0, 0.25)),
        gain=float(rng.uniform(1.5, 2.3)) if pump else float(rng.uniform(0.75, 1.0)),
        heater_kW=heater / (1.9 if pump else 1.0), ramp_s=float(rng.choice([5.0, 20.0, 60.0])),
        loop_s=float(rng.choice([1.0, 10.0, 40.0, 90.0])),
        law=str(rng.choice(["proportional", "memory", "stages", "on-off"], p=[0.4, 0.3, 0.1, 0.2])),
        band_K=float(rng.uniform(1.0, 5.0)), set_degC=set_degC, on_s=on,
        is_shared=bool(rng.random() < 0.2),
        sensor_step_K=float(rng.choice([0.1, 0.5, 0.5, 1.0])),
        sensor_noise_K=float(rng.choice([0.0, 0.05, 0.3])),
        sensor_lag_s=float(rng.choice([0.0, 10.0, 45.0])),
        sensor_every_s=float(rng.choice([0.5, 1.0, 5.0])),
        sun_K=float(rng.choice([0.0, 0.0, 0.0, 3.0])),
        comfortable_degC=None if rng.random() < 0.4 else float(rng.integers(16, 20)),
        shows_target=bool(rng.random() < 0.45), shows_power=bool(rng.random() < 0.85),
        shows_request=bool(rng.random() < 0.8), shows_outside=bool(rng.random() < 0.85), seed=seed,
    )  # fmt: skip
    if not cabin.shows_power:
        cabin = replace(cabin, shows_request=True)
    only = rng.random() < 0.2
    morning = Morning(
        duration_s=duration, start_degC=outside + float(rng.uniform(-0.5, 3.0)),
        outside_degC=outside, request_s=1e9 if only else float(rng.uniform(80.0, 300.0)),
        plug_s=1e9 if only and rng.random() < 0.5 else 60.0,
        offer_kW=float(rng.choice([3.7, 7.4, 9.6, 11.0])), seed=seed,
    )  # fmt: skip
    return cabin, morning
