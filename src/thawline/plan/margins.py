"""Margins that turn a plan for the most probable car into one for nearly all of them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thawline.plan.score import met, regeneration_needs_degC
from thawline.plan.settings import setting
from thawline.plan.trial import Bench, Trial

Array = NDArray[np.float64]
#: Most that one round adds: kelvins [K], and energy over the pack's [1].
MORE_K, MORE_SHARE = 1.5, 0.02


@dataclass(frozen=True, slots=True)
class Margins:
    """What a plan for the most probable car keeps in hand.

    Parameters
    ----------
    charging_K : float
        Charging is planned from so far above the temperature that allows it [K].
    energy_kWh : float
        So much more is planned to be charged [kWh].
    needs_degC : tuple of float or None
        Coldest cell that is planned for at each leaving time, for regeneration [degC].
    """

    charging_K: float
    energy_kWh: float
    needs_degC: tuple[float, ...] | None


def wish_chance(bench: Bench) -> float:
    """Tell the probability that each single wish must have for all of them together.

    Parameters
    ----------
    bench : Bench
        The sample.

    Returns
    -------
    float
        Probability [1].
    """
    wishes = bench.asked.wishes
    count = sum(
        (wishes.charge_pct is not None, wishes.regeneration_kW is not None, wishes.wants_cabin)
    )
    return 1.0 - (1.0 - aim(bench)) / max(count, 1)


def aim(bench: Bench) -> float:
    """Tell the probability that a plan must have on the sample.

    Parameters
    ----------
    bench : Bench
        The sample.

    Returns
    -------
    float
        What is promised and something for what the model does not know of itself [1].
    """
    return min(bench.asked.chance + setting("aim_above"), 0.5 + 0.5 * bench.asked.chance)


def first_margins(bench: Bench) -> Margins:
    """Guess margins from where the sample's limits lie.

    Parameters
    ----------
    bench : Bench
        The sample.

    Returns
    -------
    Margins
        A first guess.
    """
    m, each = bench.members, wish_chance(bench)
    needs = regeneration_needs_degC(bench)
    above = float(np.quantile(m.charging_degC, each)) - bench.car.charging.from_degC
    wish = bench.asked.wishes.charge_pct
    energy = 0.0
    if wish is not None:
        short = (wish - m.charge_pct) / 100.0 * m.usable_kWh
        energy = float(np.quantile(short, each)) - float(np.median(short))
    count = len(bench.clock.leaves)
    need = None if needs is None else (float(np.quantile(needs, each)),) * count
    return Margins(max(above, 0.0), max(energy, 0.0), need)


def _lacks(short: Array, each: float, most: float) -> float:
    """Tell how much more would let the wished share do, in bounded steps."""
    return float(np.clip(np.quantile(short, each), 0.1 * most, most))


def tightened(bench: Bench, margins: Margins, trial: Trial) -> Margins:
    """Add to the margins what the sample lacked.

    Parameters
    ----------
    bench : Bench
        The sample.
    margins : Margins
        What was kept in hand.
    trial : Trial
        What became of it.

    Returns
    -------
    Margins
        More of it, where wishes were missed too often.
    """
    each, wishes = wish_chance(bench), bench.asked.wishes
    needs, found = regeneration_needs_degC(bench), margins
    for i, (leave, seen) in enumerate(zip(bench.clock.leaves, met(bench, trial), strict=True)):
        if seen.regeneration is not None and needs is not None and found.needs_degC is not None:
            lacks = _lacks(needs - trial.coldest[leave], each, MORE_K)
            if float(seen.regeneration.mean()) < each:
                more = list(found.needs_degC)
                more[i] += lacks
                found = replace(found, needs_degC=tuple(more))
        if seen.charge is not None and wishes.charge_pct is not None:
            short = (wishes.charge_pct - trial.charge_pct[leave]) / 100.0
            usable = bench.members.usable_kWh
            lacks = _lacks(short * usable, each, MORE_SHARE * float(usable.mean()))
            if float(seen.charge.mean()) < each:
                found = replace(found, energy_kWh=found.energy_kWh + lacks)
    return found
