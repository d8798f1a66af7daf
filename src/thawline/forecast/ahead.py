"""Run the sample ahead: heat, cells, charger, step by step."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.draws import standard_normal
from thawline.forecast.habits import Habits
from thawline.forecast.members import Members
from thawline.forecast.roots import square_root
from thawline.forecast.settings import setting
from thawline.forecast.situation import Situation
from thawline.forecast.supply_ahead import allowed_now, charging_ahead, heat_kept
from thawline.warmup.discretise import Steps
from thawline.warmup.grid import INPUTS
from thawline.warmup.network import steps_of
from thawline.warmup.prior import to_values
from thawline.warmup.structure import Structure

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Car:
    """What the run needs of the model.

    Parameters
    ----------
    structure : Structure
        Its lumps.
    usual_heat_kW : float
        Scale of the wandering heat [kW].
    outside_degC : float
        Air outside [degC].
    cell_heat_per_kW2 : float
        Heat in the cells per square of pack power [1/kW].
    """

    structure: Structure
    usual_heat_kW: float
    outside_degC: float
    cell_heat_per_kW2: float


@dataclass(frozen=True, slots=True)
class Paths:
    """The sample's future.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Times; the first is now [s].
    coldest : ndarray of float64, shape (n, k, m)
        The coldest cell [degC].
    charge_kW : ndarray of float64, shape (n, k, m)
        What goes into the pack from the supply [kW].
    drawn_kW : ndarray of float64, shape (n, k, m)
        What is drawn from the supply [kW].
    """

    t: Array
    coldest: Array
    charge_kW: Array
    drawn_kW: Array


def several(steps: Steps, times: int) -> Steps:
    """Put several steps with held inputs into one.

    Parameters
    ----------
    steps : Steps
        The model by steps.
    times : int
        How many to join [1].

    Returns
    -------
    Steps
        The model by longer steps.
    """
    F, G, Q = steps.F, steps.G, steps.Q
    for _ in range(times - 1):
        Q = steps.F @ Q @ np.swapaxes(steps.F, -1, -2) + steps.Q
        G = steps.F @ G + steps.G
        F = steps.F @ F
    return Steps(F, G, Q)


def target_weights(structure: Structure) -> Array:
    """Tell how the coldest cell follows from the states.

    Parameters
    ----------
    structure : Structure
        The model's lumps.

    Returns
    -------
    ndarray of float64, shape (n,)
        Weights [1].
    """
    weights = np.zeros(len(structure.states))
    for lump in structure.target:
        weights[structure.states.index(lump)] = 1.0 / len(structure.target)
    return weights


def look_lengths() -> tuple[tuple[float, int], ...]:
    """Give step and number of steps of each part of a look ahead.

    Returns
    -------
    tuple of (float, int)
        Step [s] and number [1]; each step is a whole number of the first.
    """
    return tuple(
        (setting(f"{part}_step_s"), int(setting(f"{part}_steps")))
        for part in ("fine", "coarse", "far")
    )


def parts_ahead(short: Steps) -> tuple[tuple[Steps, float, int], ...]:
    """Give the model for each part of a look ahead.

    Parameters
    ----------
    short : Steps
        The model by steps of the first part.

    Returns
    -------
    tuple of (Steps, float, int)
        The model, its step [s] and the number of steps [1].
    """
    lengths = look_lengths()
    found, steps, before = [], short, lengths[0][0]
    for step_s, count in lengths:
        steps = several(steps, round(step_s / before))
        before = step_s
        found.append((steps, step_s, count))
    return tuple(found)


def noise_ahead(Q: Array, count: int, paths: int, rng: np.random.Generator) -> Array:
    """Draw what a part of a look ahead adds at random, all steps at once.

    Parameters
    ----------
    Q : ndarray of float64, shape (k, n, n)
        Covariance of one step [degC2, kW2].
    count : int
        Steps [1].
    paths : int
        Paths per set [1].
    rng : Generator
        Random numbers.

    Returns
    -------
    ndarray of float64, shape (count, k, n, paths)
        What is added [degC, kW].
    """
    k, n = Q.shape[0], Q.shape[-1]
    normal = standard_normal(rng, (k, n, count * paths), is_short=True)
    drawn = (square_root(Q).astype(np.float32) @ normal).reshape(k, n, count, paths)
    return np.ascontiguousarray(np.moveaxis(drawn, 2, 0), dtype=np.float64)


def run_ahead(
    car: Car,
    members: Members,
    habits: Habits,
    now: Situation,
    cabin_kW: Array,
    rng: np.random.Generator,
) -> Paths:
    """Run all members ahead.

    Parameters
    ----------
    car : Car
        The model.
    members : Members
        Parameters and states now.
    habits : Habits
        What each will do.
    now : Situation
        What goes on.
    cabin_kW : ndarray of float64, shape (n, k, m)
        Cabin heating at each step of the look ahead [kW].
    rng : Generator
        Random numbers.

    Returns
    -------
    Paths
        Coldest cell, charging and supply over time, in steps that grow.
    """
    structure, p = car.structure, to_values(car.structure.parameters, members.z)
    shares = np.unique([now.still_share, now.flow_share])  # one where the pump runs
    short = steps_of(structure, p, shares, car.usual_heat_kW, setting("fine_step_s"))
    x, t = members.states, now.now_s
    k, _, m = x.shape
    target = target_weights(structure)
    metal = structure.states.index(structure.hot[0]) if structure.hot else None
    rise = p["winding.rise"][:, None] if "winding.rise" in p else np.zeros((k, 1))
    has_winding = metal is not None and "metal" in structure.seen
    one = target.argmax() if np.count_nonzero(target) == 1 else None
    wander = np.zeros((k, m))
    off = np.zeros((k, m), dtype=np.bool_)
    drive = np.full((k, m), now.heat.drive_kW if now.heat.state == "on" else 0.0)
    charged: list[Array] = []
    drew: list[Array] = []
    times, cold = [np.array([t])], [target @ x]
    nothing, full_heater = np.zeros((k, m)), now.heat.heater_kW * habits.heat_factor
    has_heater = now.heat.heater_kW > 0.0
    n = x.shape[1]
    both = np.concatenate([x, np.zeros((k, len(INPUTS), m))], axis=1)
    fed = both[:, n:]
    fed[:, INPUTS.index("outside")] = car.outside_degC
    level_kW = now.heat.full_kW if has_winding and now.is_spared else now.heat.drive_kW
    able_kW = np.maximum(habits.able_kW, level_kW)
    # heat that is measured may be off, its power is not: what charger and pack give is known
    weighs = habits.heat_factor if now.heat.is_settled else 1.0
    curve = habits.charging.curve(habits.charging_off)
    yields = habits.ceiling_kW is not None and bool(habits.charges_first.any())
    for steps, step_s, count in parts_ahead(short):
        move = np.concatenate([steps.F, steps.G], axis=-1)
        if len(shares) > 1 and not structure.hot:  # what is made does not arrive
            move[:, 0, :, [n + INPUTS.index(each) for each in ("drive", "heater")]] = 0.0
        noise = noise_ahead(steps.Q[:, -1], count, m, rng)
        stirred = standard_normal(rng, (count, k, m))
        keep = np.exp(-step_s / setting("heat_wander_s"))
        stir = now.heat.wander * np.sqrt(1.0 - keep**2)
        when = np.add.accumulate(np.concatenate([[t], np.full(count, step_s)]))
        begun = when[:-1, None, None]
        paused = (begun >= habits.pauses_from_s) & (begun < habits.pauses_to_s)
        may_heat = ~paused & (begun >= habits.heats_from_s)
        is_there = begun >= habits.supply_from_s
        runs = begun >= habits.pump_from_s
        all_run = [bool(each.all()) for each in runs]
        factor = np.empty((count, k, m))
        for step in range(count):
            factor[step] = wander = keep * wander + stir * stirred[step]
        factor = habits.heat_factor * np.exp(factor)
        first = len(charged)
        others_kW = cabin_kW[first : first + count] + now.base_kW
        for step in range(count):
            coldest, others = cold[-1], others_kW[step]
            off |= coldest >= habits.heats_until_degC
            on, there, level = may_heat[step] & ~off, is_there[step], factor[step]
            if has_winding:
                # windings run above the metal by what they make: solved for both at once
                most = able_kW * level
                room = (habits.spare_degC - x[:, metal]) / (habits.spare_width_K + rise * most)
                level = level * np.minimum(np.maximum(room, 0.0), 1.0)
            eased = np.minimum((habits.heats_until_degC - coldest) / habits.eases_over_K, 1.0)
            eased = np.maximum(eased, 0.0)
            drive = np.where(on, able_kW * level, 0.0) * eased
            heater = np.where(on, full_heater, 0.0) * eased if has_heater else nothing
            if now.shares_supply and habits.ceiling_kW is not None:
                given = habits.efficiency * habits.ceiling_kW + now.helped_kW
                rest = given - others - heater / weighs
                drive = np.where(there, np.clip(rest * weighs, 0.0, drive), drive)
            limit = allowed_now(habits, coldest, curve)
            heat = (drive + heater if has_heater else drive) / weighs
            if yields and limit is not None:
                kept = heat_kept(habits, there, limit, heat, others)
                drive, heater, heat = drive * kept, heater * kept, heat * kept
            loads = heat + others
            charge, drawn = charging_ahead(habits, there, limit, loads)
            fed[:, 0], fed[:, 1], fed[:, 3] = drive, heater, cabin_kW[first + step]
            fed[:, 2] = car.cell_heat_per_kW2 * (habits.efficiency * drawn - loads) ** 2
            x = move[:, -1] @ both + noise[step]
            if not all_run[step]:
                still = move[:, 0] @ both + noise[step]
                x = np.where(runs[step][:, None, :], x, still)
            both[:, :n] = x
            cold.append(target @ x if one is None else x[:, one])
            charged.append(charge)
            drew.append(drawn)
        t = float(when[-1])
        times.append(when[1:])
    charged.append(charged[-1])
    drew.append(drew[-1])
    return Paths(np.concatenate(times), np.array(cold), np.array(charged), np.array(drew))
