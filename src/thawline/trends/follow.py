r"""Follow a vehicle's quantities over its mornings, with conditions taken out.

Times, energies and resistances are compared by their ratio: their logarithm is regressed on time
and on conditions (and the square of the coldest cell's, as a thaw is no straight line of it). What
is shown as *normalised* is the quantity less the fitted effect of each condition's distance from
the middle of the mornings. A colder day is thus no worse car, and what a few mornings cannot tell
of the weather's effect widens the uncertainty of the change.

Ten quantities are looked at, and each would cry wolf in its own twentieth of all sound cars: what
counts as a change is decided for all of a vehicle's together [1]_.

References
----------
.. [1] S. Holm, A simple sequentially rejective multiple test procedure, Scand. J. Statistics 6
   (1979) 65.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.stats import t as student

from thawline.physics.constants import read_table
from thawline.recording.dated import has_date
from thawline.trends.measure import setting
from thawline.trends.morning import Morning, Value
from thawline.trends.robust import Regressed, regress
from thawline.trends.trends import Effect, Trend, Trends
from thawline.trends.words import sentence_of

Array = NDArray[np.float64]
DAY_S, PERCENT = 86_400.0, 100.0
TWO_SIDED = 0.975
#: Logarithms of ratios beyond this say nothing more [1].
MOST_LOG = 300.0


def follow(mornings: Sequence[Morning], price_per_kWh: float | None = None) -> Trends:
    """Follow all quantities of one vehicle.

    Parameters
    ----------
    mornings : sequence of Morning
        Mornings of one vehicle, at least one, in any order.
    price_per_kWh : float, optional
        The tariff, for the cost [1/kWh].

    Returns
    -------
    Trends
        Its quantities.
    """
    every = sorted(mornings, key=lambda one: (one.starts_at, one.recording_id))
    ordered = [one for one in every if has_date(one.starts_at)]
    made, missing = list[tuple[Trend, float, str]](), list[str]()
    if len(ordered) < len(every):
        missing.append(f"{len(every) - len(ordered)} recordings without a date")
    for row in read_table("thawline.trends", "quantities.csv"):
        told = [
            (one, value)
            for one in ordered
            if (value := _value(one, row["quantity"], price_per_kWh)) is not None
            and (row["scale"] != "log" or value.value > 0.0)
        ]
        if told:
            made.append((*_trend(row, told), row["better"]))
        elif row["quantity"] != "cost" or price_per_kWh is not None:
            missing.append(row["title"])
    last = every[-1]
    return Trends(
        last.vehicle, last.model, len(every), _called(made), tuple(missing), price_per_kWh
    )


def _called(made: Sequence[tuple[Trend, float, str]]) -> tuple[Trend, ...]:
    """Decide which changes count, the surest first, and put them into words."""
    told = [chance for trend, chance, _ in made if trend.change is not None]
    counts, allowed = set[float](), 1.0 - setting("sure")
    for rank, chance in enumerate(sorted(told)):
        if chance > allowed / (len(told) - rank):
            break
        counts.add(chance)
    return tuple(
        sentence_of(replace(trend, is_change=trend.change is not None and chance in counts), better)
        for trend, chance, better in made
    )


def _value(morning: Morning, quantity: str, price: float | None) -> Value | None:
    if quantity != "cost":
        return morning.values.get(quantity)
    energy = morning.values.get("energy.supply")
    if energy is None or price is None:
        return None
    return Value(energy.value * price, energy.sigma * price)


def _columns(
    row: dict[str, str], mornings: Sequence[Morning]
) -> tuple[list[Array], list[float], list[tuple[dict[str, str], float, int]], list[str]]:
    """Give what conditions add to the regression: columns, priors, and what each is."""
    scale = row["scale"]
    columns, priors, kept, left = list[Array](), list[float](), [], []
    known = {one["condition"]: one for one in read_table("thawline.trends", "conditions.csv")}
    for name in row["conditions"].split():
        values = np.array([one.conditions.get(name, np.nan) for one in mornings])
        if np.any(np.isnan(values)) or float(np.ptp(values)) <= 0.0:
            left.append(known[name]["title"])
            continue
        middle = float(np.median(values))
        kept.append((known[name], middle, len(columns)))
        columns.append(values - middle)
        priors.append(float(known[name][f"{scale}_effect"]))
        bend = float(known[name]["log_bend"]) if scale == "log" else 0.0
        if bend > 0.0:
            columns.append((values - middle) ** 2)
            priors.append(bend)
    return columns, priors, kept, left


def _trend(row: dict[str, str], told: Sequence[tuple[Morning, Value]]) -> tuple[Trend, float]:
    """Follow one quantity; how probable it is that scatter alone makes as much of a change [1]."""
    is_log = row["scale"] == "log"
    mornings = [one for one, _ in told]
    raw = np.array([value.value for _, value in told])
    sigma = np.array([value.sigma for _, value in told])
    y, spread = (np.log(raw), sigma / raw) if is_log else (raw, sigma)
    starts = np.array([one.starts_at for one in mornings])
    days = float(np.ptp(starts)) / DAY_S
    enough = len(raw) >= setting("least_mornings") and days >= setting("least_days")
    clock = (starts - 0.5 * (starts[0] + starts[-1])) / DAY_S / max(days, 1.0)
    columns, priors, kept, left = _columns(row, mornings)
    x = np.column_stack([np.ones(len(raw)), clock if enough else np.zeros(len(raw)), *columns])
    # without enough mornings there is no change to tell: its column is held at nothing
    prior = np.array([np.inf, np.inf if enough else 1.0, *priors])
    fit = regress(x, y, spread, prior, float(row["usual_scatter"]))
    weather = x[:, 2:] @ fit.effects[2:]
    course = x[:, :2] @ fit.effects[:2]
    wide = _wide(fit, x)
    back = _exp if is_log else np.asarray
    change, change_sigma = _told(fit.effects[1], np.sqrt(fit.covariance[1, 1]), is_log)
    strength = abs(float(fit.effects[1])) / float(np.sqrt(fit.covariance[1, 1]))
    by_chance = 2.0 * float(student.sf(strength, max(fit.freedom, 1.0)))
    level = float(back(fit.effects[0]))
    sigma0 = float(np.sqrt(fit.covariance[0, 0])) * (level if is_log else 1.0)
    trend = Trend(
        row["quantity"],
        row["title"],
        row["unit"],
        len(raw),
        days,
        level,
        sigma0,
        change if enough else None,
        change_sigma if enough else None,
        "percent" if is_log else row["unit"],
        fit.scatter * (PERCENT if is_log else 1.0),
        False,
        tuple(_effect(one, middle, at + 2, fit, is_log) for one, middle, at in kept),
        tuple(left),
        "",
        tuple(one.recording_id for one in mornings),
        starts,
        raw,
        np.asarray(back(y - weather)),
        np.asarray(back(course)),
        np.asarray(back(course - wide)),
        np.asarray(back(course + wide)),
        fit.weights,
    )
    return trend, by_chance


def _exp(values: Array) -> Array:
    """Undo the logarithm; what hardly any morning tells is wide, but never without an end."""
    return np.asarray(np.exp(np.clip(values, -MOST_LOG, MOST_LOG)))


def _wide(fit: Regressed, x: Array) -> Array:
    """Give half the interval of 95 % of the course."""
    at = x[:, :2]
    variance = np.einsum("ij,jk,ik->i", at, fit.covariance[:2, :2], at)
    return np.asarray(student.ppf(TWO_SIDED, max(fit.freedom, 1.0)) * np.sqrt(variance))


def _told(change: float, sigma: float, is_log: bool) -> tuple[float, float]:
    if not is_log:
        return float(change), float(sigma)
    return PERCENT * float(np.expm1(change)), PERCENT * float(np.exp(change) * sigma)


def _effect(row: dict[str, str], middle: float, at: int, fit: Regressed, is_log: bool) -> Effect:
    each, sigma = _told(fit.effects[at], float(np.sqrt(fit.covariance[at, at])), is_log)
    return Effect(row["condition"], row["title"], row["unit"], middle, each, sigma)
