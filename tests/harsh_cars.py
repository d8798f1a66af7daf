"""Strange cars on mornings that go wrong: supplies that fail, loggers with holes, lost signals.

Of three seeds one is left as it is.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from tests.strange_cars import strange_car, strange_morning
from thawline.errors import RequestError
from thawline.simulator.events import Logger, Offer, Wish
from thawline.simulator.layout import BusLayout, BusMessage, placed_all
from thawline.simulator.run import simulate
from thawline.simulator.scenario import Scenario, checked
from thawline.simulator.write import Written, write

#: Volts and amperes of one phase.
SUPPLIES = ((120, 12), (120, 16), (208, 24), (208, 40), (220, 10), (230, 13), (240, 32), (240, 48))
#: Parts of paths that a bus may lack.
MAY_LACK = (
    "Charging.OutputPower", "StateOfCharge.Current", "Limits.ChargePower", "IsRequested",
    "Limits.RegenerationPower", "IsConditioningRequested", "OfferedCurrent", "PilotDutyCycle",
    "Coolant.", "IsChargingCableConnected", "Temperature.Average", "Temperature.Max", "DCDC",
    "AmbientAir", "Exterior",
)  # fmt: skip


def _spans(
    rng: np.random.Generator, first: float, last: float, lasts: tuple[float, ...], apart: float
) -> tuple[tuple[float, float], ...]:
    """Draw up to three spans between two times."""
    found: list[tuple[float, float]] = []
    at = first
    while at < last - 300.0 and len(found) < 3:
        found.append((round(at), round(at + float(rng.choice(lasts)))))
        at = found[-1][1] + float(rng.uniform(200.0, apart))
    return tuple(span for span in found if span[1] < last - 60.0)


def harsh_morning(seed: int) -> Scenario:
    """Draw a morning on which things go wrong."""
    rng, morning = np.random.default_rng([seed, 77]), strange_morning(seed)
    if seed % 3 == 0:
        return morning
    supply = morning.supply
    begin, end = morning.plugged_s[0] if morning.plugged_s else (0.0, morning.duration_s)
    if supply is not None and not supply.is_direct:
        if supply.phases == 1:
            volts, amps = SUPPLIES[int(rng.integers(len(SUPPLIES)))]
            supply = replace(supply, volts=float(volts), amps=float(amps))
        if rng.random() < 0.5:
            lost = _spans(rng, begin + rng.uniform(150, 500), end, (6, 15, 40, 150, 400), 900)
            morning = replace(morning, lost_s=lost)
        if rng.random() < 0.3:
            times = sorted(rng.uniform(begin + 100.0, end, int(rng.integers(1, 4))))
            shares = rng.choice([0.4, 0.6, 0.8, 1.0], len(times))
            offers = [
                Offer(round(t), float(round(supply.amps * s)))
                for t, s in zip(times, shares, strict=True)
            ]
            morning = replace(morning, offers=tuple(offers))
    wishes: list[Wish] = []
    for wish in morning.wishes:
        cut = round(rng.uniform(wish.from_s + 300.0, max(wish.from_s + 400.0, wish.to_s - 500.0)))
        if wish.what == "pack" or rng.random() > 0.35:
            wishes.append(wish)
            continue
        wishes.append(replace(wish, to_s=float(cut)))
        if wish.what == "charging" and cut + 300.0 < wish.to_s - 60.0:
            wishes.append(replace(wish, from_s=cut + 300.0))
    logger = morning.logger
    if rng.random() < 0.4 and not logger.steps and not logger.doubled:
        gaps = _spans(rng, rng.uniform(200, 1200), morning.duration_s, (8, 20, 60, 180, 420), 1500)
        logger = Logger(gaps)
    return checked(replace(morning, supply=supply, wishes=tuple(wishes), logger=logger), "harsh")


def _whole_degrees(message: BusMessage) -> BusMessage:
    """Let thermometers of the pack show whole degrees, if they still fit into the message."""
    signals = []
    for signal in message.signals:
        if "TractionBattery.Temperature" in signal.path and not signal.is_float:
            low = 0.0 if signal.is_signed else -100.0 if signal.unit == "degF" else -40.0
            sensor = replace(
                signal.sensor, step=1.0, noise=min(signal.sensor.noise, 0.3), ready_s=0.0
            )
            signal = replace(
                signal, scale=1.0, offset=low, length=9, sensor=sensor, missing_code=None, labels={}
            )
        signals.append(replace(signal, start=None))
    coarse = replace(message, signals=tuple(signals), size=8)
    try:
        placed_all(BusLayout((coarse,)))
    except RequestError:
        return message
    return coarse


def harsh_bus(seed: int, bus: BusLayout) -> BusLayout:
    """Take signals from a bus, make some coarse and some slow."""
    if seed % 3 == 0:
        return bus
    rng = np.random.default_rng([seed, 78])
    gone: set[str] = set()
    if rng.random() < 0.5:
        gone = {str(part) for part in rng.choice(MAY_LACK, int(rng.integers(1, 5)), replace=False)}
    coarse = rng.random() < 0.35
    messages = []
    for message in bus.messages:
        left = tuple(s for s in message.signals if not any(part in s.path for part in gone))
        if not left:
            continue
        made = replace(message, signals=left)
        made = _whole_degrees(made) if coarse else made
        if rng.random() < 0.12:
            made = replace(made, period_s=float(rng.choice([3.0, 5.0, 10.0])))
        messages.append(made)
    return replace(bus, messages=tuple(messages))


def record(seed: int, folder: Path) -> Written:
    """Simulate and write the morning of a seed."""
    build, bus = strange_car(seed)
    return write(simulate(build, harsh_morning(seed)), harsh_bus(seed, bus), folder, 30.0)
