"""What feeds a car that heats and charges, and what is left for charging, step by step."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.allowed import LearnedLimits, TemperatureLimit, usual_limit
from thawline.forecast.limits import learn
from thawline.forecast.settings import setting
from thawline.forecast.under import Programme
from thawline.ledger.account import account
from thawline.ledger.ledger import Ledger
from thawline.recording.flows import Flows
from thawline.recording.recording import Recording
from thawline.story.names import CHARGE_SHOWN
from thawline.story.story import Story
from thawline.story.stretch import Stretch
from thawline.story.tell import Acts, find_acts
from thawline.warmup.grid import step_means

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
SECONDS = 3600.0
#: The least share of the supply's power that a charger is thought to pass on [1].
LEAST_EFFICIENCY = 0.5


@dataclass(frozen=True, slots=True)
class Feeding:
    """What feeds the car over a programme's steps.

    Parameters
    ----------
    there : ndarray of bool, shape (n,)
        Where a supply is there.
    wanted : ndarray of bool, shape (n,)
        Where charging is wanted.
    other_kW : ndarray of float64, shape (n,)
        Loads besides heat and cabin, at the direct-current side [kW].
    ceiling_kW, rated_kW : float
        The most that the supply gives, and that the charger takes; infinite if not known [kW].
    efficiency : float
        Share of the supply's power that reaches the direct-current side [1].
    room_kWh : float
        The most that charging puts into the pack [kWh].
    helps : bool
        Whether the pack adds what the supply lacks for heating.
    root_per_kW : float
        Root of the heat in the cells per power of the pack [1/kW^0.5].
    into_kW : ndarray of float64, shape (n,)
        What was put into the pack, as recorded [kW].
    """

    there: Mask
    wanted: Mask
    other_kW: Array
    ceiling_kW: float
    rated_kW: float
    efficiency: float
    room_kWh: float
    helps: bool
    root_per_kW: float
    into_kW: Array

    @property
    def most_kW(self) -> float:
        """The most that is drawn from the supply [kW]."""
        return min(self.ceiling_kW, self.rated_kW)

    @property
    def given_kW(self) -> Array:
        """The most that reaches the direct-current side [kW]."""
        return np.asarray(np.where(self.there, self.efficiency * self.most_kW, 0.0))


def _mask(t: Array, stretches: tuple[Stretch, ...], ends: Array, step_s: float) -> Mask:
    on = np.zeros(len(t))
    for each in stretches:
        on[each.first : each.last + 1] = 1.0
    return step_means(t, on, ends, step_s) > 0.5


def _efficiency(ledger: Ledger, vehicle_says: float | None) -> float:
    kWh = {line.line: line.kWh for line in ledger.electrical}
    supply, loss = kWh["supply"], kWh["charger-loss"]
    if supply is None or loss is None or supply <= 0.0:
        return setting("efficiency") if vehicle_says is None else vehicle_says
    return float(np.clip(1.0 - loss / supply, LEAST_EFFICIENCY, 1.0))


def _other(ledger: Ledger, flows: Flows, ends: Array, step_s: float) -> Array:
    """Lay the ledger's other loads over the steps."""
    feed, count = ledger.feed, len(flows.t)
    low = flows.flows.get("low-voltage")
    if feed is not None:
        kW = feed.supply_to["other"] + feed.pack_to["other"]
    else:
        kW = np.full(count, setting("base_load_kW")) if low is None else low.kW
    known = kW[~np.isnan(kW)]
    usual = float(np.median(known)) if len(known) else 0.0
    return step_means(flows.t, np.where(np.isnan(kW), usual, kW), ends, step_s)


def _room_kWh(recording: Recording, acts: Acts, into_kWh: float) -> float:
    """Tell how much the pack takes: until full, or until charging ended of itself."""
    channel = recording.channels.get(CHARGE_SHOWN)
    room = np.inf
    if channel is not None and len(channel.values):
        left = max(0.0, 1.0 - float(channel.values[0]) / 100.0)
        room = left * recording.vehicle.pack.usable_energy_kWh
    spans, wish = acts.charged.stretches, acts.wishes.charging
    last = len(acts.scene.t) - 1
    asked = wish is not None and any(s.last >= last - 2 for s in wish.stretches)
    fed = any(s.last >= last - 2 for s in acts.supplied.present)
    if asked and fed and spans and spans[-1].ends is not None:
        room = min(room, into_kWh)
    return room


def read_feeding(
    recording: Recording, flows: Flows, story: Story, did: Programme, start_s: float
) -> Feeding:
    """Read from a recording what fed the car.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    story : Story
        Its story.
    did : Programme
        What was done in it.
    start_s : float
        Where the programme begins [s].

    Returns
    -------
    Feeding
        On the programme's steps.
    """
    acts, ledger = find_acts(recording, flows), account(recording, flows, story)
    ends = start_s + did.step_s * np.arange(1.0, len(did.drive_kW) + 1.0)

    def row(name: str) -> Array | None:
        flow = flows.flows.get(name)
        kW = None if flow is None else np.nan_to_num(flow.kW)
        return None if kW is None else step_means(flows.t, kW, ends, did.step_s)

    drawn, pack = row("supply"), row("pack")
    seen = np.zeros(len(ends)) if drawn is None else drawn
    own = np.zeros(len(ends)) if pack is None else pack
    there = _mask(acts.scene.t, acts.supplied.present, ends, did.step_s)
    wish, charged = acts.wishes.charging, acts.charged.stretches
    wanted = there & bool(charged)  # no wish is recorded: what charged was wanted
    if wish is not None:
        wanted = _mask(acts.scene.t, wish.stretches, ends, did.step_s)
    offer, top = acts.supplied.offer, float(seen.max())
    if offer.supply_kW is not None and not np.isnan(offer.supply_kW).all():
        top = max(top, float(np.nanmedian(offer.supply_kW)))
    rated = np.inf if offer.rated_kW is None or offer.outside.any() else offer.rated_kW
    efficiency = _efficiency(ledger, recording.vehicle.charger.efficiency)
    heat = did.drive_kW + did.heater_kW
    other = _other(ledger, flows, ends, did.step_s)
    fed = there & (seen > setting("on_kW"))
    if drawn is not None and pack is not None and fed.any():
        missed = efficiency * seen - own - heat - did.cabin_kW - other
        other = np.maximum(other + float(np.median(missed[fed])), 0.0)
    hot = heat > setting("on_kW")
    asked = hot & fed if (hot & fed).any() else hot
    lacked = -own if pack is not None else heat - efficiency * seen
    helps = bool(asked.any() and np.median(lacked[asked]) > setting("helps_kW"))
    squares = float((own**2).sum())
    root = float((did.pack_kW * np.abs(own)).sum()) / squares if squares > 0.0 else 0.0
    into = np.where(there, np.maximum(own, 0.0), 0.0)
    room = _room_kWh(recording, acts, float(into.sum()) * did.step_s / SECONDS)
    return Feeding(
        there, wanted, other, top, max(rated, top), efficiency, room, helps, root, into
    )  # fmt: skip


def limits_known(recording: Recording, limits: LearnedLimits | None) -> dict[str, TemperatureLimit]:
    """Tell what the pack allows: as earlier mornings taught, else this one, else as is usual.

    Parameters
    ----------
    recording : Recording
        The recording.
    limits : LearnedLimits or None
        What earlier mornings taught.

    Returns
    -------
    dict of str to TemperatureLimit
        ``regeneration`` and ``charging``.
    """
    today = learn([recording])
    found = {}
    for what in ("regeneration", "charging"):
        known = (limits and getattr(limits, what)) or (today and getattr(today, what))
        found[what] = known or usual_limit(recording.vehicle, what)
    return found


def go_on(feeding: Feeding, more: int) -> Feeding:
    """Go on after the recording's end as it ended, with the usual loads.

    Parameters
    ----------
    feeding : Feeding
        What fed the car in the recording.
    more : int
        Steps to add [1].

    Returns
    -------
    Feeding
        With more steps.
    """
    usual = float(np.median(feeding.other_kW))
    return replace(
        feeding,
        there=np.append(feeding.there, np.full(more, feeding.there[-1])),
        wanted=np.append(feeding.wanted, np.full(more, feeding.wanted[-1])),
        other_kW=np.append(feeding.other_kW, np.full(more, usual)),
        into_kW=np.append(feeding.into_kW, np.zeros(more)),
    )


def fed_by(feeding: Feeding, supply_kW: float | None) -> Feeding:
    """Change the supply's ceiling.

    Parameters
    ----------
    feeding : Feeding
        What feeds the car.
    supply_kW : float or None
        Another ceiling; None: as it was [kW].

    Returns
    -------
    Feeding
        With that ceiling; where no supply was recorded at all it is there from the start.
    """
    if supply_kW is None:
        return feeding
    there = feeding.there if feeding.there.any() else np.ones_like(feeding.there)
    return replace(feeding, there=there, ceiling_kW=supply_kW)


def charge(
    feeding: Feeding,
    limit: TemperatureLimit,
    coldest: Array,
    done: Programme,
    rng: np.random.Generator,
) -> Array:
    """Compute what charging puts into the pack: what limit, supply and charger leave for it.

    Parameters
    ----------
    feeding : Feeding
        What feeds the car.
    limit : TemperatureLimit
        What the pack allows.
    coldest : ndarray of float64, shape (n + 1, k)
        Coldest cell, member by member [degC].
    done : Programme
        Heat and cabin, which are served first.
    rng : Generator
        Random numbers for where the limit truly lies.

    Returns
    -------
    ndarray of float64, shape (n, k)
        Charging power at the pack [kW].
    """
    count, hours = coldest.shape[1], done.step_s / SECONDS
    above = coldest[:-1] - (limit.from_degC + limit.sd_K * rng.standard_normal(count))
    allowed = limit.allowed_kW(np.maximum(above, 0.0), rng.standard_normal(count))
    loads = done.drive_kW + done.heater_kW + done.cabin_kW + feeding.other_kW
    left = np.where(feeding.wanted, feeding.given_kW - loads, 0.0)[:, None]
    put = np.maximum(np.where(above >= 0.0, np.minimum(allowed, left), 0.0), 0.0)
    inside = np.minimum(np.cumsum(put * hours, axis=0), feeding.room_kWh)
    return np.asarray(np.diff(inside, axis=0, prepend=0.0) / hours)
