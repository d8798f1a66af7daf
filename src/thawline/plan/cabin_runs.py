"""Warm the cabin for so long before leaving: power, air and glass, for every length and member.

Heating runs at full power until the set point is near and then holds it, so the power follows
from the length alone; a plan need only choose the length.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.plan.asked import Asked, Wishes
from thawline.plan.clock import Clock
from thawline.plan.glass import dew_points_degC, step_glass
from thawline.plan.members import Members
from thawline.plan.settings import setting
from thawline.warmup.cabin import cabin_steps
from thawline.warmup.grid import INPUTS

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class CabinRuns:
    """Warming the cabin before one leaving time.

    Parameters
    ----------
    first : int
        First step of the longest run [1].
    set_point_degC : float
        What the cabin is asked to hold [degC].
    kW : ndarray of float64, shape (lengths, steps, k)
        Power, for 0, 1, 2, … steps of heating before leaving [kW].
    air, glass : ndarray of float64, shape (lengths, k)
        Cabin air and glass at the leaving time [degC].
    is_warm, is_clear : ndarray of bool, shape (lengths, k)
        Whether each wish is met; true where there is no wish.
    """

    first: int
    set_point_degC: float
    kW: Array
    air: Array
    glass: Array
    is_warm: NDArray[np.bool_]
    is_clear: NDArray[np.bool_]

    @property
    def chance(self) -> Array:
        """Probability that both wishes are met, by length; shape (lengths,) [1]."""
        return np.asarray((self.is_warm & self.is_clear).mean(axis=1))


def run_cabins(asked: Asked, clock: Clock, members: Members, above_K: float) -> list[CabinRuns]:
    """Try all lengths of warming the cabin before each leaving time.

    Parameters
    ----------
    asked : Asked
        What is asked for.
    clock : Clock
        The steps.
    members : Members
        Cars and mornings.
    above_K : float
        How far the set point is above the wish [K].

    Returns
    -------
    list of CabinRuns
        One per leaving time, in their order.
    """
    return [_before(asked.wishes, clock, members, leave, above_K) for leave in clock.leaves]


def _before(
    wishes: Wishes, clock: Clock, members: Members, leave: int, above_K: float
) -> CabinRuns:
    longest = min(int(setting("cabin_lead_s") / clock.step_s), leave) if wishes.wants_cabin else 0
    fine = max(1, round(clock.step_s / setting("fine_s")))
    first, k = leave - longest, members.count
    wish = wishes.cabin_degC if wishes.cabin_degC is not None else setting("cabin_usual_degC")
    set_point = wish + above_K
    steps = cabin_steps(members.cabin, 1.0, clock.step_s / fine)
    F, G = steps.F[:, 0, :2, :2], steps.G[:, 0, :2]
    heated, outer = G[:, :, INPUTS.index("cabin")], G[:, :, INPUTS.index("outside")]
    out = clock.outside[max(first - 1, 0)] + members.outside_off_K
    air = np.broadcast_to(out, (longest + 1, k)).copy()
    mass, glass = air.copy(), air.copy()
    kW = np.zeros((longest + 1, longest, k))
    lengths = np.arange(longest + 1)[:, None]
    for i in range(longest):
        out = clock.outside[first + i] + members.outside_off_K
        on = longest - i <= lengths
        for _ in range(fine):
            idle = F[:, 0, 0] * air + F[:, 0, 1] * mass + outer[:, 0] * out
            # the controller follows the air within the step: solved for both at once
            top, gain = members.cabin_kW, heated[:, 0]
            held = top * (set_point - idle) / (members.cabin_band_K + top * gain)
            power = np.where(on, np.clip(held, 0.0, top), 0.0)
            mass = F[:, 1, 0] * air + F[:, 1, 1] * mass + heated[:, 1] * power + outer[:, 1] * out
            air = idle + gain * power
            glass = step_glass(
                glass, members.glass_share, members.glass_K_per_kW, members.glass_lag_s, air, out,
                power, clock.step_s / fine,
            )  # fmt: skip
            kW[:, i] += power / fine
    dew = dew_points_degC(wish, members.humidity_pct)
    everywhere = np.ones(air.shape, dtype=np.bool_)
    warm = everywhere if wishes.cabin_degC is None else air >= wishes.cabin_degC
    clear = glass > dew if wishes.clear_glass else everywhere
    return CabinRuns(first, set_point, kW, air, glass, warm, clear)
