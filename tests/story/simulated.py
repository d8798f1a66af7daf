"""Simulated mornings seen through sensors of our choice, without a bus between."""

from __future__ import annotations

from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import numpy as np

from thawline.recording.recording import Channel, Gap, Recording
from thawline.recording.sensor import noise, period, resolution, stale_after
from thawline.signals.catalogue import find_signal
from thawline.simulator.build import Build, read_build
from thawline.simulator.charger import Supply
from thawline.simulator.morning import Morning
from thawline.simulator.scenario import Scenario
from thawline.simulator.scenario import Wish as Asked
from thawline.story.story import Story
from thawline.vehicle.vehicle import Cabin, Charger, DriveUnits, Limits, Pack, Vehicle

#: Usual period [s], steps to choose from and noise, by unit.
SENSORS = {
    "degC": (1.0, (0.1, 0.5), 0.02),
    "A": (0.1, (0.1, 0.5), 0.1),
    "V": (0.1, (0.1, 0.5, 1.0), 0.05),
    "kW": (0.5, (0.1, 0.25), 0.0),
    "W": (0.5, (5.0, 50.0), 2.0),
    "percent": (1.0, (0.1, 0.5), 0.0),
    "l/min": (1.0, (0.1,), 0.05),
    "km/h": (0.1, (0.05, 0.1), 0.02),
    "rpm": (0.1, (1.0,), 0.3),
}
SUPPLIES = ((12, 120, 1), (24, 208, 1), (48, 240, 1), (16, 230, 3), (32, 230, 1), (16, 230, 1))


def gannet_build() -> Build:
    """Read the build of the demo's Gannet."""
    return read_build(Path(str(files("thawline") / "demo" / "gannet.toml")))


def strange(seed: int) -> tuple[Build, Scenario]:
    """Make a car and a morning that nobody has seen."""
    r = np.random.default_rng(seed)
    build = gannet_build()
    units = build.drive_units
    if r.random() < 0.5:
        units = replace(units, positions=("Rear",))
    build = replace(
        build,
        drive_units=units,
        conditioning=replace(
            build.conditioning,
            target_degC=float(r.uniform(1, 8)),
            taper_K=float(r.uniform(1, 4)),
            cabin_share=float(r.choice([0.0, 0.35, 0.6])),
        ),
        pack=replace(build.pack, heat_capacity_kJ_per_K=float(r.uniform(200, 520))),
        limits=replace(
            build.limits,
            charging_from_degC=float(r.uniform(0, 0.6)),
            charging_first_kW=float(r.choice([0.0, 0.6, 1.5])),
            charging_kW_per_K=float(r.uniform(1, 5)),
            regeneration_first_kW=float(r.choice([0.0, 0.4])),
            regeneration_from_degC=float(r.uniform(-1.5, -0.6)),
            regeneration_kW_per_K=float(r.uniform(1, 4)),
        ),
        charger=replace(
            build.charger,
            rated_kW=float(r.choice([3.7, 7.4, 11.0])),
            ramp_A_per_s=float(r.uniform(0.3, 2)),
            charge_ramp_W_per_s=float(r.uniform(50, 800)),
        ),
    )
    return build, _scenario(r, seed)


def _scenario(r: np.random.Generator, seed: int) -> Scenario:
    amps, volts, phases = SUPPLIES[r.integers(len(SUPPLIES))]
    lasts, soak = float(r.choice([1800, 2700])), float(r.uniform(-15, -1.5))
    plug, unplug = float(r.uniform(60, 400)), lasts - float(r.uniform(200, 400))
    asked, plugged = [], ((plug, unplug),) if r.random() < 0.75 else ()
    if r.random() < 0.8:
        asked.append(Asked("charging", float(r.choice([0.0, plug + 60])), lasts))
    if r.random() < 0.6:
        asked.append(Asked("cabin", float(r.uniform(100, lasts / 2)), lasts - 100, 22.0))
    if not plugged and r.random() < 0.7:
        asked.append(Asked("pack", 200.0, lasts - 600))
    lost = ()
    if plugged and r.random() < 0.3:
        at = float(r.uniform(plug + 100, unplug - 300))
        lost = ((at, at + float(r.uniform(5, 180))),)
    d = unplug + 60
    drive = ((d, 0.0), (d + 12, 45.0), (d + 60, 50.0), (d + 75, 0.0), (d + 90, 0.0))
    return Scenario(
        "strange",
        "2031-01-14T05:30:00Z",
        lasts,
        soak - 2,
        soak,
        float(r.uniform(30, 85)),
        plugged_s=plugged,
        supply=Supply(float(volts), float(amps), phases) if plugged else None,
        lost_s=lost,
        wishes=tuple(asked),
        drive=drive if r.random() < 0.6 else (),
        seed=seed,
    )


def _channel(
    path: str, morning: Morning, r: np.random.Generator, gap: tuple[float, float] | None
) -> Channel | None:
    name = find_signal(path)
    if name is None:
        return None
    usual, steps, sigma = SENSORS.get(name.unit, (0.5, (0.1,), 0.0))
    every, step = usual * float(r.choice([0.5, 1.0, 2.0])), float(r.choice(steps))
    at = np.arange(r.uniform(0.0, every), morning.t[-1], every)
    values = morning.values[path][np.searchsorted(morning.t, at, side="right") - 1].astype(float)
    if not name.is_state:
        values = np.round((values + r.normal(0.0, sigma, len(values))) / step) * step
    if gap is not None:
        keep = (at <= gap[0]) | (at >= gap[1])
        at, values = at[keep], values[keep]
    return Channel(
        path,
        name.unit,
        at,
        values,
        name.is_state,
        0.0 if name.is_state else resolution(values),
        0.0 if name.is_state else noise(values),
        period(at),
        stale_after(at, (gap,) if gap else (), is_state=name.is_state),
    )


def record(morning: Morning, seed: int, gap: tuple[float, float] | None = None) -> Recording:
    """Record a simulated morning with sensors drawn by chance."""
    r = np.random.default_rng(seed)
    build = morning.build
    found = {path: _channel(path, morning, r, gap) for path in morning.values}
    vehicle = Vehicle(
        build.name,
        Pack(build.pack.energy_kWh, build.pack.cells_in_series),
        DriveUnits(count=len(build.drive_units.positions)),
        Limits(charging_from_degC=0.0, regeneration_from_degC=-1.0),
        Charger(rated_kW=build.charger.rated_kW),
        cabin=Cabin(comfortable_from_degC=build.cabin.comfortable_from_degC),
    )
    channels = {path: channel for path, channel in found.items() if channel is not None}
    gaps = (Gap(*gap),) if gap else ()
    return Recording("simulated", vehicle, 0.0, float(morning.t[-1]), channels, gaps)


def crop(recording: Recording, begin: float, end: float) -> Recording:
    """Cut a recording out of a longer one."""
    channels = {}
    for path, channel in recording.channels.items():
        keep = (channel.t >= begin) & (channel.t <= end)
        if keep.any():
            channels[path] = replace(
                channel, t=channel.t[keep] - begin, values=channel.values[keep]
            )
    return replace(recording, channels=channels, duration_s=end - begin)


def faults(
    story: Story,
    morning: Morning,
    span: tuple[float, float] | None = None,
    edge: float = 30.0,
) -> list[str]:
    """List turning points that are missed, late, or not true, in the whole morning or a part.

    A point may be as late as 5 s, as its kind was slow in truth (the time in which what turned
    passed a step of its sensor), or as three of its stated uncertainties where a sensor is
    coarse. What lies nearer to an end than ``edge`` may be missed. In a part, full power may
    be reached for the first time where it was not the morning's first.
    """
    begin, end = span or (0.0, float(morning.t[-1]))
    got, used, bad = list(story.turning_points), set[int](), []
    # charging for hardly more than the least length is one side's view as much as the other's
    short = [s for s in story.spans if s.lane == "charging" and s.to_s - s.from_s < 30.0]
    brief = {at for s in short for at in (s.from_s, s.to_s)}
    for point in morning.truth.points:
        at = point.t_s - begin
        near = [(abs(g.t_s - at), i) for i, g in enumerate(got) if g.kind == point.kind]
        near = sorted(pair for pair in near if pair[1] not in used)
        at_edge = at < edge or at > end - begin - edge
        if at_edge and (not near or near[0][0] > 10.0):
            continue
        if not near:
            bad.append(f"missed {point.kind} at {at:.0f} s")
            continue
        late, i = near[0]
        used.add(i)
        slow = point.slow_s if np.isfinite(point.slow_s) else 0.0
        if late > max(5.0, slow, 3.0 * got[i].plus_minus_s):
            bad.append(f"{point.kind} at {got[i].t_s:.0f} s instead of {at:.0f} s")
    for i, point in enumerate(got):
        again = span is not None and point.kind == "charger-at-full-power"
        if i not in used and not again and point.t_s not in brief:
            bad.append(f"false {point.kind} at {point.t_s:.0f} s: {point.because}")
    return bad
