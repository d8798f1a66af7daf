"""The supply: cable, voltage, what was lost and what came back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.story import names
from thawline.story.figures import kilowatt
from thawline.story.offers import Offer, read_offer
from thawline.story.onset import Band, state_edge
from thawline.story.outages import outages, without_cable
from thawline.story.scene import Scene
from thawline.story.story import Evidence, Lost, Span, TurningPoint
from thawline.story.stretch import Stretch
from thawline.story.stretches import OFF, ON, UNKNOWN, Rule, stretches, two_states
from thawline.story.switching import power_band, sharpened, spans_of
from thawline.story.thresholds import threshold
from thawline.story.told import Told, mean_over, silent, turning


@dataclass(frozen=True, slots=True)
class Supplied:
    """When a cable was connected and a supply was there.

    Parameters
    ----------
    cable : tuple of Stretch or None
        When a cable was connected; None if no signal tells.
    present : tuple of Stretch
        When a supply was there.
    absent : ndarray of bool, shape (n,)
        Where it is known that nothing is supplied.
    unplugged : ndarray of bool, shape (n,)
        Where it is known that no cable is connected.
    offer : Offer
        What the supply offers.
    told : Told
        What the lane has to tell.
    """

    cable: tuple[Stretch, ...] | None
    present: tuple[Stretch, ...]
    absent: NDArray[np.bool_]
    unplugged: NDArray[np.bool_]
    offer: Offer
    told: Told


def any_on(scene: Scene, paths: list[str]) -> NDArray[np.int8] | None:
    """Combine states: on if any is, off if those that are known are off.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    paths : list of str
        States.

    Returns
    -------
    ndarray of int8 or None
        ``ON``, ``OFF`` or ``UNKNOWN``; None if there is no state.
    """
    if not paths:
        return None
    values = np.stack([scene.signals[path] for path in paths])
    known = ~np.isnan(values)
    on = (np.where(known, values, 0.0) > 0.5).any(axis=0)
    state = np.where(on, ON, np.where(known.any(axis=0), OFF, UNKNOWN))
    return np.asarray(state, dtype=np.int8)


def _cable(scene: Scene) -> tuple[tuple[Stretch, ...] | None, NDArray[np.int8] | None]:
    paths = scene.like(names.CABLE)
    state = any_on(scene, paths)
    if state is None:
        return None, None
    hold = threshold("state_blip_s")
    found = stretches(scene.t, scene.step_s, state, Rule(hold, hold, hold))
    sharp = []
    for stretch in found:
        begins, ends = stretch.begins, stretch.ends
        for path in paths:
            begins = state_edge(scene.channel(path), begins) if begins else None
            ends = state_edge(scene.channel(path), ends) if ends else None
        sharp.append(Stretch(stretch.first, stretch.last, begins, ends))
    return tuple(sharp), state


def _presence(
    scene: Scene, offer: Offer, cable: NDArray[np.int8] | None
) -> tuple[tuple[Stretch, ...], NDArray[np.int8] | None, str]:
    """Find when a supply was there: by voltage, else power, else the offer, else the cable."""
    rule = Rule(1.0, threshold("supply_lost_after_s"), 1.0)
    flow = scene.flow("supply") or scene.flow("charger-output")
    volts = offer.volts
    if volts is not None:
        on, off = threshold("supply_present_V"), threshold("supply_gone_V")
        paths = (*scene.like(names.PHASE_VOLTAGE), names.DIRECT_VOLTAGE)
        band = Band(on, off, off, scene.period_s(paths))
        state = two_states(volts, on, off)
        if flow is not None:  # where the voltage is silent, power speaks
            powered = power_band(scene, flow, threshold("power_on_kW"))
            drawn = two_states(flow.kW, powered.on_above, powered.off_below)
            state = np.where(state == UNKNOWN, drawn, state).astype(np.int8)
        values, by = volts, "voltage"
    elif flow is not None:
        band = power_band(scene, flow, threshold("power_on_kW"))
        state = two_states(flow.kW, band.on_above, band.off_below)
        values, by = flow.kW, "power"
        rule = Rule(3.0, threshold("heating_bridge_s"), threshold("heating_least_s"))
    elif offer.amps is not None:
        values, by, band = offer.amps, "offer", Band(5.0, 3.0, 3.0, scene.period_s(offer.signals))
        state = two_states(values, band.on_above, band.off_below)
    elif cable is not None:
        return stretches(scene.t, scene.step_s, cable, rule), cable, "cable"
    else:
        return (), None, "nothing"
    if cable is not None:
        state = np.where((state == UNKNOWN) & (cable == OFF), OFF, state).astype(np.int8)
    rough = stretches(scene.t, scene.step_s, state, rule)
    return tuple(sharpened(scene.t, values, each, band) for each in rough), state, by


def _plugging(
    scene: Scene, cable: tuple[Stretch, ...], offer: Offer
) -> tuple[list[TurningPoint], list[Lost]]:
    points: list[TurningPoint] = []
    lost: list[Lost] = []
    path = scene.like(names.CABLE)[0]
    for stretch in cable:
        if stretch.begins is not None:
            after = scene.tick(stretch.begins.t_s + 15.0)
            offered = offer.wording(min(after, stretch.last))
            tail = (
                f"; the supply {offer.verb(min(after, stretch.last))} {offered}" if offered else ""
            )
            text = f"Someone plugged in: the cable's signal turned to connected{tail}."
            on = Evidence(path, 1.0, "", 0.5, stretch.begins.t_s)
            points += turning("plugged-in", stretch.begins, text, (on,))
            lost += silent("plugged-in", stretch.begins)
        if stretch.ends is not None:
            text = "Someone unplugged: the cable's signal turned to not connected."
            off = Evidence(path, 0.0, "", 0.5, stretch.ends.t_s)
            points += turning("unplugged", stretch.ends, text, (off,))
            lost += silent("unplugged", stretch.ends)
    return points, lost


def _spans(scene: Scene, present: tuple[Stretch, ...], offer: Offer) -> list[Span]:
    flow = scene.flow("supply") or scene.flow("charger-output")
    values = None if flow is None else flow.kW
    spans = []
    for stretch in present:
        middle = (stretch.first + stretch.last) // 2
        offered = offer.wording(middle) or "A supply was there"
        level = mean_over(values, stretch.first, stretch.last)
        drawn = "what it gave is not recorded" if level is None else f"{kilowatt(level)} on average"
        text = f"{offered}; {drawn}."
        if stretch.begins is None and stretch.first == 0:
            text += " It was there when the recording began."
        spans.extend(spans_of(scene, "supply", stretch, values, text))
    return spans


def tell_supply(scene: Scene) -> Supplied:
    """Tell the supply's part of the story.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.

    Returns
    -------
    Supplied
        Cable, supply, offer, and what the lane has to tell.
    """
    offer = read_offer(scene)
    cable, cable_state = _cable(scene)
    present, state, by = _presence(scene, offer, cable_state)
    points: list[TurningPoint] = []
    lost: list[Lost] = []
    if cable is not None and cable:
        more = _plugging(scene, cable, offer)
        told = outages(scene, cable, present, by, offer)
        points = [*more[0], *told.points]
        lost = [*more[1], *told.lost]
    elif cable is None and by in ("voltage", "power", "offer"):
        told = without_cable(scene, present, by, offer)
        points, lost = list(told.points), list(told.lost)
    if by == "nothing":
        because = "no cable, voltage, current or offer is recorded: nothing tells of a supply."
        lost.append(
            Lost("supply", because, "map Charging.ChargeVoltage.Phase1 and ChargeCurrent.Phase1")
        )
    elif by != "voltage":
        because = (
            f"no supply voltage is recorded; a supply is told by its {by}, so a failure is "
            "seen only if the pack had to take over."
        )
        lost.append(Lost("supply-lost", because, "map Charging.ChargeVoltage.Phase1"))
    absent = np.zeros(len(scene.t), dtype=np.bool_)
    if state is not None and by == "voltage":
        absent |= state == OFF
    unplugged = np.zeros(len(scene.t), dtype=np.bool_)
    if cable_state is not None:
        unplugged |= cable_state == OFF
    absent |= unplugged
    told_all = Told(tuple(points), tuple(_spans(scene, present, offer)), tuple(lost))
    return Supplied(cable, present, absent, unplugged, offer, told_all)
