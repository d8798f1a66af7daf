"""What each wish costs: plan again with less of it, and compare."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from thawline.plan.asked import Asked
from thawline.plan.bench import lay_out
from thawline.plan.margins import first_margins
from thawline.plan.plan import WishCost
from thawline.plan.programme import Bools, Programme
from thawline.plan.secure import Effort, Secured, secure
from thawline.plan.settings import setting
from thawline.plan.trial import Bench

Progress = Callable[[int, int], None]


def relaxed(asked: Asked) -> dict[str, Asked]:
    """List the request with less of each wish.

    Parameters
    ----------
    asked : Asked
        What is asked for.

    Returns
    -------
    dict of str to Asked
        The changed request by what is different, in plain words.
    """
    w, found = asked.wishes, {}

    def put(name: str, **changes: object) -> None:
        less = replace(w, **changes)  # type: ignore[arg-type] # fields, as written below
        found[name] = replace(asked, wishes=less)

    later = setting("later_s")
    put(f"leaving {later / 60.0:.0f} minutes later", leave_s=tuple(t + later for t in w.leave_s))
    if w.charge_pct is not None:
        less = setting("less_pct")
        put(f"{less:g} % less charge", charge_pct=w.charge_pct - less)
    if w.regeneration_kW is not None:
        less = setting("less_kW")
        if w.regeneration_kW > less:
            put(f"{less:g} kW less regeneration", regeneration_kW=w.regeneration_kW - less)
        put("no wish for regeneration", regeneration_kW=None)
    if w.cabin_degC is not None:
        cooler = setting("cooler_K")
        put(f"{cooler:g} °C less in the cabin", cabin_degC=w.cabin_degC - cooler)
    if w.wants_cabin:
        put("no wish for cabin and glass", cabin_degC=None, clear_glass=False)
    weaker = asked.chance - setting("weaker_chance")
    if weaker >= 0.5:
        found[f"ready with {100.0 * weaker:.0f} % instead of {100.0 * asked.chance:.0f} %"] = (
            replace(asked, chance=weaker)
        )
    return found


def price_wishes(
    bench: Bench, plan: Secured, progress: Progress | None = None
) -> tuple[WishCost, ...]:
    """Price the wishes.

    Parameters
    ----------
    bench : Bench
        The sample of the plan.
    plan : Secured
        The plan.
    progress : callable, optional
        Called with the wishes done and the wishes in all.

    Returns
    -------
    tuple of WishCost
        What each would save; never less than nothing, since the plan itself would still do.
    """
    found = []
    changes, now = relaxed(bench.asked), plan.best
    step_s, count = bench.clock.step_s, bench.members.count
    effort = Effort(int(setting("few_rounds")), int(setting("few_moves")))
    for i, (name, asked) in enumerate(changes.items()):
        if progress is not None:
            progress(i, len(changes))
        other = lay_out(bench.car, asked, step_s=step_s, members=count)
        margins = replace(first_margins(other), energy_kWh=plan.margins.energy_kWh)
        carried = _carried(now.programme, bench, other)
        after = secure(other, carried, effort=replace(effort, margins=margins))
        if after.best.chance < asked.chance:
            continue
        saves = max(now.bill.cost - after.best.bill.cost, 0.0)
        found.append(WishCost(name, saves, after.best.chance))
    return tuple(found)


def _leads(programme: Programme, bench: Bench) -> tuple[int, ...]:
    return tuple(
        min(lead, len(run.air) - 1) for lead, run in zip(programme.leads, bench.cabins, strict=True)
    )


def _carried(programme: Programme, bench: Bench, other: Bench) -> tuple[Programme, ...]:
    """Use the plan's programme for a request that may leave later."""
    more, leads = len(other.clock.begins_s) - len(bench.clock.begins_s), _leads(programme, other)

    def late(on: Bools, by: int) -> Bools:
        return np.concatenate([np.zeros(by, dtype=np.bool_), on, np.zeros(more - by, np.bool_)])

    return tuple(
        Programme(late(programme.heat, by), late(programme.charge, by), leads, programme.limit_pct)
        for by in {0, more}
    )
