"""What each member of the sample will do next: when it heats, spares, charges."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.allowed import LearnedLimits, TemperatureLimit, usual_limit
from thawline.forecast.beginnings import CANDIDATES, begins_where, first_above, thresholds
from thawline.forecast.ratings import draw_ceilings, reconcile
from thawline.forecast.settings import setting
from thawline.forecast.situation import Situation
from thawline.vehicle.vehicle import Vehicle
from thawline.warmup.heat_sources import expected_heat_kW

Array = NDArray[np.float64]
#: A pump that is found standing has stood for about so long [s].
STOOD_S = 60.0


@dataclass(frozen=True, slots=True)
class Habits:
    """Habits, member by member; all of shape (k, m) unless said otherwise.

    Parameters
    ----------
    heats_from_s : ndarray of float64
        When heating goes on; now where it is on; infinite for never [s].
    heats_until_degC : ndarray of float64
        Coldest cell at which it stops [degC].
    eases_over_K : ndarray of float64
        Heating eases off over so much below that [K].
    pauses_from_s, pauses_to_s : ndarray of float64
        When something unforeseen takes the heat away, and until when [s].
    heat_factor : ndarray of float64
        Heat over what is expected [1].
    spare_degC : ndarray of float64
        Windings make no heat above this [degC].
    spare_width_K : ndarray of float64
        They are spared from so far below it [K].
    supply_from_s : ndarray of float64
        When the supply is there [s].
    pump_from_s : ndarray of float64
        When the pump runs [s].
    regeneration_degC, charging_degC : ndarray of float64
        Coldest cell at which the limits leave zero [degC].
    regeneration_off, charging_off : ndarray of float64
        How far the allowed power is from the middle, in standard deviations [1].
    regeneration, charging : TemperatureLimit
        The middle ones.
    efficiency : ndarray of float64
        Of the charger [1].
    able_kW : ndarray of float64
        The heat that drive units could give if the supply gave more; 0 where they give it [kW].
    charges_first : ndarray of bool
        Whether charging that is allowed comes before heat where the supply is small.
    ceiling_kW : ndarray of float64 or None
        The most that supply and charger give; None if nothing tells [kW].
    """

    heats_from_s: Array
    heats_until_degC: Array
    eases_over_K: Array
    pauses_from_s: Array
    pauses_to_s: Array
    heat_factor: Array
    spare_degC: Array
    spare_width_K: Array
    supply_from_s: Array
    pump_from_s: Array
    regeneration_degC: Array
    charging_degC: Array
    regeneration_off: Array
    charging_off: Array
    regeneration: TemperatureLimit
    charging: TemperatureLimit
    efficiency: Array
    able_kW: Array
    charges_first: NDArray[np.bool_]
    ceiling_kW: Array | None


def returns_after(elapsed_s: float, shape: tuple[int, ...], rng: np.random.Generator) -> Array:
    r"""Draw how much longer an outage lasts that has lasted for some time already.

    Nothing else being known, :math:`P(R > r) = s/(s + r)` with s the time so far: half of all
    outages last as long again.

    Parameters
    ----------
    elapsed_s : float
        For how long it has lasted [s].
    shape : tuple of int
        How many to draw [1].
    rng : Generator
        Random numbers.

    Returns
    -------
    ndarray of float64
        Time until its end [s].
    """
    so_far = max(elapsed_s, setting("outage_s"))
    u = np.maximum(rng.uniform(size=shape), 1e-6)
    return np.asarray(so_far * (1.0 / u - 1.0))


def pump_runs_from(now_s: float, shape: tuple[int, ...], rng: np.random.Generator) -> Array:
    """Draw when a pump that stands runs again: mostly never.

    Parameters
    ----------
    now_s : float
        The instant [s].
    shape : tuple of int
        How many to draw [1].
    rng : Generator
        Random numbers.

    Returns
    -------
    ndarray of float64
        When; infinite for never [s].
    """
    again = rng.uniform(size=shape) < setting("pump_recovers")
    return np.where(again, now_s + returns_after(STOOD_S, shape, rng), np.inf)


def _heats_until(
    now: Situation, limits: LearnedLimits | None, coldest: Array, rng: np.random.Generator
) -> Array:
    """Draw where heating stops: as learned or targeted, at times as it is usual."""
    middle, sd = setting("heat_until_K"), setting("heat_until_sigma_K")
    usual = middle + sd * rng.standard_normal((*coldest.shape, CANDIDATES))
    if limits is not None and limits.heat_until_degC is not None:
        middle, sd = limits.heat_until_degC, limits.heat_until_sd_K
    elif now.target_degC is not None:
        middle, sd = now.target_degC, setting("heat_until_target_K")
    drawn = middle + sd * rng.standard_normal(usual.shape)
    other = rng.uniform(size=usual.shape) < setting("other_habit_share")
    drawn = np.where(other, usual, drawn)
    if now.heat.state not in ("on", "not-yet"):
        return np.asarray(drawn[..., 0])
    return first_above(drawn, coldest, setting("heat_until_sigma_K"), rng)


def _charges_first_share(limits: LearnedLimits | None) -> float:
    """Give the chance that charging comes first: as seen, and a morning of what is usual."""
    usual = setting("charges_first_share")
    if limits is None or limits.charges_first is None:
        return usual
    return (limits.mornings * limits.charges_first + usual) / (limits.mornings + 1.0)


def _able_kW(
    now: Situation, vehicle: Vehicle, shape: tuple[int, ...], rng: np.random.Generator
) -> Array:
    """Draw the heat that drive units would give if the supply let them."""
    if not now.shares_supply:
        return np.zeros(shape)
    spread = np.exp(setting("heat_common_sigma") * rng.standard_normal(shape))
    return np.asarray((expected_heat_kW(vehicle) - now.heat.heater_kW) * spread)


def _eases_over(shape: tuple[int, ...], rng: np.random.Generator) -> Array:
    """Draw over how much heating eases off before it stops: some cars just switch it off."""
    some = rng.uniform(size=shape) < setting("heat_eases_share")
    wide = setting("heat_eases_K") * np.exp(
        setting("heat_eases_sigma") * rng.standard_normal(shape)
    )
    return np.asarray(np.where(some, wide, setting("passing_K")))


def _begins(
    now: Situation, shape: tuple[int, ...], rng: np.random.Generator
) -> tuple[Array, Array]:
    """Draw when heating goes on and when the supply is there."""
    at, soon = now.now_s, rng.uniform(0.0, setting("starts_within_s"), shape)
    supply = np.full(shape, at)
    if now.supply.state == "lost":
        supply = at + returns_after(now.supply.lost_for_s, shape, rng)
    if now.heat.state == "on":
        return np.full(shape, at), supply
    if now.heat.state == "not-yet":
        return at + soon, supply
    waited = now.supply.state == "lost" or (
        now.supply.state == "there" and now.supply.back_for_s < setting("resumes_s")
    )
    if waited:  # it went with the supply, and returns with it
        return supply + soon, supply
    return at + returns_after(now.heat.off_for_s, shape, rng), supply


def draw_habits(
    now: Situation,
    vehicle: Vehicle,
    limits: LearnedLimits | None,
    coldest: Array,
    windings: Array | None,
    open_now: dict[str, float | None],
    rng: np.random.Generator,
) -> Habits:
    """Draw what each member will do.

    Parameters
    ----------
    now : Situation
        What goes on.
    vehicle : Vehicle
        The vehicle.
    limits : LearnedLimits or None
        What earlier mornings taught.
    coldest : ndarray of float64, shape (k, m)
        The coldest cell of each member now [degC].
    windings : ndarray of float64, shape (k, m) or None
        Windings of each member now; None where the model has none [degC].
    open_now : dict of str to float or None
        Limits of ``regeneration`` and ``charging`` as signals show them now; None where no
        signal tells [kW].
    rng : Generator
        Random numbers.

    Returns
    -------
    Habits
        Member by member.
    """
    shape, at = coldest.shape, now.now_s
    other = rng.spawn(1)[0]
    starts, supply = _begins(now, shape, rng)
    pause = starts + rng.exponential(setting("interrupted_after_s"), shape)
    pump = np.full(shape, at)
    if now.pump_stopped:
        pump = pump_runs_from(at, shape, rng)
    width = setting("spare_width_K") * np.exp(0.5 * rng.standard_normal(shape))
    spare = setting("spare_degC") + setting("spare_sigma_K") * rng.standard_normal(shape)
    if windings is not None:
        if now.is_spared:
            share = np.clip(now.heat.drive_kW / max(now.heat.full_kW, 1e-6), 0.05, 0.95)
            spare = windings + share * width
        elif now.heat.state == "on":
            spare = np.maximum(spare, windings + width * rng.uniform(1.0, 2.0, shape))
    found, after = {}, None
    for what in ("regeneration", "charging"):
        learned = None if limits is None else getattr(limits, what)
        limit = learned or usual_limit(vehicle, what)
        kW = open_now[what]
        off = rng.standard_normal(shape)
        if kW is None:
            begin = thresholds(limit, None, rng, shape, after)
        elif kW > setting("on_kW"):
            begin, off = begins_where(limit, kW, coldest, other)
        else:
            begin = thresholds(limit, coldest, rng, shape, after)
        if what == "charging" and not kW and limit.origin == "common practice":
            least = setting("charging_least_degC")
            begin = least + np.abs(begin - least)
        found[what], after = (limit, begin, off), begin
    efficiency = np.clip(
        now.supply.efficiency + setting("efficiency_sigma") * rng.standard_normal(shape), 0.6, 1.0
    )
    ceiling = draw_ceilings(now.supply, None if limits is None else limits.supply_kW, shape, other)
    open_kW = open_now["charging"]
    if now.waits and ceiling is not None and open_kW is None:
        limit, begin, off = found["charging"]
        room = efficiency * ceiling - now.loads_kW
        begin, ceiling = reconcile(now.supply, limit, room, coldest, begin, ceiling, other)
        found["charging"] = (limit, begin, off)
    heat_first = open_kW is not None and open_kW > setting("room_kW") and now.charges_kW is None
    until, eases = _heats_until(now, limits, coldest, rng), np.full(shape, setting("passing_K"))
    if limits is None or limits.heat_until_degC is None:  # half of the easing lies below
        eases = _eases_over(shape, other)
        until = until + eases / 2.0
    return Habits(
        starts,
        until,
        eases,
        pause,
        pause + returns_after(setting("interrupted_for_s"), shape, rng),
        np.exp(now.heat.sigma * rng.standard_normal(shape)),
        spare,
        width,
        supply,
        pump,
        found["regeneration"][1],
        found["charging"][1],
        found["regeneration"][2],
        found["charging"][2],
        found["regeneration"][0],
        found["charging"][0],
        efficiency,
        _able_kW(now, vehicle, shape, other),
        other.uniform(size=shape) < (0.0 if heat_first else _charges_first_share(limits)),
        ceiling,
    )
