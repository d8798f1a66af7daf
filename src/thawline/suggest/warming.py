"""Tell temperatures by how they follow the coolant in the first minutes of a warm-up.

The windings make the heat and lead. The coolant at the pack's inlet carries it. The outlet
follows the inlet at once, but not as far; the cells only integrate it:

    x(t) - x(0) = a · [T_in(t) - T_in(0)] + 1/τ · ∫ (T_in - x) dt

with a > 1 for windings, 0 < a < 1 for the outlet, a = 0 and τ of many minutes for cells.

References
----------
.. [1] Incropera, F. P., et al.: Fundamentals of Heat and Mass Transfer (2007), ch. 5 (lumped
   capacitance) and ch. 11 (effectiveness of heat exchangers).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from thawline.suggest.curves import changes, fit, integral, smooth
from thawline.suggest.followers import CELLS as CELLS
from thawline.suggest.followers import OUTLET as OUTLET
from thawline.suggest.followers import PEER as PEER
from thawline.suggest.followers import WINDING as WINDING
from thawline.suggest.followers import Follower as Follower
from thawline.suggest.followers import Warming as Warming
from thawline.suggest.kinds import Reading
from thawline.suggest.thresholds import threshold

Floats = NDArray[np.float64]
#: Temperatures are smoothed over so many seconds [s].
SMOOTH_S = 9
#: A temperature that is held so long is regulated [s].
HELD_S = 600
#: A cabin that is held is never so much warmer before [K].
OVERSHOOT_K = 4.0
#: Cabin, glass: where more temperatures end alike, it is the car that has become warm [1].
MOST_REGULATED = 2
#: The first minutes of a warm-up [s].
EARLY_S = 600
#: Changes over so many seconds tell when it begins [s].
RISE_S = 60
#: Windings and what else may lead the coolant, such as the cabin [1].
MOST_WINDINGS = 4
#: Share that an outlet leaves open of its course at most: it mixes inlet and cells [1].
EXACT = 0.0015
#: Steps of its sensor that a rise must have in a minute for its course to be seen [1].
FINE_STEPS = 2.0
#: Leads of a winding over the coolant that count nothing, and in full [K].
LEADS_K = (4.0, 12.0)
#: The same for what it is ahead at once, over the inlet's rise [1].
LEADS = (2.6, 4.2)
#: What it costs to take an inlet's values as degF where nothing says so [1].
UNUSUAL_UNIT = 2.0


@dataclass(frozen=True, slots=True)
class _Early:
    """The window in which an inlet rises."""

    begins: int
    ends: int
    inlet: Floats


def is_moving(reading: Reading) -> bool:
    """Tell whether a temperature moves by more than a few steps.

    Parameters
    ----------
    reading : Reading
        A reading as temperature.

    Returns
    -------
    bool
        True if it does.
    """
    seen = reading.values[np.isfinite(reading.values)]
    if len(seen) < RISE_S:
        return False
    low, high = np.percentile(seen, [1, 99])
    return bool(high - low > max(threshold("warming_least"), 2.5 * reading.step))


def is_regulated(reading: Reading) -> bool:
    """Tell whether a temperature is held where people want a cabin, as no winding is.

    Parameters
    ----------
    reading : Reading
        A temperature.

    Returns
    -------
    bool
        True if it was colder and then stays for ten minutes where a cabin is comfortable.
    """
    calm = smooth(reading.values, 61)
    low, high = threshold("cabin_low"), threshold("cabin_high")
    if len(calm) < 2 * HELD_S or not float(np.nanmin(calm)) < low:
        return False
    held = sliding_window_view(calm, HELD_S)[:: HELD_S // 4]
    spread = np.nanmax(held, axis=1) - np.nanmin(held, axis=1)
    inside = (np.nanmin(held, axis=1) > low) & (np.nanmax(held, axis=1) < high)
    # what cools down to where it rests was not held there
    inside &= np.nanmin(held, axis=1) > float(np.nanmax(calm)) - OVERSHOOT_K
    return bool((inside & (spread < threshold("cabin_held") + reading.step)).any())


def _early(inlet: Reading, segment: NDArray[np.int64]) -> _Early | None:
    """Find when an inlet begins to rise."""
    calm = smooth(inlet.values, SMOOTH_S)
    rise = changes(calm, RISE_S, segment)
    if not np.isfinite(rise).any():
        return None
    top = float(np.nanmax(rise))
    if top <= max(0.8 * inlet.step, threshold("warming_fastest_least")):
        return None
    first = int(np.flatnonzero(np.nan_to_num(rise) > 0.5 * top)[0])
    begins, back = max(0, first - RISE_S // 2), RISE_S // 3
    while begins > back and calm[begins] - calm[begins - back] > 0.05 * top:
        begins -= 5
    # a gap hides how far things went, so the window ends before one
    ends = int(np.searchsorted(segment, segment[first], side="right"))
    ends = min(ends, begins + EARLY_S)
    begins = max(begins, int(np.searchsorted(segment, segment[first], side="left")))
    return _Early(begins, ends, calm) if ends - begins > 2 * RISE_S else None


def _level(calm: Floats, begins: int) -> float:
    before = calm[max(0, begins - RISE_S // 2) : begins + 5]
    return float(np.nanmean(before)) if np.isfinite(before).any() else np.nan


def _promptness(calm: Floats, step: float, early: _Early) -> float | None:
    """Tell how long a rise takes to come up to speed; None if the steps are too coarse.

    What carries heat comes up within a minute, what integrates it takes several [s].
    """
    window = smooth(calm[early.begins : early.ends], SMOOTH_S)
    rise = window[RISE_S:] - window[:-RISE_S]
    if not np.isfinite(rise).any():
        return None
    top = float(np.nanmax(rise))
    if top < max(FINE_STEPS * step, threshold("warming_fastest_least")):
        return None
    begun = int(np.flatnonzero(rise > 0.2 * top)[0])
    there = np.flatnonzero(rise > 0.8 * top)
    return float(there[there >= begun][0] - begun)


def _follow(
    reading: Reading, calm: Floats, early: _Early, segment: NDArray[np.int64]
) -> Follower | None:
    window = slice(early.begins, early.ends)
    start, start_inlet = _level(calm, early.begins), _level(early.inlet, early.begins)
    if not np.isfinite(start + start_inlet):
        return None
    if not reading.is_said and abs(start - start_inlet) > threshold("soak_spread"):
        return None
    pull = integral(early.inlet - calm, segment)[window]
    found = fit(calm[window] - start, [early.inlet[window] - start_inlet, pull - pull[0]])
    at_once, rate = found.factors
    moved = float(np.nanmax(calm[window]) - start)
    tau = 1.0 / rate if rate else np.inf
    role = _role(at_once, tau, start - start_inlet)
    if role is None or moved <= 0.0:
        return None
    # what is left must be small beside the way moved, or no more than rounding
    if found.explained < threshold("follows_least") and found.rest > 0.6 * reading.step:
        return None
    lead = float(np.nanmax(calm[window] - early.inlet[window]))
    exact = found.rest < 0.45 * reading.step or 1.0 - found.explained < EXACT
    prompt = _promptness(calm, reading.step, early)
    wrong_pace = prompt is not None and (role == CELLS) == (prompt < threshold("prompt"))
    if wrong_pace and role in (CELLS, OUTLET):
        return None
    if role == OUTLET and prompt is None:
        exact = False
    return Follower(reading, role, at_once, tau, found.explained, lead, exact)


def _role(at_once: float, tau: float, ahead: float) -> str | None:
    if at_once > threshold("winding_at_once"):
        return WINDING
    if at_once > threshold("outlet_at_once_high"):
        return PEER
    if not threshold("cells_tau_low") < tau < threshold("cells_tau_high"):
        return None
    if at_once > threshold("outlet_at_once_low"):
        return OUTLET
    if at_once > -threshold("cells_at_once") and abs(ahead) < threshold("cells_ahead"):
        return CELLS
    return None


def find_warming(temperatures: Sequence[Reading], segment: NDArray[np.int64]) -> list[Warming]:
    """Take every temperature as the inlet's in turn, and see how the others follow.

    Parameters
    ----------
    temperatures : sequence of Reading
        Readings as temperatures.
    segment : ndarray of int, shape (n,)
        Stretches without gaps [1].

    Returns
    -------
    list of Warming
        Those in which anything follows, most convincing first.
    """
    moving = [one for one in temperatures if is_moving(one)]
    calm = [smooth(one.values, SMOOTH_S) for one in moving]
    regulated = {one.key for one in moving if is_regulated(one)}
    if len(regulated) > MOST_REGULATED:
        regulated = set()
    found = []
    for inlet in moving:
        early = None if inlet.key in regulated else _early(inlet, segment)
        if early is None:
            continue
        followers = [
            follower
            for reading, curve in zip(moving, calm, strict=True)
            if reading.key != inlet.key
            and (follower := _follow(reading, curve, early, segment)) is not None
        ]
        prompt = _promptness(early.inlet, inlet.step, early)
        if not followers or (prompt is not None and prompt > threshold("prompt")):
            continue
        score = _score(followers) - (prompt is None)
        # a warm-up looks alike in both units; without one, the usual is taken
        score -= 0.0 if inlet.is_said or inlet.unit == "degC" else UNUSUAL_UNIT
        found.append(Warming(inlet, tuple(followers), early.begins, score))
    return sorted(found, key=lambda one: -one.score)


def _lead_counts(one: Follower) -> float:
    """Tell how much of a lead is a winding's, not the inlet's over the outlet."""
    far = (one.lead_K - LEADS_K[0]) / (LEADS_K[1] - LEADS_K[0])
    fast = (one.at_once - LEADS[0]) / (LEADS[1] - LEADS[0])
    return min(1.0, max(0.0, far, fast))


def _score(followers: Sequence[Follower]) -> float:
    """Value a warm-up: one winding, one outlet and up to three cells count in full."""
    windings = [_lead_counts(one) * one.explained for one in followers if one.role == WINDING]
    outlets = [1.0 if one.is_exact else 0.3 for one in followers if one.role == OUTLET]
    cells = sorted((one.explained**4 for one in followers if one.role == CELLS), reverse=True)
    # whatever is ahead of a cell looks like a winding to it
    peers = sum(one.role == PEER for one in followers)
    score = -0.2 * max(0, len(windings) - MOST_WINDINGS) - 0.3 * max(0, peers - 1)
    return (
        score + 2.0 * max(windings, default=0.0) + 2.0 * max(outlets, default=0.0) + sum(cells[:3])
    )
