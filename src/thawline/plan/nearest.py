"""Where not all wishes can be met: what can, and what would make them possible."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from thawline.plan.asked import Asked
from thawline.plan.bench import lay_out
from thawline.plan.options import regeneration_kW
from thawline.plan.plan import Nearest
from thawline.plan.score import met, regeneration_needs_degC
from thawline.plan.secure import Tried, all_out, tried
from thawline.plan.settings import setting
from thawline.plan.trial import Bench

#: Currents that supplies usually offer [A]: IEC 61851-1 and the ratings of branch circuits.
AMPS = (10.0, 12.0, 16.0, 20.0, 24.0, 32.0, 40.0, 48.0)
#: Members for trials of what would help [1].
FEW = 64


def nearest(bench: Bench, best: Tried) -> Nearest:
    """Say what can be done instead, and what would help.

    Parameters
    ----------
    bench : Bench
        The sample.
    best : Tried
        The likeliest programme that was found.

    Returns
    -------
    Nearest
        In plain words.
    """
    return Nearest(tuple(_reached(bench, best)), tuple(_cures(bench)))


def _reached(bench: Bench, best: Tried) -> Iterator[str]:
    """Tell what is reached with the promised probability by the likeliest programme."""
    asked, wishes, low = bench.asked, bench.asked.wishes, 1.0 - bench.asked.chance
    for i, (leave, seen) in enumerate(zip(bench.clock.leaves, met(bench, best.trial), strict=True)):
        run, lead = bench.cabins[i], best.programme.leads[i]
        when = "" if len(bench.clock.leaves) == 1 else f" at leaving time {i + 1}"
        sure = f"with {100.0 * asked.chance:.0f} %{when}"
        if seen.charge is not None and float(seen.charge.mean()) < asked.chance:
            pct = float(np.quantile(best.trial.charge_pct[leave], low))
            yield f"{max(pct, 0.0):.0f} % of charge instead of {wishes.charge_pct:g} %, {sure}."
        if seen.regeneration is not None and float(seen.regeneration.mean()) < asked.chance:
            kW = float(np.quantile(regeneration_kW(bench, best.trial.coldest[leave]), low))
            yield (f"{kW:.1f} kW of regeneration instead of {wishes.regeneration_kW:g} kW, "
                   f"{sure}.")  # fmt: skip
        if seen.cabin is not None and float(seen.cabin.mean()) < asked.chance:
            degC = float(np.quantile(run.air[lead], low))
            yield f"{degC:.0f} °C in the cabin instead of {wishes.cabin_degC:g} °C, {sure}."
        if seen.glass is not None and float(seen.glass.mean()) < asked.chance:
            yield f"The glass stays clear with {100.0 * float(seen.glass.mean()):.0f} %{when}."


def _is_possible(bench: Bench, asked: Asked) -> bool:
    """Tell whether asking for all that can be asked would do."""
    other = lay_out(bench.car, asked, step_s=bench.clock.step_s, members=FEW)
    return tried(other, all_out(other)).chance >= asked.chance


def _cures(bench: Bench) -> Iterator[str]:
    asked, wishes = bench.asked, bench.asked.wishes
    step = setting("later_step_s")
    for times in range(1, int(setting("latest_s") / step) + 1):
        later = replace(
            asked, wishes=replace(wishes, leave_s=tuple(t + times * step for t in wishes.leave_s))
        )
        if _is_possible(bench, later):
            yield f"Leave {times * step / 60.0:.0f} minutes later."
            break
    rated = bench.car.rated_kW or np.inf
    for amps in AMPS:
        supply = replace(asked.supply, amps=amps, breaker_A=None)
        if supply.power_kW <= bench.ceiling_kW or asked.supply.power_kW >= rated:
            continue
        if _is_possible(bench, replace(asked, supply=supply)):
            yield (f"A supply of {amps:g} A (a branch circuit of {1.25 * amps:g} A; the local code "
                   "and a licensed electrician decide).")  # fmt: skip
            break
    needs = regeneration_needs_degC(bench)
    if needs is None or asked.heat_to_degC is not None:
        return
    to = float(np.ceil(np.quantile(needs, 0.97) + 1.0))
    if _is_possible(bench, replace(asked, heat_to_degC=to)):
        yield f"Heat the pack to {to:.0f} °C, if the car lets you choose (option --heat-to)."
