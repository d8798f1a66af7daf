"""Run the sample under a programme: temperatures, charge, powers of every member.

The car keeps its habits: it heats its pack on request and before charging, up to a temperature
of its own and less near it; it serves loads before charging; it charges only as much as the
coldest cell allows; it stops at the wished charge.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.ahead import several, target_weights
from thawline.plan.asked import Asked
from thawline.plan.cabin_runs import CabinRuns
from thawline.plan.car import PlanCar
from thawline.plan.clock import Clock
from thawline.plan.members import Members
from thawline.plan.programme import Programme
from thawline.plan.settings import setting
from thawline.warmup.grid import INPUTS
from thawline.warmup.network import steps_of

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Bench:
    """What every trial of one request shares.

    Parameters
    ----------
    car : PlanCar
        The car.
    asked : Asked
        What is asked for.
    clock : Clock
        The steps.
    members : Members
        Cars and mornings.
    cabins : tuple of CabinRuns
        Warming the cabin, one per leaving time.
    F, G : ndarray of float64, shape (k, 2, n, n) and (k, 2, n, 5)
        The model by fine steps, without and with flow [1], [K/kW].
    still_F, still_G : ndarray of float64, shape (k, n, n) and (k, n, 5)
        The same by whole steps, without flow [1], [K/kW].
    fine : int
        Fine steps in a step [1].
    ceiling_kW : float
        The most that supply and charger take [kW].
    """

    car: PlanCar
    asked: Asked
    clock: Clock
    members: Members
    cabins: tuple[CabinRuns, ...]
    F: Array
    G: Array
    still_F: Array
    still_G: Array
    fine: int
    ceiling_kW: float


def make_bench(
    car: PlanCar, asked: Asked, clock: Clock, members: Members, cabins: tuple[CabinRuns, ...]
) -> Bench:
    """Prepare trials.

    Parameters
    ----------
    car : PlanCar
        The car.
    asked : Asked
        What is asked for.
    clock : Clock
        The steps.
    members : Members
        Cars and mornings.
    cabins : tuple of CabinRuns
        Warming the cabin.

    Returns
    -------
    Bench
        All that trials share.
    """
    fine = max(1, round(clock.step_s / setting("fine_s")))
    shares = np.array([0.0, car.heating.flow_share])
    steps = steps_of(car.structure, members.p, shares, car.heating.full_kW, clock.step_s / fine)
    whole = several(steps, fine)
    return Bench(
        car, asked, clock, members, cabins, steps.F, steps.G,
        np.ascontiguousarray(whole.F[:, 0]), np.ascontiguousarray(whole.G[:, 0]), fine,
        ceiling_kW(car, asked),
    )  # fmt: skip


def ceiling_kW(car: PlanCar, asked: Asked) -> float:
    """Find the most that supply and charger take.

    Parameters
    ----------
    car : PlanCar
        The car.
    asked : Asked
        What is asked for.

    Returns
    -------
    float
        Power from the supply [kW].
    """
    supply = asked.supply.power_kW
    return supply if car.rated_kW is None else min(supply, car.rated_kW)


@dataclass(frozen=True, slots=True)
class Trial:
    """What became of the sample; n steps, k members.

    Parameters
    ----------
    programme : Programme
        What was asked of the car.
    coldest : ndarray of float64, shape (n + 1, k)
        Coldest cell [degC].
    charge_pct : ndarray of float64, shape (n + 1, k)
        State of charge [percent].
    supply_kW, heat_kW, charge_kW, cabin_kW, base_kW : ndarray of float64, shape (n, k)
        Power from the supply, into heat, into the pack, into the cabin, into other loads [kW].
    helped_kW : ndarray of float64, shape (n, k)
        Power that the pack gives [kW].
    pack_degC : ndarray of float64, shape (k,)
        Mean of the pack at the end [degC].
    """

    programme: Programme
    coldest: Array
    charge_pct: Array
    supply_kW: Array
    heat_kW: Array
    charge_kW: Array
    cabin_kW: Array
    base_kW: Array
    helped_kW: Array
    pack_degC: Array


def try_out(bench: Bench, programme: Programme) -> Trial:
    """Run the sample under a programme.

    Parameters
    ----------
    bench : Bench
        The sample and its surroundings.
    programme : Programme
        What is asked of the car.

    Returns
    -------
    Trial
        What becomes of it.
    """
    m, clock, car = bench.members, bench.clock, bench.car
    n, k, fine = len(clock.begins_s), m.count, bench.fine
    target = target_weights(car.structure)
    x = np.zeros((k, len(car.structure.states)))
    x[:, : len(car.structure.lumps)] = m.pack_degC[:, None]
    cabin = _cabin_kW(bench, programme)
    cold, charge = np.empty((n + 1, k)), np.empty((n + 1, k))
    cold[0], charge[0] = x @ target, m.charge_pct
    supply, heats, charges, bases, helps = (np.zeros((n, k)) for _ in range(5))
    stop = -1.0 if bench.asked.wishes.charge_pct is None else programme.limit_pct
    inputs = np.zeros((k, len(INPUTS)))
    heats_by = INPUTS.index("heater" if car.heating.is_heater else "drive")
    cell, resistance = car.cell_heat_per_kW2, m.p["pack.resistance"]
    reached = np.zeros(k, dtype=np.bool_)
    runs_on = 0.0
    most = m.efficiency * bench.ceiling_kW
    help_always = np.inf if bench.asked.pack_may_help else 0.0
    step_h, state = clock.hours / fine, m.charge_pct.copy()
    for t in range(n):
        outside = clock.outside[t] + m.outside_off_K
        wants, asks = bool(programme.heat[t]), bool(programme.charge[t])
        busy = wants or asks or bool(cabin[t].any())
        inputs[:] = 0.0
        inputs[:, INPUTS.index("outside")] = outside
        if not busy and runs_on <= 0.0:
            x = _by(bench.still_F, x) + _by(bench.still_G, inputs)
            cold[t + 1], charge[t + 1] = x @ target, state
            reached &= cold[t + 1] > m.until_degC - m.restart_K
            continue
        base = car.base_kW if busy else 0.0
        for _ in range(fine):
            now = x @ target
            reached = (reached | (now >= m.until_degC - setting("until_reach_K"))) & (
                now > m.until_degC - m.restart_K
            )
            heat = np.zeros(k)
            if wants or asks:
                share = car.heating.share_at(m.until_degC - now)
                heat = np.where(reached, 0.0, m.heat_kW * share)
                spare = np.maximum(most - cabin[t] - base, 0.0)
                heat = np.minimum(heat, spare + (m.help_kW if asks else help_always))
            loads = heat + cabin[t] + base
            put = np.zeros(k)
            if asks:
                above = np.maximum(now - m.charging_degC, 0.0)
                allowed = np.where(
                    now > m.charging_degC, car.charging.allowed_kW(above, m.charging_off), 0.0
                )
                room = np.maximum(stop - state, 0.0) / 100.0 * m.usable_kWh / step_h
                put = np.minimum(np.clip(most - loads, 0.0, allowed), room)
            drawn = np.minimum((loads + put) / m.efficiency, bench.ceiling_kW)
            into = m.efficiency * drawn - loads
            state = np.clip(
                state + (into - cell * resistance * into**2) * step_h / m.usable_kWh * 100.0,
                0.0, 100.0,
            )  # fmt: skip
            inputs[:, heats_by] = heat
            inputs[:, INPUTS.index("cells")] = cell * into**2
            flows = bool(heat.any()) or bool(put.any()) or runs_on > 0.0
            runs_on = setting("runs_on_s") if heat.any() else runs_on - clock.step_s / fine
            i = 1 if flows else 0
            x = _by(bench.F[:, i], x) + _by(bench.G[:, i], inputs)
            supply[t] += drawn / fine
            heats[t] += heat / fine
            charges[t] += put / fine
            bases[t] += base / fine
            helps[t] += np.maximum(-into, 0.0) / fine
        cold[t + 1], charge[t + 1] = x @ target, state
    rows = [car.structure.states.index(row) for row in car.structure.pack]
    return Trial(
        programme, cold, charge, supply, heats, charges, cabin, bases, helps,
        x[:, rows].mean(axis=1),
    )  # fmt: skip


def _by(matrices: Array, vectors: Array) -> Array:
    return np.asarray((matrices @ vectors[:, :, None])[:, :, 0])


def _cabin_kW(bench: Bench, programme: Programme) -> Array:
    """Put the cabin's power of all leaving times on the clock."""
    kW = np.zeros((len(bench.clock.begins_s), bench.members.count))
    for run, lead in zip(bench.cabins, programme.leads, strict=True):
        if lead:
            part = kW[run.first : run.first + run.kW.shape[1]]
            np.maximum(part, run.kW[lead], out=part)
    return kW
