"""Read the turning points off the sample's future, and say what they hang on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.ahead import Paths
from thawline.forecast.allowed import TemperatureLimit
from thawline.forecast.crossings import first_crossing, lasting, point_ahead, point_past
from thawline.forecast.forecast import PointAhead
from thawline.forecast.habits import Habits
from thawline.forecast.settings import setting
from thawline.forecast.situation import Situation
from thawline.recording.recording import Recording
from thawline.story.story import Story, TurningPoint
from thawline.story.tell import Acts
from thawline.warmup.edges import step_of
from thawline.warmup.sensing import COLDEST, MEAN
from thawline.warmup.structure import Structure

Array = NDArray[np.float64]
#: So near to a ceiling is not told from it [1].
NEARLY = 0.985
ORIGINS = {
    "learned": "as earlier mornings showed",
    "model": "as others of its model showed",
    "vehicle file": "as the vehicle file says",
    "common practice": "by common practice",
}


@dataclass(frozen=True, slots=True)
class Outlook:
    """All that the turning points are read from.

    Parameters
    ----------
    recording : Recording
        The recording, cut at now.
    acts : Acts
        What was on and off.
    story : Story
        Its story.
    now : Situation
        What goes on.
    habits : Habits
        What each member will do.
    paths : Paths
        The sample's future.
    air : ndarray of float64, shape (n, k, m) or None
        Cabin air [degC].
    open_now : mapping of str to float or None
        Limits as signals show them now [kW].
    structure : Structure
        The model's lumps.
    """

    recording: Recording
    acts: Acts
    story: Story
    now: Situation
    habits: Habits
    paths: Paths
    air: Array | None
    open_now: Mapping[str, float | None]
    structure: Structure


def _come(outlook: Outlook, kind: str) -> TurningPoint | None:
    """Find the last turning point of a kind that has come."""
    found = [
        p for p in outlook.story.turning_points if p.kind == kind and p.t_s <= outlook.now.now_s
    ]
    return found[-1] if found else None


def _signed(value: float, decimals: int) -> str:
    """Write a number with a true minus sign and without a negative zero."""
    return f"{round(value, decimals) + 0.0:.{decimals}f}".replace("-", "\N{MINUS SIGN}")


def _from(limit: TemperatureLimit) -> str:
    return f"{_signed(limit.from_degC, 1)} ± {limit.sd_K:.1f} °C ({_origin(limit)})"


def _origin(limit: TemperatureLimit) -> str:
    if limit.origin == "learned" and limit.mornings == 0:
        return "as this morning shows"
    return ORIGINS[limit.origin]


def _regeneration(outlook: Outlook) -> PointAhead | None:
    kind = "regeneration-returns"
    come, kW = _come(outlook, kind), outlook.open_now["regeneration"]
    if kW is not None and kW > setting("on_kW"):
        return None if come is None else point_past(kind, come.t_s, come.because)
    if kW is None and come is not None:
        return point_past(kind, come.t_s, come.because)
    habits, paths = outlook.habits, outlook.paths
    times = first_crossing(paths.t, paths.coldest, habits.regeneration_degC)
    return point_ahead(kind, times, f"The coldest cell must reach {_from(habits.regeneration)}.")


def _at_kW(outlook: Outlook, level_kW: float) -> PointAhead:
    kind, habits, paths = "regeneration-at-kW", outlook.habits, outlook.paths
    gate = outlook.acts.regeneration_gate
    if gate.open is not None:
        limit = outlook.acts.scene.signals[gate.path]
        t = outlook.acts.scene.t
        high = np.flatnonzero(np.nan_to_num(limit) >= level_kW)
        now = outlook.open_now["regeneration"]
        if len(high) and now is not None and now >= level_kW:
            return point_past(kind, float(t[high[0]]), "The limit stands there.", level_kW)
    above = habits.regeneration.above_K(level_kW, habits.regeneration_off)
    times = first_crossing(paths.t, paths.coldest, habits.regeneration_degC + above)
    middle = float(habits.regeneration.above_K(level_kW))
    because = (
        f"The coldest cell must be {middle:.1f} K above {_from(habits.regeneration)} for "
        f"{level_kW:g} kW."
    )
    return point_ahead(kind, times, because, level_kW)


def _thaw(outlook: Outlook, rng: np.random.Generator) -> PointAhead | None:
    kind, paths = "coldest-cell-thaws", outlook.paths
    come = _come(outlook, kind)
    level = setting("thaw_degC")
    channels = outlook.recording.channels
    channel = channels.get(COLDEST) or channels.get(MEAN)
    unsure = 0.0 if channel is None else setting("reading_share") * step_of(channel.values)
    now = paths.coldest[0]
    if come is not None and float(np.median(now)) > level - 0.5:
        return point_past(kind, come.t_s, come.because)
    if float(np.mean(now > level)) > 0.98:
        return None
    levels = level + np.hypot(unsure, setting("passing_K")) * rng.standard_normal(now.shape)
    times = first_crossing(paths.t, paths.coldest, levels)
    return point_ahead(
        kind, times, f"The coldest cell is at {_signed(float(np.median(now)), 1)} °C."
    )


def _charging(outlook: Outlook) -> PointAhead | None:
    kind, habits, paths = "charging-begins", outlook.habits, outlook.paths
    come = _come(outlook, kind)
    charged = outlook.acts.charged
    last = len(outlook.acts.scene.t) - 3
    if charged.kW is not None:  # in a silence of the log the last word counts
        known = np.flatnonzero(~np.isnan(charged.kW))
        last = int(known[-1]) - 2 if len(known) else last
    if any(stretch.last >= last for stretch in charged.stretches):
        return None if come is None else point_past(kind, come.t_s, come.because)
    times = first_crossing(
        paths.t, paths.charge_kW, np.full(paths.coldest.shape[1:], setting("on_kW"))
    )
    because = f"The coldest cell must reach {_from(habits.charging)}"
    ceiling = outlook.now.supply.ceiling_kW
    if ceiling is not None:
        because += f", and the supply's {ceiling:.1f} kW must leave something after the other loads"
    return point_ahead(kind, times, because + ".")


def _full_power(outlook: Outlook) -> PointAhead | None:
    kind, ceilings = "charger-at-full-power", outlook.habits.ceiling_kW
    come = _come(outlook, kind)
    if come is not None:
        return point_past(kind, come.t_s, come.because)
    if ceilings is None:
        return None
    paths, supply = outlook.paths, outlook.now.supply
    share = np.full(ceilings.shape, setting("full_share"))
    nearly = (supply.drawn_kW >= share * ceilings) & (supply.drawn_kW < NEARLY * ceilings)
    share[nearly] = NEARLY  # what is drawn now is not full power: it would have come
    times = lasting(paths.drawn_kW >= share * ceilings, paths.t, setting("full_for_s"))
    ramp = (ceilings - supply.drawn_kW) / setting("supply_ramp_kW_per_s")
    times = np.maximum(times, outlook.now.now_s + np.maximum(ramp, 0.0))
    if supply.ceiling_kW is None:
        because = "Loads and pack together must want all that supply and charger give, "
        because += "which nothing tells."
    elif float(np.min(ceilings)) < setting("full_share") * supply.ceiling_kW:
        because = f"Loads and pack together must want the supply's {supply.ceiling_kW:.1f} kW, "
        because += "or what the charger takes of them, which nothing tells."
    else:
        because = f"Loads and pack together must want the supply's {supply.ceiling_kW:.1f} kW."
    return point_ahead(kind, times, because)


def _comfort(outlook: Outlook, rng: np.random.Generator) -> PointAhead | None:
    kind, level = "cabin-comfortable", outlook.now.comfortable_degC
    come = _come(outlook, kind)
    if come is not None:
        return point_past(kind, come.t_s, come.because)
    if outlook.air is None:
        return None
    unsure = setting("comfortable_sigma_K") * rng.standard_normal(outlook.air.shape[1:])
    times = first_crossing(outlook.paths.t, outlook.air, level + unsure)
    at = float(np.median(outlook.air[0]))
    return point_ahead(
        kind, times, f"Cabin air is at {_signed(at, 0)} °C and must reach {_signed(level, 0)} °C."
    )


def tell_points(
    outlook: Outlook, levels_kW: Sequence[float], rng: np.random.Generator
) -> tuple[PointAhead, ...]:
    """Read all turning points.

    Parameters
    ----------
    outlook : Outlook
        What they are read from.
    levels_kW : sequence of float
        Regenerative powers that are asked for [kW].
    rng : Generator
        Random numbers.

    Returns
    -------
    tuple of PointAhead
        Those that can still come or have come; a limit that was never away is left out.
    """
    found = [_regeneration(outlook)]
    found += [_at_kW(outlook, level) for level in levels_kW]
    found += [_thaw(outlook, rng), _charging(outlook), _full_power(outlook), _comfort(outlook, rng)]
    return tuple(_stretched(p, outlook.now.now_s, rng) for p in found if p is not None)


def _stretched(point: PointAhead, now_s: float, rng: np.random.Generator) -> PointAhead:
    """Stretch what is left by what any model lacks, a little and each member its own way."""
    if point.is_past:
        return point
    factor = np.exp(setting("lacking_share") * rng.standard_normal(len(point.times_s)))
    times = now_s + (point.times_s - now_s) * factor
    return point_ahead(point.kind, times, point.because, point.level_kW)
