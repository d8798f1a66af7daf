"""Turn what became of a sample into an option that a person can compare."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.plan.plan import Course, Option, Ready, Road, Three
from thawline.plan.score import met, wear
from thawline.plan.secure import Tried
from thawline.plan.trial import Bench

Array = NDArray[np.float64]
SPREAD = (0.1, 0.5, 0.9)


def _three(values: Array) -> Three:
    low, middle, high = (float(v) for v in np.quantile(values, SPREAD))
    return low, middle, high


def _share(values: NDArray[np.bool_] | None) -> float | None:
    return None if values is None else float(values.mean())


def regeneration_kW(bench: Bench, coldest: Array) -> Array:
    """Find what each member recovers at most at a coldest cell.

    Parameters
    ----------
    bench : Bench
        The sample.
    coldest : ndarray of float64, shape (k,)
        Coldest cell [degC].

    Returns
    -------
    ndarray of float64, shape (k,)
        Power [kW].
    """
    m, limit = bench.members, bench.car.regeneration
    above = np.maximum(coldest - m.regeneration_degC, 0.0)
    allowed = limit.allowed_kW(above, m.regeneration_off)
    return np.where(coldest > m.regeneration_degC, allowed, 0.0)


def ready_of(bench: Bench, tried: Tried) -> tuple[Ready, ...]:
    """Tell how surely the car is ready at each leaving time.

    Parameters
    ----------
    bench : Bench
        The sample.
    tried : Tried
        What became of it.

    Returns
    -------
    tuple of Ready
        One per leaving time.
    """
    trial, found = tried.trial, []
    for i, (leave, seen) in enumerate(zip(bench.clock.leaves, met(bench, trial), strict=True)):
        run, lead = bench.cabins[i], trial.programme.leads[i]
        cold = trial.coldest[leave]
        found.append(
            Ready(
                float(bench.clock.edges_s[leave]),
                _share(seen.charge),
                _share(seen.regeneration),
                _share(seen.cabin),
                _share(seen.glass),
                float(seen.together.mean()),
                _three(trial.charge_pct[leave]),
                _three(cold),
                _three(regeneration_kW(bench, cold)),
                _three(run.air[lead]),
                _three(run.glass[lead]),
            )
        )
    return tuple(found)


def option_of(
    bench: Bench, tried: Tried, key: str, name: str, road: Road | None = None, said: str = ""
) -> Option:
    """Make an option of a trial.

    Parameters
    ----------
    bench : Bench
        The sample.
    tried : Tried
        What became of it.
    key, name : str
        What it is called.
    road : Road or None
        The first trip after it.
    said : str
        What is to be known of it.

    Returns
    -------
    Option
        The option.
    """
    bill = tried.bill
    carbon = None if bench.asked.carbon is None else bill.carbon_g
    return Option(
        key, name, bill.cost, bill.energy_kWh, bill.from_pack_kWh, carbon, ready_of(bench, tried),
        tried.chance, wear(bench, tried.trial), road, said,
    )  # fmt: skip


def course_of(bench: Bench, tried: Tried) -> Course:
    """Lay a trial out over time.

    Parameters
    ----------
    bench : Bench
        The sample.
    tried : Tried
        What became of it.

    Returns
    -------
    Course
        Temperatures with their bands, and powers.
    """
    trial, clock = tried.trial, bench.clock
    passed = trial.supply_kW * bench.members.efficiency
    return Course(
        clock.edges_s,
        np.quantile(trial.coldest, SPREAD, axis=1).T,
        np.quantile(trial.charge_pct, SPREAD, axis=1).T,
        trial.heat_kW.mean(axis=1),
        trial.cabin_kW.mean(axis=1),
        trial.charge_kW.mean(axis=1),
        trial.base_kW.mean(axis=1),
        (trial.supply_kW - passed).mean(axis=1),
        trial.helped_kW.mean(axis=1),
        clock.outside,
        clock.price,
        clock.carbon,
        bench.ceiling_kW,
    )
