"""Charging: current into the pack that comes from the supply."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thawline.recording.flows import Flow
from thawline.story import names
from thawline.story.onset import Band
from thawline.story.requests import read_wish
from thawline.story.residue import after_residue, residue
from thawline.story.scene import Scene
from thawline.story.story import Lost
from thawline.story.stretch import Stretch, reach
from thawline.story.stretches import OFF
from thawline.story.supply import Supplied, any_on
from thawline.story.switching import on_stretches, power_band, rule_of, sharpened
from thawline.story.thresholds import threshold

#: The drift that separates charging from dithering is this share of the on threshold [1].
DRIFT = 0.5
#: How far into a stretch dithering is looked for [s].
DITHER_S = 900.0
#: Dithering stays below this many on thresholds [1].
DITHER_AT_MOST = 4.0
#: A supply that came back has ramped up after this [s].
RAMP_S = 15.0
LOADS = ("drive-unit-heating", "pack-heater", "cabin-heating", "low-voltage")


@dataclass(frozen=True, slots=True)
class Charged:
    """When the pack was charged.

    Parameters
    ----------
    kW : ndarray of float64, shape (n,) or None
        Charging power on the clock; None if no power tells [kW].
    signals : tuple of str
        What tells.
    stretches : tuple of Stretch
        When.
    on_above_kW : float
        What counts as charging [kW].
    lost : tuple of Lost
        What cannot be told.
    """

    kW: NDArray[np.float64] | None
    signals: tuple[str, ...]
    stretches: tuple[Stretch, ...]
    on_above_kW: float
    lost: tuple[Lost, ...]


def moves(scene: Scene) -> NDArray[np.bool_]:
    """Tell where the car is known to move.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.

    Returns
    -------
    ndarray of bool, shape (n,)
        True where it moves.
    """
    moving = np.zeros(len(scene.t), dtype=np.bool_)
    if names.SPEED in scene.signals:
        speed = np.abs(np.nan_to_num(scene.signals[names.SPEED]))
        return np.asarray(speed > threshold("drive_on_km_per_h"))
    for path in [*scene.like(names.MOTOR_SPEED), names.MOTOR + "Speed"]:
        if path in scene.signals:
            turns = np.abs(np.nan_to_num(scene.signals[path]))
            moving |= turns > threshold("motor_turns_rpm")
    return moving


def _power(scene: Scene) -> tuple[Flow | None, tuple[Lost, ...]]:
    """Find the power into the pack that comes from the supply."""
    pack = scene.flow("pack")
    source = scene.flow("supply") or scene.flow("charger-output")
    cure = "map TractionBattery.CurrentCurrent and CurrentVoltage"
    if pack is not None and source is not None:
        both = np.minimum(pack.kW, source.kW)
        # where the pack gives, it is not charged, whatever the supply does
        kW = np.where(np.isnan(both) & (pack.kW <= 0.0), pack.kW, both)
        return replace(pack, kW=kW), ()
    if pack is not None:
        because = (
            "no power from outside is recorded; current into the standing pack counts as charging."
        )
        lost = Lost("charging", because, "map Charging.ChargeCurrent.Phase1 and ChargeVoltage")
        return pack, (lost,)
    output = scene.flow("charger-output")
    loads = [flow for name in LOADS if (flow := scene.flow(name)) is not None]
    # what a heater takes that nothing records is no charging
    heaters = scene.flow("drive-unit-heating") or scene.flow("pack-heater")
    if output is not None and heaters is not None and scene.flow("cabin-heating") is not None:
        kW = output.kW - np.sum([flow.kW for flow in loads], axis=0)
        because = (
            "pack current is not recorded; what the charger gives and no recorded load takes "
            "counts as charging."
        )
        signals = tuple(path for flow in (output, *loads) for path in flow.signals)
        return Flow(kW, output.sigma_kW, signals, "derived"), (Lost("charging", because, cure),)
    return None, ()


def _drifts_from(kW: NDArray[np.float64], stretch: Stretch, on_above: float, ticks: int) -> int:
    """Find where charging sets in for good within a stretch that may begin with dithering.

    What is not known, or had no supply, speaks neither for it nor against it.
    """
    part = kW[stretch.first : min(stretch.last + 1, stretch.first + ticks)]
    part = np.nan_to_num(part, nan=DRIFT * on_above)
    total = np.concatenate(([0.0], np.cumsum(part - DRIFT * on_above)))
    lowest = len(total) - 1 - int(np.argmin(total[::-1]))
    return stretch.first + lowest


def _is_real(scene: Scene, kW: NDArray[np.float64], first: int, last: int, band: Band) -> bool:
    """Tell charging between heater pulses from dithering: it is strong, and allowed."""
    part = np.nan_to_num(kW[first : last + 1])
    if not len(part) or float(part.max()) < DITHER_AT_MOST * band.on_above:
        return False
    limit = scene.signal(names.CHARGE_LIMIT)
    if limit is None:
        return True
    allowed = np.nan_to_num(limit[first : last + 1], nan=np.inf)
    return bool(np.median(allowed[part >= band.on_above]) > threshold("limit_on_kW"))


def _without_dither(
    scene: Scene,
    kW: NDArray[np.float64],
    stretch: Stretch,
    band: Band,
    absent: NDArray[np.bool_],
) -> Stretch | None:
    """Cut dithering about zero off both ends; None if nothing else is there."""
    ticks = int(DITHER_S / scene.step_s)
    # a supply that fails, and its ramp when it comes back, are no dithering
    ramps = int(RAMP_S / scene.step_s)
    away = np.convolve(absent, np.ones(ramps), mode="full")[: len(kW)] > 0.0
    fed = np.where(away & (kW < 0.0), np.nan, kW)
    first = _drifts_from(fed, stretch, band.on_above, ticks)
    if _is_real(scene, kW, stretch.first, first - 1, band):
        first = stretch.first
    mirror = Stretch(len(kW) - 1 - stretch.last, len(kW) - 1 - first, None, None)
    last = len(kW) - 1 - _drifts_from(fed[::-1], mirror, band.on_above, ticks)
    if _is_real(scene, kW, last + 1, stretch.last, band):
        last = stretch.last
    needed = threshold("charging_least_s") / scene.step_s
    if last - first + 1 < needed:
        return None
    on = np.flatnonzero(np.nan_to_num(kW[first : last + 1]) >= band.on_above)
    if not len(on):
        return None
    later, sooner = first + int(on[0]), first + int(on[-1])
    begins, ends = stretch.begins, stretch.ends
    cut = Stretch(
        later if first > stretch.first else stretch.first,
        sooner if last < stretch.last else stretch.last,
        begins,
        ends,
    )
    sharp = sharpened(scene.t, kW, cut, band)
    clean = replace(
        cut,
        begins=sharp.begins if cut.first > stretch.first else begins,
        ends=sharp.ends if cut.last < stretch.last else ends,
    )
    low, high = reach(clean, scene.t)
    inside = kW[(scene.t >= low) & (scene.t <= high)]
    return clean if np.nanmean(inside) >= threshold("power_on_kW") else None


def find_charging(scene: Scene, supplied: Supplied) -> Charged:
    """Find when the pack was charged from the supply.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    supplied : Supplied
        When a supply was there.

    Returns
    -------
    Charged
        When, how much, and what cannot be told.
    """
    flow, lost = _power(scene)
    never = supplied.unplugged | moves(scene)
    if flow is None:
        wish = read_wish(scene, names.IS_CHARGING)
        cure = "map TractionBattery.CurrentCurrent and CurrentVoltage"
        if wish is None:
            because = "neither pack current nor a charging state is recorded."
            return Charged(None, (), (), 0.0, (Lost("charging", because, cure),))
        because = (
            "pack current is not recorded; the car's own charging state stands for it, which "
            "may be true while only heaters are fed."
        )
        lost = (Lost("charging", because, cure),)
        return Charged(None, (names.IS_CHARGING,), wish.stretches, 0.0, lost)
    band = power_band(scene, flow, threshold("power_on_kW"))
    left = residue(scene, flow.kW, DITHER_AT_MOST * band.on_above)
    rough = on_stretches(scene, flow.kW, band, rule_of("charging"), never | left)
    clean = [_without_dither(scene, flow.kW, stretch, band, supplied.absent) for stretch in rough]
    stretches = tuple(after_residue(scene, each, left) for each in clean if each is not None)
    state = any_on(scene, [names.IS_CHARGING] if names.IS_CHARGING in scene.signals else [])
    if state is not None and scene.flow("supply") is None and supplied.cable is None:
        # nothing else tells charging from regeneration or a jump start: the state must agree
        stretches = tuple(s for s in stretches if np.any(state[s.first : s.last + 1] != OFF))
    kW = np.where(supplied.absent, np.minimum(flow.kW, 0.0), flow.kW)
    return Charged(kW, flow.signals, stretches, band.on_above, lost)
