"""The part of the problem that is heat: what warms, what the cold forbids, what ends heating."""

from __future__ import annotations

from thawline.forecast.allowed import TemperatureLimit
from thawline.plan.car import Heating
from thawline.plan.linear import LinearMap
from thawline.plan.margins import Margins
from thawline.plan.rows import Ints, Rows
from thawline.plan.settings import setting
from thawline.plan.trial import Bench

#: A share of heat that counts as all of it [1], and a rise that no plan reaches [K].
ALL, HOT_K = 0.98, 60.0
#: By so much a part of a long step may pass the end of heating [K].
LOOSE_K = 0.5


def _lean_per_K(heating: Heating) -> float:
    """Find the slope of a straight line below the share of heat near its end; 0: none needed."""
    last, found = heating.share[-1], []
    if last > ALL:
        return 0.0
    for below, share in zip(heating.below_K[::-1], heating.share[::-1], strict=True):
        if below > 0.0:
            found.append((share - last) / below)
        if share > ALL:
            break
    return max(min(found), 0.0)


def slope_kW_per_K(limit: TemperatureLimit, most_kW: float) -> float:
    """Find a slope that lies below a limit up to a power.

    Parameters
    ----------
    limit : TemperatureLimit
        The limit.
    most_kW : float
        The power [kW].

    Returns
    -------
    float
        Slope from the temperature at which the limit leaves zero [kW/K].
    """
    slopes = [
        kW / K for K, kW in zip(limit.knots_K, limit.knots_kW, strict=True) if K > 0.0 and kW > 0.0
    ]
    reach = limit.above_K(most_kW)
    near = [
        kW / K
        for K, kW in zip(limit.knots_K, limit.knots_kW, strict=True)
        if 0.0 < K <= float(reach) and kW > 0.0
    ]
    return min(near or slopes, default=limit.slope_kW_per_K)


def write_temperatures(
    bench: Bench, rows: Rows, line: LinearMap, columns: tuple[Ints, ...], x: Ints,
    margins: Margins, *, is_exact: bool,
) -> None:  # fmt: skip
    """Let heat warm, the cold forbid charging, and the car's own end of heating end it.

    Parameters
    ----------
    bench : Bench
        Car and wishes.
    rows : Rows
        The problem.
    line : LinearMap
        Heat in, coldest cell out.
    columns : tuple of ndarray of intp, shape (n,)
        Heating, being in a spell of charging, heat, charging power [1].
    x : ndarray of intp, shape (n + 1, r)
        The modes of the map [1].
    margins : Margins
        What is kept in hand.
    is_exact : bool
        Whether heating is on or off in a step; else it may be on for a part of it.
    """
    h, w, q, g = columns
    car, most = bench.car, bench.car.efficiency * bench.ceiling_kW
    until = car.heating.until_degC if bench.asked.heat_to_degC is None else bench.asked.heat_to_degC
    opens = car.charging.from_degC + margins.charging_K
    slope = slope_kW_per_K(car.charging, most)
    cells = car.cell_heat_per_kW2 * most
    H, last, lean = car.heating.full_kW, car.heating.share[-1], _lean_per_K(car.heating)
    told = bench.asked.heat_to_degC is not None
    again = setting("restart_told_K" if told else "restart_high_K")
    less = min(lean, (1.0 - last) / max(until - opens, 0.1))
    r = rows.variables(len(h), 0, 1, is_whole=True)
    for v in x[0]:
        rows.row([(v, 1.0)], 0.0, 0.0)
    for t in range(len(h)):
        for i in range(len(line.H)):
            rows.row(
                [(x[t + 1, i], 1.0), *zip(x[t], -line.F[i], strict=True),
                 (q[t], -line.G[i, 0]), (g[t], -line.G[i, 1] * cells)],
                0.0, 0.0,
            )  # fmt: skip
        now, free = list(zip(x[t], line.H, strict=True)), float(line.free[t])
        shut = max(opens - free, 0.0)
        rows.least([*now, (w[t], -shut)], 0.0 if shut else opens - free)
        rows.most([(g[t], 1.0), *((v, -slope * f) for v, f in now), (w[t], slope * shut)],
                  slope * (free - opens + shut))  # fmt: skip
        # asked to charge, a car heats by itself until it has reached the end of its heating
        rise = max(until - car.heating.width_K - free, 0.0)
        rows.least([*now, (r[t], -rise), *([(r[t - 1], rise)] if t else [])], 0.0)
        if t:
            rows.least([(r[t], 1.0), (r[t - 1], -1.0)], 0.0)
        own = H * (last + less * max(until - free, 0.0))
        rows.least([(q[t], 1.0), *((v, H * less * f) for v, f in now), (w[t], -own), (r[t], own)],
                   0.0)  # fmt: skip
        if is_exact:
            rows.most([*now, (h[t], HOT_K)], until - free + HOT_K)
        else:
            rows.most(now, max(until - free, 0.0) + LOOSE_K)
        if t and is_exact:  # what stopped at its end goes on again only after a fall
            rows.most([*now, (h[t], HOT_K), (h[t - 1], -HOT_K)], until - again - free + HOT_K)
        if lean:
            rows.most([(q[t], 1.0), *((v, H * lean * f) for v, f in now)],
                      H * (last + lean * abs(until - free)))  # fmt: skip
