r"""Why the supply gave less: at most less, less asked of it, or for less time.

.. math:: S = P\,u\,h

with the most *P* that it gave, the share *u* of it that the car asked for on average, and the hours
*h* in which it gave. The difference is shared out by the logarithmic mean, as in ``warming``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thawline.compare.comparison import Array, Share, Side
from thawline.compare.sides import ExplainedLike, channel, flow, setting
from thawline.compare.warming import HOUR_S, MINUTE_S, first
from thawline.physics.pilot import offered_current_A
from thawline.recording.powers import BATTERY

OFFERED = BATTERY + "Charging.OfferedCurrent"
PILOT = BATTERY + "Charging.PilotDutyCycle"
CEILING = BATTERY + "Limits.ChargePower"
#: Less than this is no supply [kWh].
NOTHING_KWH = 0.02


@dataclass(frozen=True, slots=True)
class Supplied:
    """What a supply gave.

    Parameters
    ----------
    top_kW : float
        The most that it gave [kW].
    hours : float
        In which it gave [h].
    offered_A : float or None
        What it offered per phase; None where not recorded [A].
    is_held : bool
        Whether the cells' limit held its most down.
    begins_s : float or None
        When charging began, from plugging in; None if never [s].
    """

    top_kW: float
    hours: float
    offered_A: float | None
    is_held: bool
    begins_s: float | None


def supplied(explained: ExplainedLike, side: Side) -> Supplied | None:
    """Read what a supply gave.

    Parameters
    ----------
    explained : ExplainedLike
        The explained recording.
    side : Side
        Its clock.

    Returns
    -------
    Supplied or None
        None where its power is not known or it gave nothing.
    """
    power = flow(explained, "supply")
    if power is None:
        return None
    on = np.nan_to_num(power) > setting("supplied_kW")
    if not np.any(on):
        return None
    top = float(np.quantile(power[on], setting("top_quantile")))
    high = on & (np.nan_to_num(power) >= setting("near_top") * top)
    offered = _offered(explained)
    offers = np.zeros(0) if offered is None else offered[on & ~np.isnan(offered)]
    ceiling, pack = channel(explained, CEILING), flow(explained, "pack")
    is_held = False
    if ceiling is not None and pack is not None:
        known = high & ~np.isnan(ceiling) & ~np.isnan(pack)
        held = pack[known] >= setting("near_top") * ceiling[known]
        is_held = 2 * int(np.count_nonzero(held)) > len(held)
    begun = first(explained, "charging-begins")
    return Supplied(
        top,
        float(np.count_nonzero(on)) * explained.flows.step_s / HOUR_S,
        float(np.median(offers)) if len(offers) else None,
        is_held,
        None if begun is None else begun.t_s - side.zero_s,
    )


def _offered(explained: ExplainedLike) -> Array | None:
    """Read the current offered per phase, else reckon it from the control pilot."""
    offered, duty = channel(explained, OFFERED), channel(explained, PILOT)
    if offered is not None or duty is None:
        return offered
    return offered_current_A(duty)


def supply_shares(
    a: ExplainedLike,
    b: ExplainedLike,
    sides: tuple[Side, Side],
    kWh: tuple[float, float],
    sigma_kWh: float,
) -> list[Share]:
    """Share a difference in the supply's energy out among its most, what was asked, and time.

    Parameters
    ----------
    a, b : ExplainedLike
        The explained recordings.
    sides : tuple of Side
        Their clocks.
    kWh : tuple of float
        The supply's energy in both accounts [kWh].
    sigma_kWh : float
        Standard uncertainty of their difference [kWh].

    Returns
    -------
    list of Share
        They add up to the difference.
    """
    apart = kWh[1] - kWh[0]
    one, other = supplied(a, sides[0]), supplied(b, sides[1])
    if one is None or other is None or min(kWh) < NOTHING_KWH:
        because = f"the supply gave {kWh[1]:.2f} kWh instead of {kWh[0]:.2f} kWh"
        return [Share("supply", apart, sigma_kWh, because)]
    ratio = float(np.log(kWh[1] / kWh[0]))
    mean = kWh[0] if abs(ratio) < 1e-9 else apart / ratio
    used = [total / (it.top_kW * it.hours) for total, it in zip(kWh, (one, other), strict=True)]
    doubt = setting("top_share") * mean
    powers = mean * float(np.log(other.top_kW / one.top_kW))
    asked = mean * float(np.log(used[1] / used[0]))
    found = [
        Share(
            "supply-time",
            mean * float(np.log(other.hours / one.hours)),
            doubt,
            f"the supply gave for {other.hours * HOUR_S / MINUTE_S:.0f} min instead of "
            f"{one.hours * HOUR_S / MINUTE_S:.0f} min" + _of_time(a, b),
        )
    ]
    why = _same_supply(one, other)
    if why is not None:
        averages = [total / it.hours for total, it in zip(kWh, (one, other), strict=True)]
        because = f"{averages[1]:.1f} kW instead of {averages[0]:.1f} kW{why}"
        because = f"the car drew on average {because}{_of_asking(one, other, powers + asked)}"
        found.append(Share("supply-asked", powers + asked, sigma_kWh, because))
        return found
    return [
        *found,
        Share(
            "supply-power",
            powers,
            float(np.hypot(sigma_kWh, doubt)),
            f"the supply gave at most {other.top_kW:.1f} kW instead of {one.top_kW:.1f} kW"
            + _of_offer(one, other),
        ),
        Share(
            "supply-asked",
            asked,
            doubt,
            f"the car drew on average {100.0 * used[1]:.0f} % of the most that the supply gave "
            f"instead of {100.0 * used[0]:.0f} %" + _of_asking(one, other, asked),
        ),
    ]


def _same_supply(one: Supplied, other: Supplied) -> str | None:
    """Say why the most that was given is no mark of the supply; None where it is one."""
    lower, higher, label = (other, one, "B") if other.top_kW < one.top_kW else (one, other, "A")
    if lower.top_kW > setting("near_top") * higher.top_kW:
        return None
    if lower.is_held:
        return f", held in {label} by what its cells allowed"
    if one.offered_A is not None and other.offered_A is not None:
        is_same = abs(other.offered_A - one.offered_A) < setting("same_offer_A")
        return f", though the supply offered {other.offered_A:.0f} A in both" if is_same else None
    if lower.begins_s is None and higher.begins_s is not None:
        return " (a weaker supply, or less asked of it – cannot tell which)"
    return None


def _of_offer(one: Supplied, other: Supplied) -> str:
    if one.offered_A is None or other.offered_A is None:
        return ""
    if abs(other.offered_A - one.offered_A) < setting("same_offer_A"):
        return ""
    return f", for it offered {other.offered_A:.0f} A instead of {one.offered_A:.0f} A"


def _of_asking(one: Supplied, other: Supplied, more_kWh: float) -> str:
    a, b = one.begins_s, other.begins_s
    if a is None and b is None:
        return ""
    later_s = (np.inf if b is None else b) - (np.inf if a is None else a)
    if abs(later_s) < setting("same_time_s") or (later_s > 0.0) == (more_kWh > 0.0):
        return ""
    if a is None or b is None:
        return f", for charging began only in {'A' if b is None else 'B'}"
    return f", for charging began after {b / MINUTE_S:.1f} min instead of {a / MINUTE_S:.1f} min"


def _of_time(a: ExplainedLike, b: ExplainedLike) -> str:
    goals = []
    for explained in (a, b):
        goal = channel(explained, BATTERY + "Charging.ChargeLimit")
        goals.append(None if goal is None else float(np.nanmedian(goal)))
    if (
        goals[0] is None
        or goals[1] is None
        or abs(goals[1] - goals[0]) < setting("same_target_pct")
    ):
        return ""
    return f" (charging was to end at {goals[1]:.0f} % instead of {goals[0]:.0f} %)"
