"""What recordings show of heat, cabin, charger and small loads, for a plan to count on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.limits import coldest_curve, learn
from thawline.plan.settings import setting
from thawline.recording.flows import Flows
from thawline.recording.recording import Recording
from thawline.story import names
from thawline.story.story import Story
from thawline.warmup.heat_sources import heat_sources

Array = NDArray[np.float64]
#: A power below this is off [kW].
ON_KW = 0.15


@dataclass(frozen=True, slots=True)
class Morning:
    """A recording with its powers and its story.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    story : Story
        Its story.
    """

    recording: Recording
    flows: Flows
    story: Story


@dataclass(frozen=True, slots=True)
class ShownHeat:
    """Heat of the pack by temperature, second by second.

    Parameters
    ----------
    kW : ndarray of float64, shape (n,)
        Heat while it was on [kW].
    coldest : ndarray of float64, shape (n,)
        Coldest cell [degC].
    is_heater : bool
        Whether a heater in the coolant made more than half of it.
    """

    kW: Array
    coldest: Array
    is_heater: bool


def heat_shown(mornings: Sequence[Morning]) -> ShownHeat | None:
    """Gather the heat that recordings show.

    Parameters
    ----------
    mornings : sequence of Morning
        Recordings of one vehicle.

    Returns
    -------
    ShownHeat or None
        None if none of them shows the pack being heated.
    """
    heats, colds, heater = [np.zeros(0)], [np.zeros(0)], 0.0
    for each in mornings:
        sources = heat_sources(each.recording, each.flows, each.story)
        cold = coldest_curve(each.recording, each.flows.t)
        if cold is None:
            continue
        on = np.zeros(len(each.flows.t), dtype=np.bool_)
        for span in each.story.spans:
            if span.lane == "pack-heating":
                # the ramps at both ends tell nothing of the level
                on |= (each.flows.t >= span.from_s + 60.0) & (each.flows.t <= span.to_s - 20.0)
        for span in each.story.spans:
            if span.lane == "driving":
                on &= (each.flows.t < span.from_s) | (each.flows.t > span.to_s)
        kW = sources.total_kW
        on &= (kW > ON_KW) & np.isfinite(cold)
        heats.append(kW[on])
        colds.append(cold[on])
        heater += float(np.sum(sources.heater_kW[on]))
    kW, cold = np.concatenate(heats), np.concatenate(colds)
    if len(kW) < setting("taper_samples"):
        return None
    return ShownHeat(kW, cold, heater > 0.5 * float(kW.sum()))


def heat_ends(mornings: Sequence[Morning]) -> list[float]:
    """Find the coldest cell at which heating stopped although it was still wanted.

    Parameters
    ----------
    mornings : sequence of Morning
        Recordings of one vehicle.

    Returns
    -------
    list of float
        One for each recording that shows it [degC].
    """
    each = (learn([one.recording]) for one in mornings)
    return [
        found.heat_until_degC
        for found in each
        if found is not None and found.heat_until_degC is not None
    ]


def full_heat_kW(shown: ShownHeat, until_degC: float) -> float:
    """Find the heat far from its end.

    Parameters
    ----------
    shown : ShownHeat
        What recordings show.
    until_degC : float
        Where heating ends [degC].

    Returns
    -------
    float
        Heat [kW].
    """
    far = shown.coldest < until_degC - setting("taper_near_K")
    kW = shown.kW[far] if far.sum() >= setting("taper_samples") else shown.kW
    strong = kW > 0.7 * float(np.quantile(kW, 0.95))  # a weaker supply is told elsewhere
    return float(np.median(kW[strong]))


def taper(
    shown: ShownHeat, until_degC: float, full_kW: float
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Find how heat is taken back as its end comes near.

    Parameters
    ----------
    shown : ShownHeat
        What recordings show.
    until_degC : float
        Where heating ends [degC].
    full_kW : float
        Heat far from it [kW].

    Returns
    -------
    tuple of float
        Distances below the end, falling to 0 [K].
    tuple of float
        Share of the full heat at each of them; never rises towards the end [1].
    """
    below = until_degC - shown.coldest
    width, knots = setting("taper_bin_K"), [(setting("taper_near_K"), 1.0)]
    for number in range(int(setting("taper_near_K") / width) - 1, -1, -1):
        here = (below >= number * width) & (below < (number + 1) * width)
        if here.sum() >= setting("taper_samples"):
            share = float(np.quantile(shown.kW[here], 0.75)) / full_kW
            share = float(np.clip(share, setting("taper_least"), knots[-1][1]))
            knots.append(((number + 0.5) * width, share))
    knots.append((0.0, knots[-1][1]))
    found, shares = zip(*knots, strict=True)
    return tuple(found), tuple(shares)


def level_shown(mornings: Sequence[Morning], flow: str, quantile: float) -> float | None:
    """Find a usual level of a power while it is on.

    Parameters
    ----------
    mornings : sequence of Morning
        Recordings of one vehicle.
    flow : str
        Name of the power.
    quantile : float
        Which quantile of each recording [1].

    Returns
    -------
    float or None
        Median over the recordings; None if none has it [kW].
    """
    found = []
    for each in mornings:
        power = each.flows.flows.get(flow)
        if power is None:
            continue
        on = power.kW[np.nan_to_num(power.kW) > ON_KW]
        if len(on) > setting("taper_samples"):
            found.append(float(np.quantile(on, quantile)))
    return float(np.median(found)) if found else None


def efficiency_shown(mornings: Sequence[Morning]) -> float | None:
    """Find the share of the supply's power that passed the charger.

    Parameters
    ----------
    mornings : sequence of Morning
        Recordings of one vehicle.

    Returns
    -------
    float or None
        None where no recording has both powers [1].
    """
    taken = given = 0.0
    for each in mornings:
        supply, output = (each.flows.flows.get(n) for n in ("supply", "charger-output"))
        if supply is None or output is None or "charger-output" in each.flows.lost:
            continue
        on = (np.nan_to_num(supply.kW) > 1.0) & ~np.isnan(output.kW)
        taken += float(supply.kW[on].sum())
        given += float(output.kW[on].sum())
    return float(np.clip(given / taken, 0.7, 1.0)) if taken > 0.0 else None


def last_charge_pct(recording: Recording) -> float | None:
    """Read the state of charge at the end of a recording.

    Parameters
    ----------
    recording : Recording
        The recording.

    Returns
    -------
    float or None
        None if it is not recorded [percent].
    """
    for path in (names.CHARGE_PHYSICAL, names.CHARGE_SHOWN):
        channel = recording.channels.get(path)
        if channel is not None and len(channel.values):
            return float(channel.values[-1])
    return None
