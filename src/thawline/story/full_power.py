"""The moment at which the charger first takes all that it can."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.story.figures import joined, kilowatt
from thawline.story.offers import Offer, offer_unknown
from thawline.story.onset import noise_of
from thawline.story.scene import Scene
from thawline.story.story import Evidence, Lost, TurningPoint
from thawline.story.stretch import ROOT_12, Edge
from thawline.story.stretches import Rule, stretches, two_states
from thawline.story.thresholds import threshold
from thawline.story.told import Told, mean_over, turning

#: Loads that are named if the supply is at its ceiling, with what they are called.
TAKERS = {
    "drive-unit-heating": "the drive-unit windings take",
    "pack-heater": "the pack heater takes",
    "cabin-heating": "the cabin takes",
    "pack": "the pack takes",
}


def takers(scene: Scene, i: int, few: int) -> str:
    """Say who takes power at an instant.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    i : int
        The tick [1].
    few : int
        Ticks to average from there on [1].

    Returns
    -------
    str
        For instance ``the cabin takes 2.1 kW and the pack takes 1.0 kW``; empty if nothing.
    """
    parts = []
    for name, what in TAKERS.items():
        flow = scene.flow(name)
        level = mean_over(None if flow is None else flow.kW, i, i + few)
        if level is not None and level > threshold("power_on_kW"):
            parts.append(f"{what} {kilowatt(level)}")
        elif name == "pack" and level is not None and level < -threshold("power_on_kW"):
            parts.append(f"the pack helps with {kilowatt(-level)}")
    return joined(parts)


def plateau_kW(scene: Scene, kW: NDArray[np.float64]) -> float | None:
    """Find a level that the supply keeps although more was wanted, its highest in the recording.

    More was wanted if the pack had to help meanwhile, or, for longer, if loads and pack
    shifted against each other under a level supply.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    kW : ndarray of float64, shape (n,)
        What the supply gave on the clock [kW].

    Returns
    -------
    float or None
        The level [kW]; None where the recording shows none.
    """
    ticks = int(threshold("plateau_for_s") / scene.step_s)
    known = kW[~np.isnan(kW)]
    pack = scene.flow("pack")
    if len(known) < 2 * ticks or pack is None:
        return None
    highest = float(np.quantile(known, 1.0 - min(0.5, 0.25 * ticks / len(known))))
    near = np.abs(np.nan_to_num(kW) - highest) <= (1.0 - threshold("full_power_share")) * highest
    there = pack.kW[near & ~np.isnan(pack.kW)]
    if highest < threshold("power_on_kW") or len(there) < ticks:
        return None
    helping = int((there < -threshold("power_on_kW")).sum())
    spread = float(np.quantile(there, 0.9) - np.quantile(there, 0.1))
    shifted = spread > threshold("plateau_shift_share") * highest
    if helping >= ticks or (shifted and len(there) >= threshold("plateau_shift_times") * ticks):
        return highest
    return None


def _ceiling(
    scene: Scene, offer: Offer, kW: NDArray[np.float64]
) -> tuple[NDArray[np.float64], str] | None:
    rated, offered = offer.rated_kW, offer.supply_kW
    level = plateau_kW(scene, kW) if rated is None or offered is None else None
    if rated is None and offered is None:
        return None if level is None else (np.full(len(kW), level), "plateau")
    own = np.full(len(kW), np.nan if rated is None else rated)
    own = np.where(offer.outside, np.nan, own)
    told = own if offered is None else np.fmin(own, offered)
    if level is not None:
        share = threshold("full_power_share")
        there = told[np.nan_to_num(kW) > share * level]
        if not np.isnan(there).all() and level < share * float(np.nanmedian(there)):
            # more was wanted, and yet less came than is told: something unseen is the ceiling
            return np.full(len(kW), level), "plateau"
    return told, "told"


def tell_full_power(scene: Scene, offer: Offer) -> Told:
    """Tell when the charger was first at full power.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    offer : Offer
        What the supply offers.

    Returns
    -------
    Told
        ``charger-at-full-power``.
    """
    flow = scene.flow("supply")
    if flow is None:
        why = scene.flows.lost.get("supply", "no power from outside is recorded")
        cure = "map Charging.ChargeCurrent.Phase1 and ChargeVoltage.Phase1"
        because = f"power from the supply: {why}."
        return Told(lost=(Lost("charger-at-full-power", because, cure),))
    found = _ceiling(scene, offer, flow.kW)
    if found is None:
        because = (
            "neither offer nor rating is known, and the supply shows no level from which more "
            "was wanted."
        )
        cure = f"map {offer_unknown(offer)}, or give [charger] rated_kW"
        return Told(lost=(Lost("charger-at-full-power", because, cure),))
    ceiling, how = found
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(ceiling > threshold("power_on_kW"), flow.kW / ceiling, 0.0)
    share = np.where(np.isnan(flow.kW), np.nan, np.nan_to_num(share))
    least = threshold("full_power_share")
    slack = max(0.015, 4.0 * noise_of(share))
    state = two_states(share, least, least - slack)
    rule = Rule(2.0, 3.0, threshold("full_power_for_s"))
    points: list[TurningPoint] = []
    for stretch in stretches(scene.t, scene.step_s, state, rule)[:1]:
        if stretch.begins is None:
            break
        i = stretch.first
        few = int(threshold("full_power_for_s") / scene.step_s)
        level = mean_over(flow.kW, i, i + few) or 0.0
        top = float(np.nanmedian(ceiling[i : i + few + 1]))
        what = offer.ceiling_kW(i)
        if how == "plateau":
            limit = f"{kilowatt(top)}, the highest level that the recording shows and keeps"
        elif what is not None and what[1] == "charger-rating":
            limit = f"the {kilowatt(top)} that the charger is rated for"
        else:
            terms = offer.terms(i)
            limit = f"the {kilowatt(top)} on offer{f' ({terms})' if terms else ''}"
        who = takers(scene, i, few)
        text = f"The supply gives {kilowatt(level)} of {limit}{': ' + who if who else ''}."
        evidence = [Evidence("supply", level, "kW", least * top, stretch.begins.t_s)]
        edge = stretch.begins
        period = scene.period_s(flow.signals)
        if not edge.silence_s:
            edge = Edge(edge.t_s, max(period, scene.step_s) / ROOT_12)
        points += turning("charger-at-full-power", edge, text, evidence)
    if not points and offer.rated_kW is None and np.nanmax(np.nan_to_num(share)) < least:
        most = float(np.nanmax(flow.kW)) if not np.isnan(flow.kW).all() else 0.0
        if most > threshold("power_on_kW"):
            because = (
                f"the supply never gave all that is on offer, {kilowatt(most)} at most, and the "
                "rating of the charger in the car is not known."
            )
            return Told(lost=(Lost("charger-at-full-power", because, "give [charger] rated_kW"),))
    return Told(tuple(points))
