"""Heat lost to the outside without a flow meter: what changed within the morning.

A radiator's valve that opens takes heat away before it gets to the pack: inlet and outlet part by
less for the same heat, and the pack warms by less for it. A pump that speeds up does the first
alone, a pump that weakens the opposite.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.findings.case import Case, Mask
from thawline.findings.finding import Finding
from thawline.findings.flow import carries
from thawline.findings.heat_path import INLET, OUTLET, HeatPath
from thawline.findings.settings import setting
from thawline.findings.weigh import finding, step_at
from thawline.recording.powers import BATTERY
from thawline.story.story import Evidence

KIND, MEAN = "heat-lost-outside", BATTERY + "Temperature.Average"
#: Steady blocks that each side must have [1].
LEAST = 8
#: Blocks that count as one, for what is left over is alike for minutes [1].
ALIKE = 4.0


def check_unmetered(case: Case, path: HeatPath) -> Finding | None:
    """Check whether heat ceased to arrive at the pack, where no flow is recorded.

    Parameters
    ----------
    case : Case
        The recording.
    path : HeatPath
        Its heat path.

    Returns
    -------
    Finding or None
        What was found.
    """
    bulk = case.bulk()
    if bulk != MEAN or not (case.has(INLET) and case.has(OUTLET)):
        return None
    coolant = np.nan_to_num(np.where(np.isnan(path.inlet), path.bulk, path.inlet))
    seen = carries(path) - setting("flow_per_K") * coolant
    step = step_at(seen, LEAST)
    if step is None or step[2] - step[1] < setting("unmetered_gone"):
        return None
    at, before, after, spread = step
    steady = path.is_steady & ~np.isnan(path.bulk)
    first, then = (np.flatnonzero(steady & part) for part in _parts(len(path.t), at))
    if min(len(first), len(then)) < LEAST:
        return None
    resolution = max(case.recording.channels[bulk].resolution, setting("unmetered_K"))
    (was, was_sigma), (now, now_sigma) = (_per_heat(path, p, resolution) for p in (first, then))
    lost = 1.0 - now / max(was, 1e-9)
    sigma = float(np.hypot(now_sigma, was_sigma * now / max(was, 1e-9)) / max(was, 1e-9))
    alike = spread * (ALIKE / min(len(first), len(then))) ** 0.5
    sure = (after - before) / float(np.hypot(alike, setting("flow_step_sigma")))
    z = min(lost / max(sigma, 1e-9), sure)
    if lost < setting("unmetered_gone") or z < setting("z"):
        return None
    because = (
        f"A kilowatt-hour of heat warms the pack by {now:.1f} K, where it was {was:.1f} K earlier "
        "that morning, and the coolant cools by less in it: heat is lost before it arrives, as "
        "with a radiator's valve that is open."
    )
    when = float(path.t[at])
    return finding(KIND, when, z, because, [Evidence("pack temperature over heat", now, "K/kWh",
                                                     was, when)])  # fmt: skip


def _parts(count: int, at: int) -> tuple[Mask, Mask]:
    after = np.arange(count) >= at
    return np.asarray(~after), np.asarray(after)


def _per_heat(path: HeatPath, part: NDArray[np.intp], resolution: float) -> tuple[float, float]:
    """Fit how far the pack warms with the heat, and how sure that is [K/kWh]."""
    heat = np.cumsum(np.nan_to_num(path.heat_kW)) * setting("block_s") / 3600.0
    x, y = heat[part] - heat[part].mean(), path.bulk[part]
    square = float(x @ x)
    slope = float(x @ (y - y.mean())) / max(square, 1e-12)
    # two readings, of which each may be off by a step's share
    return slope, resolution / 2.0 / max(float(np.ptp(x)), 1e-9)
