"""The coldest cell's thermometer against the others in the pack."""

from __future__ import annotations

import numpy as np

from thawline.findings.case import Array, Case, blocks
from thawline.findings.drift import Drift, find_drift
from thawline.findings.finding import Checked, Figure, Finding, Unchecked
from thawline.findings.heat_path import AIR, INLET, OUTLET
from thawline.findings.settings import setting
from thawline.findings.stuck import stuck
from thawline.findings.weigh import finding, usual
from thawline.recording.powers import BATTERY
from thawline.story.story import Evidence

KIND = "coldest-cell-sensor"
COLDEST, MEAN, WARMEST = (BATTERY + f"Temperature.{w}" for w in ("Min", "Average", "Max"))
NAME = "soak_coldest_K"


def check_coldest(case: Case) -> Checked:
    """Check the coldest cell's thermometer.

    Parameters
    ----------
    case : Case
        The recording.

    Returns
    -------
    Checked
        Finding, if any; figure ``soak_coldest_K``, how far it is from the others after a night.
    """
    if not case.has(COLDEST):
        return Checked(unchecked=(Unchecked(KIND, "no temperature of the coldest cell"),))
    others = [p for p in (MEAN, WARMEST) if case.has(p)]
    if not others:
        return Checked(unchecked=(Unchecked(KIND, "no other temperature of the pack"),))
    width = int(setting("block_s"))
    mine, rest = blocks(case.lay(COLDEST), width), blocks(case.lay(others[0]), width)
    beside = [p for p in (*others, INLET, OUTLET) if case.has(p)]
    if len(beside) < 2:  # metal and air have taken the night's temperature as well
        beside += [p for p in (*case.windings(), *AIR) if case.has(p)]
    soak = _soak(case, beside)
    figures = {} if soak is None else {NAME: Figure(soak[0] - soak[1], 0.15, "K")}
    found = _order(mine, rest, others[0]) or _falls(case, mine, rest)
    found = (
        found
        or _stands(case, mine, rest, others[0])
        or _drifts(case, mine, rest, is_mean=others[0] == MEAN)
    )
    if found is None and soak is not None:
        found = _off_at_rest(case, *soak)
    return Checked(() if found is None else (found,), figures=figures)


def _order(mine: Array, rest: Array, other: str) -> Finding | None:
    above = mine - rest
    limit = setting("order_K")
    wrong = np.flatnonzero(np.convolve(above > limit, np.ones(3), mode="valid") >= 3.0)
    if not len(wrong):
        return None
    at = int(wrong[0])
    when = float(at * setting("block_s"))
    because = (
        f"The coldest cell shows {mine[at]:.1f} °C while the pack's {_word(other)} is "
        f"{rest[at]:.1f} °C: the coldest cannot be warmer."
    )
    z = setting("z") + float(np.nanmax(above) - limit) / setting("drift_sigma_K")
    evidence = [Evidence(COLDEST, float(mine[at]), "degC", float(rest[at]), when)]
    return finding(KIND, when, z, because, evidence)


def _word(path: str) -> str:
    return "average" if path == MEAN else "warmest place"


def _falls(case: Case, mine: Array, rest: Array) -> Finding | None:
    """Find a coldest cell that seems to cool while the pack as a whole warms."""
    known = np.flatnonzero(~np.isnan(mine) & ~np.isnan(rest))
    if len(known) < 6:
        return None
    x, y = mine[known], rest[known]
    peak = np.maximum.accumulate(x)
    where = np.maximum.accumulate(np.where(x == peak, np.arange(len(x)), 0))
    fallen = np.where(y >= y[where] - setting("falls_alone_K"), peak - x, 0.0)
    drop = setting("drift_K") + case.recording.channels[COLDEST].resolution
    held = np.flatnonzero(np.convolve(fallen > drop, np.ones(3), mode="valid") >= 3.0)
    if not len(held):
        return None
    at = int(held[0])
    begin = float(known[where[at]] * setting("block_s"))
    because = (
        f"The coldest cell seems to have cooled by {fallen.max():.1f} K while the pack as a whole "
        "did not."
    )
    z = float(fallen.max()) / setting("drift_sigma_K")
    evidence = [Evidence(COLDEST, float(x[at]), "degC", float(peak[at]), begin)]
    return finding(KIND, begin, z, because, evidence)


def _stands(case: Case, mine: Array, rest: Array, other: str) -> Finding | None:
    channel = case.recording.channels[COLDEST]
    found = stuck(mine, rest, max(0.35, 1.05 * channel.resolution))
    if found is None:
        return None
    before = mine[: found.at][~np.isnan(mine[: found.at])]
    is_new = len(before) > 0 and abs(float(before[0]) - found.value) > 1.0
    # from the warmest place the coldest may be far: by more, and for longer
    far = 1.0 if other == MEAN else 2.0
    long = found.blocks * setting("block_s") > 1.6 * far * setting("stuck_s")
    moved = far * (2.0 * setting("stuck_moves_K") + 2.0 * channel.resolution)
    if not is_new and not (long and abs(found.others) > moved):
        return None  # the end of a pack may not have begun to warm
    when = float(found.at * setting("block_s"))
    because = (
        f"The coldest cell stays at {found.value:.1f} °C for "
        f"{found.blocks * setting('block_s') / 60.0:.0f} min while "
        f"the pack's {_word(other)} moves by {found.others:.1f} K."
    )
    evidence = [Evidence(COLDEST, found.value, "degC", found.value + found.others, when)]
    return finding(KIND, when, setting("z") + abs(found.others), because, evidence)


def _drifts(case: Case, mine: Array, rest: Array, *, is_mean: bool) -> Finding | None:
    width = setting("block_s")
    unlike = setting("drift_behind" if is_mean else "drift_behind_warmest")
    drift = find_drift(mine, rest, blocks(case.heat_kW(), int(width)), width, unlike)
    if drift is None or not _counts(drift, is_mean=is_mean):
        return None
    when = drift.at * width
    last = float(mine[~np.isnan(mine)][-1])
    because = (
        f"The coldest cell's sensor leaves what the rest of the pack and the heat lead to by "
        f"{drift.total_K:+.1f} K, more and more with time."
    )
    z = float(np.sqrt(2.0 * drift.gain))
    evidence = [Evidence(COLDEST, last, "degC", last - drift.total_K, when)]
    return finding(KIND, when, z, because, evidence)


def _counts(drift: Drift, *, is_mean: bool) -> bool:
    """Weigh a drift: upwards nothing sound goes, downwards a place that gets less heat does."""
    if drift.total_K > 0.0:
        return drift.gain > setting("drift_gain") and drift.total_K > setting("drift_total_K")
    far = -drift.total_K > setting("drift_far_below_K")
    if far and drift.gain > setting("drift_far_gain" if is_mean else "drift_gain"):
        return True
    below = -drift.total_K > setting("drift_below_K")
    return is_mean and below and drift.gain > 1.5 * setting("drift_gain")


def _soak(case: Case, others: list[str]) -> tuple[float, float, int] | None:
    first = 40
    mine = case.lay(COLDEST)[:first]
    if not np.any(~np.isnan(mine)) or np.nanmax(np.nan_to_num(case.heat_kW()[:first])) > 0.3:
        return None
    seen = []
    for path in others:
        values = case.lay(path)[:first]
        if np.any(~np.isnan(values)):
            seen.append(float(np.nanmedian(values)))
    if len(seen) < 2 or np.ptp(seen) > 2.0 * setting("soak_agrees_K"):
        return None
    return float(np.nanmedian(mine)), float(np.median(seen)), len(seen)


def _off_at_rest(case: Case, mine: float, middle: float, count: int) -> Finding | None:
    past = usual(case.before(NAME, (KIND,)), 0.25)
    expected = middle + (0.0 if past is None else past.value)
    sigma = float(np.hypot(case.sigma(COLDEST), 0.5)) if past is None else max(past.sigma, 0.4)
    off = mine - expected
    if abs(off) < setting("soak_K") or abs(off) / sigma < setting("z"):
        return None
    because = (
        f"After a night's rest the coldest cell shows {mine:.1f} °C where {count} others lead to "
        f"{expected:.1f} °C."
    )
    evidence = [Evidence(COLDEST, mine, "degC", expected, 0.0)]
    return finding(KIND, 0.0, abs(off) / sigma, because, evidence)
