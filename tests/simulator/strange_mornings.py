"""Random mornings."""

from __future__ import annotations

import numpy as np

from tests.simulator.strange_build import between
from thawline.simulator.charger import Supply
from thawline.simulator.events import Logger, Offer, Wish
from thawline.simulator.scenario import Scenario

ONE_PHASE = (
    (120.0, 12.0), (120.0, 16.0), (208.0, 24.0), (208.0, 30.0), (240.0, 16.0), (240.0, 32.0),
    (240.0, 48.0), (230.0, 10.0), (230.0, 16.0), (230.0, 32.0),
)  # fmt: skip
STORIES = ("charging", "both", "cabin", "cabin unplugged", "battery", "soak", "direct")
CHANCES = (0.42, 0.24, 0.1, 0.05, 0.1, 0.03, 0.06)


def _supply(rng: np.random.Generator, phases: int, story: str) -> Supply:
    if story == "direct":
        return Supply(400.0, between(rng, 20.0, 120.0, 0), is_direct=True)
    if phases == 3 and rng.random() < 0.6:
        return Supply(230.0, 16.0, 3, between(rng, 40.0, 200.0, 0))
    volts, amps = ONE_PHASE[int(rng.integers(len(ONE_PHASE)))]
    return Supply(volts, amps, 1, between(rng, 50.0, 300.0, 0))


def _drive(rng: np.random.Generator, from_s: float, to_s: float) -> tuple[tuple[float, float], ...]:
    points, now = [(from_s, 0.0)], from_s
    while now < to_s - 120.0:
        pace = between(rng, 15.0, 90.0, 0)
        points.append((round(now + pace / between(rng, 3.0, 8.0)), pace))
        now = points[-1][0] + between(rng, 20.0, 90.0, 0)
        points.append((now, pace))
        if rng.random() < 0.4:
            now = round(now + pace / between(rng, 4.0, 9.0))
            points.append((now, 0.0))
            now += between(rng, 5.0, 40.0, 0)
            points.append((now, 0.0))
    return (*points, (now + 15.0, 0.0), (now + 60.0, 0.0))


def _logger(rng: np.random.Generator, duration_s: float) -> Logger:
    gaps: list[tuple[float, float]] = []
    steps: list[tuple[float, float]] = []
    doubled: list[tuple[float, float]] = []
    if rng.random() < 0.25:
        begin = between(rng, 0.1 * duration_s, 0.8 * duration_s, 0)
        gaps.append((begin, begin + between(rng, 15.0, 300.0, 0)))
    if rng.random() < 0.15:
        by = -between(rng, 0.5, 40.0, 1) if rng.random() < 0.8 else between(rng, 60.0, 3600.0, 0)
        steps.append((between(rng, 0.1 * duration_s, 0.9 * duration_s, 0), by))
    if rng.random() < 0.15 and not steps:
        begin = between(rng, 0.1 * duration_s, 0.9 * duration_s, 0)
        doubled.append((begin, begin + between(rng, 1.0, 20.0, 0)))
    return Logger(tuple(gaps), tuple(steps), tuple(doubled))


def strange(rng: np.random.Generator, seed: int, phases: int, has_direct: bool) -> Scenario:
    """Draw a morning for a car with that many phases."""
    story = str(rng.choice(STORIES, p=CHANCES))
    if story == "direct" and not has_direct:
        story = "charging"
    drives = rng.random() < 0.4 or story == "battery"
    duration = between(rng, 1800.0, 4200.0, 0)
    leaves = duration - between(rng, 400.0, 800.0, 0) if drives else duration
    plug = between(rng, 20.0, 200.0, 0) if rng.random() < 0.8 else 0.0
    unplug = leaves - between(rng, 40.0, 150.0, 0) if drives or rng.random() < 0.4 else duration
    outside = between(rng, -22.0, 1.0, 1)
    plugged = () if story in ("battery", "cabin unplugged", "soak") else ((plug, unplug),)
    supply = _supply(rng, phases, story) if plugged else None
    wishes: list[Wish] = []
    asks = plug + between(rng, 5.0, 60.0, 0)
    room = Wish(
        "cabin", between(rng, 200.0, 0.6 * leaves, 0), duration, between(rng, 19.0, 23.0, 1)
    )
    if story in ("charging", "both", "direct"):
        wishes.append(Wish("charging", asks, unplug))
    if story in ("both", "cabin", "cabin unplugged"):
        wishes.append(room)
    if story == "battery":
        wishes.append(Wish("pack", between(rng, 30.0, 200.0, 0), leaves - 60.0))
        if rng.random() < 0.6:
            wishes.append(room)
    lost: list[tuple[float, float]] = []
    offers: list[Offer] = []
    if plugged and supply is not None and not supply.is_direct:
        if rng.random() < 0.25:
            begin = between(rng, asks + 120.0, unplug - 300.0, 0)
            lost.append((begin, min(begin + between(rng, 12.0, 240.0, 0), unplug - 30.0)))
        if rng.random() < 0.2:
            share = float(rng.choice([0.5, 0.75, 0.83]))
            offers.append(
                Offer(between(rng, asks + 60.0, unplug, 0), round(supply.amps * share, 0))
            )
    day = int(rng.integers(1, 29))
    return Scenario(
        name=f"strange-{seed}",
        starts=f"2026-02-{day:02d}T{int(rng.integers(4, 9)):02d}:17:00Z",
        duration_s=duration,
        ambient_degC=outside,
        soak_degC=round(outside + between(rng, -1.5, 3.0, 1), 1),
        charge_pct=between(rng, 20.0, 85.0, 1),
        target_pct=float(rng.choice([80.0, 90.0, 100.0])),
        plugged_s=plugged,
        supply=supply,
        lost_s=tuple(lost),
        offers=tuple(offers),
        wishes=tuple(wishes),
        drive=_drive(rng, leaves, duration) if drives else (),
        logger=_logger(rng, duration),
        seed=seed,
    )
