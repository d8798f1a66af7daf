"""What binds a plan: supply, charger, time, the cold, the car's own end of heating."""

from __future__ import annotations

import numpy as np

from thawline.plan.score import regeneration_needs_degC
from thawline.plan.secure import Tried
from thawline.plan.settings import setting
from thawline.plan.trial import Bench

#: A power this near to its ceiling is at it, as a share of it [1].
FULL = 0.97
#: Charging that long at its ceiling is told [h], and a beginning this near to now [steps].
LONG_H, SOON = 0.25, 2


def what_binds(bench: Bench, tried: Tried) -> tuple[str, ...]:
    """Say what keeps the plan from being cheaper or quicker.

    Parameters
    ----------
    bench : Bench
        The sample.
    tried : Tried
        The plan.

    Returns
    -------
    tuple of str
        What binds, in plain words, the strongest first.
    """
    car, asked, trial, clock = bench.car, bench.asked, tried.trial, bench.clock
    found: list[str] = []
    charging = tried.programme.charge & (trial.charge_kW.mean(axis=1) > 0.1)
    full = charging & (trial.supply_kW.mean(axis=1) > FULL * bench.ceiling_kW)
    hours = float(full.sum()) * clock.hours
    if hours > LONG_H:
        if car.rated_kW is not None and car.rated_kW < asked.supply.power_kW:
            found.append(f"The charger: {car.rated_kW:g} kW are drawn for {hours:.1f} h, though "
                         f"the supply would give {asked.supply.power_kW:.1f} kW.")  # fmt: skip
        else:
            found.append(f"The supply: its {bench.ceiling_kW:.1f} kW are drawn in full for "
                         f"{hours:.1f} h.")  # fmt: skip
    if asked.wishes.charge_pct is not None:
        opens = float(np.median(bench.members.charging_degC))
        begins = np.flatnonzero(trial.charge_kW.mean(axis=1) > 0.3)
        if float(np.median(trial.coldest[0])) < opens and len(begins):
            waits = "and heating comes first" if tried.programme.heat.any() else "and waits for it"
            found.append(f"The cold: charging is allowed from {opens:.1f} °C at the coldest cell, "
                         f"{waits}.")  # fmt: skip
    needs = regeneration_needs_degC(bench)
    if needs is not None:
        need = float(np.quantile(needs, asked.chance))
        until = float(np.median(bench.members.until_degC))
        if need > until - setting("until_reach_K"):
            found.append(f"The car's own end of heating near {until:.1f} °C: the wished "
                         f"regeneration needs {need:.1f} °C.")  # fmt: skip
        else:
            found.append(f"Regeneration: it needs {need:.1f} °C at the coldest cell when leaving.")
    busy = np.flatnonzero(tried.programme.heat | tried.programme.charge)
    if len(busy) and busy[0] <= SOON and len(clock.begins_s) > SOON + 1:
        found.append("Time: it must begin at once.")
    helped = float((trial.helped_kW.mean(axis=1).sum()) * clock.hours)
    if helped > 0.2:
        found.append(f"The supply: it cannot feed all heating at once; the pack gives {helped:.1f} "
                     "kWh towards it.")  # fmt: skip
    return tuple(found)
