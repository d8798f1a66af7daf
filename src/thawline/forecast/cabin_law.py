"""How a cabin's heater is governed: full power far below its set point, less near it.

Nobody records the law. What is seen of power and air tells of it: a heater that still gives all
it can shows that its air is below where easing begins; one that eases off while its air rises
shows set point and band; one whose power fell and stays, whatever its air, has a lower ceiling.
Laws are drawn from what is usual and count by how well they explain the latest half minutes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.cabin_settings import setting
from thawline.forecast.settings import setting as forecast_setting
from thawline.forecast.situation import Situation
from thawline.warmup.cabin import CabinCase

Array = NDArray[np.float64]
#: Laws that are drawn for each that is kept [1].
DRAWN = 8


@dataclass(frozen=True, slots=True)
class HeaterNow:
    """The cabin's heater at an instant.

    Parameters
    ----------
    best_kW : float
        The most that it gave [kW].
    level_kW : float
        What it gives now [kW].
    is_rising : bool
        Whether it began so lately that its power still grows.
    shares, degC : ndarray of float64, shape (n,)
        Power over the most, and air, by the latest half minutes since it had risen [1, degC].
    """

    best_kW: float
    level_kW: float
    is_rising: bool
    shares: Array
    degC: Array


@dataclass(frozen=True, slots=True)
class Law:
    """What each member's heater will do.

    Parameters
    ----------
    top_kW : ndarray of float64, shape (k, m)
        The most that it gives now [kW].
    set_degC : ndarray of float64, shape (k, m)
        Its set point [degC].
    band_K : ndarray of float64, shape (k, m)
        Range below the set point over which it eases off [K].
    holds : ndarray of bool, shape (k, m)
        Whether it has a memory, so that it ends at its set point and not below.
    freed_s : ndarray of float64, shape (k, m)
        When a supply that others use leaves it more; infinite where none is short [s].
    freed_kW : ndarray of float64, shape (k, m)
        The most that it gives then [kW].
    """

    top_kW: Array
    set_degC: Array
    band_K: Array
    holds: NDArray[np.bool_]
    freed_s: Array
    freed_kW: Array

    def picked(self, rows: NDArray[np.intp], columns: NDArray[np.intp]) -> Law:
        """Pick laws.

        Parameters
        ----------
        rows, columns : ndarray of intp, shape (k, m)
            Where each is taken from [1].

        Returns
        -------
        Law
            Those.
        """
        at = rows, columns
        return Law(self.top_kW[at], self.set_degC[at], self.band_K[at], self.holds[at],
                   self.freed_s[at], self.freed_kW[at])  # fmt: skip


def _began(on: NDArray[np.bool_], t: Array) -> int:
    """Find where the present heating began: pauses of a duty cycle belong to it."""
    at = np.flatnonzero(on)
    if not len(at):
        return len(t) - 1
    breaks = np.flatnonzero(np.diff(t[at]) > setting("pause_s"))
    return int(at[breaks[-1] + 1]) if len(breaks) else int(at[0])


def read_heater(case: CabinCase, level_kW: float) -> HeaterNow:
    """Read the heater now.

    Parameters
    ----------
    case : CabinCase
        The cabin.
    level_kW : float
        At which level its power goes on [kW].

    Returns
    -------
    HeaterNow
        What it does.
    """
    t, kW, nothing = case.t, case.kW, np.zeros(0)
    on = kW > forecast_setting("on_kW")
    if case.is_assumed or not on.any():
        usual = max(level_kW, case.usual_heat_kW)
        return HeaterNow(usual, usual, False, nothing, nothing)
    step = float(t[1] - t[0]) if len(t) > 1 else 1.0
    wide = max(1, round(setting("best_s") / step))
    smooth = np.convolve(kW, np.ones(wide) / wide)[: len(kW)]
    best, began = float(smooth.max()), _began(on, t)
    before = float(smooth[-min(len(smooth), wide + 1)])
    young = t[-1] - t[began] < forecast_setting("ramp_s")
    if not on[-wide:].any():  # it was stopped: it may go on as it was
        return HeaterNow(best, best, False, nothing, nothing)
    if young and float(kW[-1]) > (1.0 + setting("rises_share")) * before:
        top = max(best, float(kW[-1]))
        return HeaterNow(top, top, True, nothing, nothing)
    per = max(1, round(setting("read_s") / step))
    first = max(
        began + round(forecast_setting("ramp_s") / step), len(t) - round(setting("law_s") / step)
    )
    count = max(0, (len(t) - first) // per)
    rows = (v[len(t) - count * per :].reshape(count, per).mean(axis=1) for v in (kW, case.degC))
    power, degC = (np.asarray(row) for row in rows)
    return HeaterNow(best, float(kW[-per:].mean()), False, power / best, degC)


def _explains(
    heater: HeaterNow, top: Array, aim: Array, band: Array, holds: NDArray[np.bool_]
) -> Array:
    """Tell how well laws explain what was seen, as logarithms of the likelihood."""
    off, fine = setting("law_K"), setting("share_sd")
    below = (aim[:, None] - heater.degC) / band[:, None]
    most = (top / heater.best_kW)[:, None]
    width = off / band[:, None]
    low, middle, high = (np.clip(below + d, 0.0, most) for d in (-width, 0.0, width))
    sd = np.hypot(fine, (high - low) / 2.0)
    seen = np.exp(-0.5 * ((heater.shares - middle) / sd) ** 2) / (sd * np.sqrt(2.0 * np.pi))
    # with a memory any power is possible within the band, and all of it further below
    within = (below < most) & (heater.shares < most + fine)
    seen = np.where(holds[:, None] & within, 1.0, seen)
    odd = setting("odd_share")
    weight = min(1.0, setting("law_readings") / max(len(heater.shares), 1))
    return np.asarray(weight * np.log((1.0 - odd) * seen + odd).sum(axis=1))


def draw_law(
    heater: HeaterNow,
    case: CabinCase,
    now: Situation,
    shape: tuple[int, int],
    rng: np.random.Generator,
) -> Law:
    """Draw what each member's heater will do.

    Parameters
    ----------
    heater : HeaterNow
        The heater.
    case : CabinCase
        The cabin.
    now : Situation
        What goes on: who asks for comfort sets no less, as a rule; and a supply may be short.
    shape : tuple of int
        Parameter sets and paths [1].
    rng : Generator
        Random numbers.

    Returns
    -------
    Law
        Power, set point and band.
    """
    count = shape[0] * shape[1]
    if case.set_degC is None:
        aim = setting("set_degC") + setting("set_sigma_K") * rng.standard_normal(DRAWN * count)
        asked = rng.uniform(size=len(aim)) < setting("asked_share")
        aim = np.where(asked, now.comfortable_degC + np.abs(aim - now.comfortable_degC), aim)
    else:
        aim = case.set_degC + setting("set_told_K") * rng.standard_normal(DRAWN * count)
    band = setting("band_K") * np.exp(setting("band_sigma") * rng.standard_normal(len(aim)))
    holds = rng.uniform(size=len(aim)) < setting("holds_share")
    lowered = rng.uniform(size=len(aim)) < setting("lowered_share")
    top = np.where(lowered, min(heater.level_kW, heater.best_kW), heater.best_kW)
    top = np.maximum(top, forecast_setting("on_kW"))
    log = _explains(heater, top, aim, band, holds)
    # a ceiling that was read off what it has to explain is no better than chance for that
    chance = setting("share_sd") * np.sqrt(2.0 * np.pi) if len(heater.shares) else 1.0
    log = log + np.where(top < (1.0 - setting("share_sd")) * heater.best_kW, np.log(chance), 0.0)
    weights = np.exp(log - log.max())
    places = (rng.uniform() + np.arange(count)) / count
    picked = np.minimum(np.searchsorted(np.cumsum(weights) / weights.sum(), places), len(aim) - 1)
    picked = rng.permutation(picked)
    if heater.is_rising:
        top = top * np.exp(setting("rises_sigma") * np.abs(rng.standard_normal(len(aim))))
    top = top[picked].reshape(shape)
    aim, band = aim[picked].reshape(shape), band[picked].reshape(shape)
    never = np.full(shape, np.inf)
    law = Law(top, aim, band, holds[picked].reshape(shape), never, top)
    return _freed(law, heater, case, now, rng)


def _is_short(now: Situation, level_kW: float | None) -> bool:
    """Tell whether others take all of a supply, or all but what the heater gets."""
    ceiling = now.supply.ceiling_kW
    if now.supply.state != "there" or ceiling is None or now.heat.state != "on":
        return False
    busy = now.supply.drawn_kW > forecast_setting("busy_share") * ceiling
    if not busy or level_kW is None:
        return busy
    gives = now.supply.efficiency * min(now.supply.drawn_kW, ceiling)
    others = now.base_kW + now.heat.drive_kW + now.heat.heater_kW
    even = abs(gives - others - level_kW) < setting("short_kW")
    return even and now.helped_kW < setting("short_kW")


def _freed(
    law: Law, heater: HeaterNow, case: CabinCase, now: Situation, rng: np.random.Generator
) -> Law:
    """Tell when a heater that gets what others leave of a supply, or nothing, will get more."""
    shape = law.top_kW.shape
    waits = case.waits_s > forecast_setting("ramp_s")
    short = _is_short(now, None if waits else heater.level_kW)
    if not short and not waits:
        return law
    more = np.exp(setting("short_sigma") * rng.standard_normal(shape))
    lasts = setting("short_s") if short else case.waits_s
    most = law.top_kW * np.maximum(more, 1.0 / more)
    if waits:
        law, most = replace(law, top_kW=np.zeros(shape)), heater.best_kW * more
    if now.supply.ceiling_kW is not None and now.supply.state == "there":
        room = now.supply.efficiency * now.supply.ceiling_kW - now.base_kW
        most = np.minimum(most, np.maximum(room, law.top_kW))
    return replace(law, freed_s=now.now_s + lasts * rng.exponential(size=shape), freed_kW=most)


def ends_degC(law: Law, K_per_kW: Array, outside_degC: float) -> Array:
    """Tell where each member's cabin ends once all of it is warm.

    Parameters
    ----------
    law : Law
        What its heater does.
    K_per_kW : ndarray of float64, shape (k,)
        Rise over the air outside per power [K/kW].
    outside_degC : float
        Air outside [degC].

    Returns
    -------
    ndarray of float64, shape (k, m)
        Air in the end [degC].
    """
    top = np.where(np.isfinite(law.freed_s), law.freed_kW, law.top_kW)
    rise = K_per_kW[:, None]
    steep = top * rise / law.band_K
    in_proportion = (steep * law.set_degC + outside_degC) / (steep + 1.0)
    return np.minimum(outside_degC + rise * top, np.where(law.holds, law.set_degC, in_proportion))
