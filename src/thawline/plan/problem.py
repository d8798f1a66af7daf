r"""The plan as a mixed-integer linear problem.

Each step t: heat the pack :math:`h_t`, charge :math:`c_t`, awake :math:`o_t` in {0, 1}; heat
:math:`q_t`, charging power :math:`g_t`, supply :math:`s_t`, help of the pack :math:`d_t` in
kW; the coldest cell :math:`T_t = T^{free}_t + H x_t` with modes :math:`x_{t+1} = F x_t +
G (q_t, \kappa g_t)`. For each leaving time one length of warming the cabin, :math:`z_l` in
{0, 1}, with its power :math:`p_t(l)`.

.. math::

    \min \sum_t \pi_t s_t \Delta + \bar\pi y \quad
    \eta s_t = q_t + p_t + g_t + b\,o_t - d_t \quad
    g_t \le \lambda (T_t - T_0),\ T_t \ge T_0 \text{ if } c_t

A car that is asked to charge heats by itself first, so charging begins only near the end of
its heating, or while it heats.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.plan.clock import Clock
from thawline.plan.linear import LinearMap
from thawline.plan.margins import Margins
from thawline.plan.members import charge_now_pct
from thawline.plan.problem_heat import write_temperatures
from thawline.plan.rows import Ints, Rows
from thawline.plan.settings import setting
from thawline.plan.spells import spells
from thawline.plan.trial import Bench
from thawline.warmup.prior import to_values

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Windows:
    """Where heating and charging may be placed.

    Parameters
    ----------
    heat, charge : ndarray of bool, shape (n,)
        Steps in which each may be on.
    heats, charges : ndarray of bool, shape (n,)
        Steps in which each is on in any case.
    leads : tuple of tuple of int
        Lengths of warming the cabin to choose from, per leaving time, in fine steps [1].
    is_fine : bool
        Whether charging is on or off in a step; else it may be on for a part of it, within
        few spells.
    is_exact : bool
        Whether heating is on or off in a step; else it may be on for a part of it.
    """

    heat: Bools
    charge: Bools
    heats: Bools
    charges: Bools
    leads: tuple[tuple[int, ...], ...]
    is_fine: bool
    is_exact: bool = False


@dataclass(frozen=True, slots=True)
class Columns:
    """Numbers of the variables.

    Parameters
    ----------
    heat, charge : ndarray of intp, shape (n,)
        Heating and charging [1].
    into, out : ndarray of intp, shape (n,)
        Power into the pack and out of it [kW].
    leads : tuple of ndarray of intp
        Lengths of warming the cabin [1].
    """

    heat: Ints
    charge: Ints
    into: Ints
    out: Ints
    leads: tuple[Ints, ...]


def write_problem(
    bench: Bench, clock: Clock, line: LinearMap, margins: Margins, windows: Windows
) -> tuple[Rows, Columns]:
    """Write a plan down as a problem.

    Parameters
    ----------
    bench : Bench
        Car, wishes, and warming the cabin by fine steps.
    clock : Clock
        The problem's steps.
    line : LinearMap
        Heat in, coldest cell out, by the same steps.
    margins : Margins
        What is kept in hand.
    windows : Windows
        Where heating and charging may be placed.

    Returns
    -------
    Rows
        The problem.
    Columns
        Its variables.
    """
    car, asked, n = bench.car, bench.asked, len(clock.begins_s)
    wishes, hours, H = asked.wishes, clock.hours, car.heating.full_kW
    most = car.efficiency * bench.ceiling_kW
    rows = Rows()
    tiny = np.asarray(1e-6 * np.arange(n, 0, -1), dtype=np.float64)  # of equal plans the latest
    fine, exact = windows.is_fine, windows.is_exact
    may_heat = windows.heat.astype(np.float64)
    wanted = float(wishes.charge_pct is not None)
    may_charge = np.asarray(windows.charge * wanted, dtype=np.float64)
    h = rows.variables(n, windows.heats * may_heat, may_heat, cost=tiny, is_whole=exact)
    c = rows.variables(n, windows.charges * may_charge, may_charge, cost=tiny, is_whole=fine)
    several = 2 if float(np.ptp(clock.counts)) > 0.0 else 1
    w = c if fine else spells(rows, c, several)
    if not fine and asked.heat_to_degC is None:
        spells(rows, h, 2, apart=_cools_for(bench, clock))
    o = rows.variables(n, 0, 1)
    q = rows.variables(n, 0, H * may_heat)
    g = rows.variables(n, 0, most * may_charge)
    s = rows.variables(n, 0, bench.ceiling_kW, cost=np.asarray(clock.counts * hours))
    d = rows.variables(n, 0, np.inf if asked.pack_may_help else 0.0)
    x = rows.variables((n + 1) * len(line.H), -np.inf, np.inf).reshape(n + 1, -1)
    z = tuple(rows.variables(len(leads), 0, 1, is_whole=True) for leads in windows.leads)
    for which in z:
        rows.row([(v, 1.0) for v in which], 1.0, 1.0)
    cabin = _cabin(bench, clock, windows)
    _balance(bench, rows, (h, c, o, q, g, s, d), z, cabin)
    write_temperatures(bench, rows, line, (h, w, q, g), x, margins, is_exact=exact)
    _energy(bench, rows, clock, margins, g, d)
    for i, leave in enumerate(clock.leaves):
        if margins.needs_degC is not None:
            need = margins.needs_degC[i] - float(line.free[leave])
            rows.least(zip(x[leave], line.H, strict=True), need)
    if exact:
        for on in (h, c):
            _least_runs(rows, on, round(setting("least_run_s") / clock.step_s))
    return rows, Columns(h, c, g, d, z)


def _cools_for(bench: Bench, clock: Clock) -> int:
    """Count the steps in which a heated pack falls so far that the car heats again."""
    car, cold = bench.car, float(clock.outside.mean())
    p = to_values(car.structure.parameters, car.mean[None, :])
    above = car.heating.until_degC - cold
    fall = setting("restart_high_K")
    if above <= fall:
        return len(clock.begins_s)
    lasts = float(p["pack.heat_capacity"][0] / p["pack.loss"][0]) * np.log(above / (above - fall))
    return int(lasts / clock.step_s)


def _cabin(bench: Bench, clock: Clock, windows: Windows) -> list[Array]:
    """Give the cabin's power in each step for each length; shape (lengths, n) per leaving time."""
    times = round(clock.step_s / bench.clock.step_s)
    n, found = len(clock.begins_s), []
    skip = len(bench.clock.begins_s) - n * times
    for run, leads in zip(bench.cabins, windows.leads, strict=True):
        whole = np.zeros((len(leads), len(bench.clock.begins_s)))
        for i, lead in enumerate(leads):
            whole[i, run.first : run.first + run.kW.shape[1]] = run.kW[lead].mean(axis=-1)
        found.append(whole[:, skip:].reshape(len(leads), n, times).mean(axis=2))
    return found


def _balance(
    bench: Bench, rows: Rows, columns: tuple[Ints, ...], z: tuple[Ints, ...], cabin: list[Array]

) -> None:  # fmt: skip
    """Powers add up; the pack helps with what the supply cannot, and with no more."""
    h, c, o, q, g, s, d = columns
    car = bench.car
    base, H, most = car.base_kW, car.heating.full_kW, car.efficiency * bench.ceiling_kW
    for t in range(len(h)):
        warms = [
            (v, float(kW[i, t]))
            for which, kW in zip(z, cabin, strict=True)
            for i, v in enumerate(which)
            if kW[i, t] > 0.0
        ]
        rows.row(
            [(s[t], car.efficiency), (q[t], -1.0), (g[t], -1.0), (o[t], -base), (d[t], 1.0),
             *((v, -kW) for v, kW in warms)],
            0.0, 0.0,
        )  # fmt: skip
        rows.most([(q[t], 1.0), (h[t], -H)], 0.0)
        rows.most([(g[t], 1.0), (c[t], -most)], 0.0)
        rows.least([(g[t], 1.0), (c[t], -min(setting("least_charge_kW"), 0.9 * most))], 0.0)
        rows.most([(h[t], 1.0), (o[t], -1.0)], 0.0)
        rows.most([(c[t], 1.0), (o[t], -1.0)], 0.0)
        for v, _ in warms:
            rows.most([(v, 1.0), (o[t], -1.0)], 0.0)
        if not bench.asked.pack_may_help:
            continue
        # without heat f, with heat e = f + more; exact for h in {0, 1}
        alone = [(v, max(0.0, kW + base - most)) for v, kW in warms]
        least = max(0.0, H + base - most)
        more = [(v, max(0.0, H + kW + base - most) - f - least) for (v, kW), (_, f)
                in zip(warms, alone, strict=True)]  # fmt: skip
        if not any(f for _, f in (*alone, *more)):
            rows.row([(d[t], 1.0), (h[t], -least)], 0.0, 0.0)
            continue
        top = max((f for _, f in more), default=0.0)
        w = rows.variables(1, 0.0, max(top, 0.0))[0]
        rows.most([(w, 1.0), (h[t], -top)], 0.0)
        rows.most([(w, 1.0), *((v, -f) for v, f in more)], 0.0)
        rows.least([(w, 1.0), *((v, -f) for v, f in more), (h[t], -top)], -top)
        rows.row([(d[t], 1.0), (h[t], -least), (w, -1.0), *((v, -f) for v, f in alone)], 0.0, 0.0)


def _energy(bench: Bench, rows: Rows, clock: Clock, margins: Margins, g: Ints, d: Ints) -> None:
    """Enough is in the pack when leaving; what it lost is priced as if put back."""
    asked, hours = bench.asked, clock.hours
    usable, now = bench.car.vehicle.pack.usable_energy_kWh, charge_now_pct(bench.car, asked)
    end = [(v, hours) for v in g] + [(v, -hours) for v in d]
    price = float(clock.counts.mean()) / bench.car.efficiency
    y = rows.variables(1, 0.0, np.inf, cost=price)[0]
    rows.least([(y, 1.0), *end], 0.0)
    wish = asked.wishes.charge_pct
    if wish is None:
        return
    need = (wish - now) / 100.0 * usable
    # no charging is needed where there is enough; a margin then guards against help alone
    need += margins.energy_kWh
    for leave in clock.leaves:
        part = [(v, hours) for v in g[:leave]] + [(v, -hours) for v in d[:leave]]
        rows.least(part, need)


def _least_runs(rows: Rows, on: Ints, steps: int) -> None:
    """Keep what goes on on for some steps, if the plan lasts so long."""
    for t in range(len(on)):
        before = [(on[t - 1], -1.0)] if t else []
        for j in range(1, min(steps, len(on) - t)):
            rows.most([(on[t], 1.0), *before, (on[t + j], -1.0)], 0.0)
