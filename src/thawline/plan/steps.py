"""Turn a programme into steps that a person, or the car's own timers, can carry out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.plan.plan import Step
from thawline.plan.programme import runs
from thawline.plan.secure import Tried
from thawline.plan.trial import Bench

Array = NDArray[np.float64]


def steps_to_take(bench: Bench, tried: Tried) -> tuple[Step, ...]:
    """List what to do, in order of time.

    Parameters
    ----------
    bench : Bench
        The sample.
    tried : Tried
        The programme and what became of it.

    Returns
    -------
    tuple of Step
        What to do.
    """
    clock, programme, trial = bench.clock, tried.programme, tried.trial
    edges, wishes = clock.edges_s, bench.asked.wishes
    found: list[Step] = []

    def mean(kW: Array, begin: int, end: int) -> float:
        return float(kW[begin:end].mean())

    for begin, end in runs(programme.heat):
        because = _heats_for(bench, programme.charge, end)
        found.append(Step("heat-pack", float(edges[begin]), float(edges[end]),
                          mean(trial.heat_kW, begin, end), because))  # fmt: skip
    for begin, end in runs(programme.charge):
        because = f"until {programme.limit_pct:g} % are in; the car stops by itself"
        if wishes.charge_pct is not None and programme.limit_pct > wishes.charge_pct + 0.1:
            because += "; heating takes some of it again"
        found.append(Step("charge", float(edges[begin]), float(edges[end]),
                          mean(trial.charge_kW, begin, end), because))  # fmt: skip
    for i, (leave, lead) in enumerate(zip(clock.leaves, programme.leads, strict=True)):
        if lead:
            begin = leave - lead
            because = f"set to {bench.cabins[i].set_point_degC:.0f} °C" + (
                ", air onto the windscreen" if wishes.clear_glass else ""
            )
            found.append(Step("warm-cabin", float(edges[begin]), float(edges[leave]),
                              mean(trial.cabin_kW, begin, leave), because))  # fmt: skip
    found.sort(key=lambda step: (step.from_s, step.until_s))
    if not found:
        return ()
    first = Step("plug-in", bench.asked.now_s, float(edges[-1]), 0.0, "so that nothing waits for "
                 "the cable")  # fmt: skip
    return (first, *found)


def _heats_for(bench: Bench, charge: NDArray[np.bool_], end: int) -> str:
    """Tell what a stretch of heating is for: charging after it, or leaving."""
    asked = bench.asked
    charges_later = bool(charge[max(end - 1, 0) :].any())
    near = any(0 <= leave - end <= 2 for leave in bench.clock.leaves)
    if near and asked.wishes.regeneration_kW is not None:
        return f"for {asked.wishes.regeneration_kW:g} kW of regeneration when leaving"
    if charges_later:
        return "so that the coldest cell lets charging begin"
    if asked.wishes.regeneration_kW is not None:
        return f"for {asked.wishes.regeneration_kW:g} kW of regeneration when leaving"
    return "so that the pack is warm when leaving"
