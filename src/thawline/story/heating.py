"""Heating of the pack: when, and what set it going or stopped it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.recording.powers import total
from thawline.story import names
from thawline.story.requests import Wishes
from thawline.story.scene import Scene
from thawline.story.story import Lost
from thawline.story.stretch import Stretch
from thawline.story.switching import on_stretches, power_band, rule_of
from thawline.story.thresholds import threshold


@dataclass(frozen=True, slots=True)
class Heated:
    """When the pack was heated.

    Parameters
    ----------
    kW : ndarray of float64, shape (n,) or None
        Heating power on the clock; None if no power tells [kW].
    signals : tuple of str
        What tells.
    stretches : tuple of Stretch
        When.
    lost : tuple of Lost
        What cannot be told.
    """

    kW: NDArray[np.float64] | None
    signals: tuple[str, ...]
    stretches: tuple[Stretch, ...]
    lost: tuple[Lost, ...]


def find_heating(scene: Scene, wishes: Wishes) -> Heated:
    """Find when the pack was heated.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    wishes : Wishes
        What was wanted.

    Returns
    -------
    Heated
        When, how much, and what cannot be told.
    """
    flows = [
        flow
        for name in ("drive-unit-heating", "pack-heater")
        if (flow := scene.flow(name)) is not None
    ]
    heat = total(flows)
    if heat is not None:
        band = power_band(scene, heat, threshold("power_on_kW"))
        found = on_stretches(scene, heat.kW, band, rule_of("heating"))
        return Heated(heat.kW, heat.signals, found, ())
    cure = "map ElectricMotor.<Position>.StandstillHeat or TractionBattery.Heater.Power"
    state = wishes.conditioning_now
    if state is not None:
        because = (
            "no heating power is recorded; the car's own conditioning state stands for it, "
            "without saying how much, nor whether it heats or cools."
        )
        lost = Lost("pack-heating", because, cure)
        return Heated(None, (names.CONDITIONING_NOW,), state.stretches, (lost,))
    because = "neither heating power nor a conditioning state is recorded."
    return Heated(None, (), (), (Lost("pack-heating", because, cure),))
