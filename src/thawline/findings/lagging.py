"""A group of cells that lags: by its voltage under current, or by its temperature."""

from __future__ import annotations

import numpy as np

from thawline.findings.case import Array, Case, blocks
from thawline.findings.finding import Checked, Figure, Finding, Unchecked
from thawline.findings.heat_path import HeatPath
from thawline.findings.imbalance import check_imbalance
from thawline.findings.settings import setting
from thawline.findings.weigh import finding, usual
from thawline.recording.powers import BATTERY
from thawline.story.story import Evidence

KIND = "lagging-cell-group"
LOW, HIGH = BATTERY + "CellVoltage.Min", BATTERY + "CellVoltage.Max"
COLDEST, MEAN = BATTERY + "Temperature.Min", BATTERY + "Temperature.Average"
#: Thermometers of a pack agree within this after a night, their offsets taken out [K].
OFF_K = 0.3
SPREAD, LAG = "cell_spread_ratio", "log_coldest_lag"


def check_lagging(case: Case, path: HeatPath, own_log_ohm: float | None) -> Checked:
    """Check whether a group of cells lags behind the others.

    Parameters
    ----------
    case : Case
        The recording.
    path : HeatPath
        Its heat path.
    own_log_ohm : float or None
        Logarithm of the pack's resistance on this morning, if it is known [1].

    Returns
    -------
    Checked
        Finding, if any; figures ``cell_spread_ratio``, ``rest_spread_V`` and ``log_coldest_lag``.
    """
    figures: dict[str, Figure] = {}
    missing, found = [], None
    if case.has(LOW) and case.has(HIGH):
        parted = check_imbalance(case, figures)
        found = _by_voltage(case, figures, own_log_ohm) or parted
    else:
        missing.append("lowest and highest cell voltage")
    if case.has(COLDEST) and case.has(MEAN):
        late = _by_temperature(case, path, figures)
        found = found or late
    else:
        missing.append("coldest and mean temperature")
    unchecked = (Unchecked(KIND, f"no {' and no '.join(missing)}"),) if len(missing) == 2 else ()
    return Checked(() if found is None else (found,), unchecked, figures)


def _by_voltage(
    case: Case, figures: dict[str, Figure], own_log_ohm: float | None
) -> Finding | None:
    """Hold the spread's slope on the current against the mean cell's own resistance."""
    cells = case.recording.vehicle.pack.cells_in_series
    amps = np.abs(blocks(case.lay(BATTERY + "CurrentCurrent"), 5))
    spread = blocks(case.lay(HIGH) - case.lay(LOW), 5)
    known = ~np.isnan(amps) & ~np.isnan(spread)
    if own_log_ohm is None or np.count_nonzero(known) < 40 or np.ptp(amps[known]) < 4.0:
        return None
    volts = blocks(case.lay(BATTERY + "CurrentVoltage"), 5)
    middle = blocks(0.5 * (case.lay(HIGH) + case.lay(LOW)), 5)
    count = cells or float(np.nanmedian(volts / middle))
    design = np.stack((np.ones(int(known.sum())), amps[known]), axis=1)
    (_, slope), *_ = np.linalg.lstsq(design, spread[known], rcond=None)
    left = spread[known] - design @ np.linalg.lstsq(design, spread[known], rcond=None)[0]
    error = float(np.std(left) / np.sqrt(np.sum((amps[known] - amps[known].mean()) ** 2) / 4.0))
    ohm = float(np.exp(own_log_ohm)) / count
    ratio, sigma = float(slope) / ohm, error / ohm
    if not np.isfinite(ratio) or sigma > 0.3:
        return None
    figures[SPREAD] = Figure(ratio, sigma, "1")
    past = usual(case.before(SPREAD, (KIND, "resistance-growth")), setting("spread_ratio_sigma"))
    expected, wide = (
        (setting("spread_usual"), setting("spread_usual_sigma"))
        if past is None
        else (past.value, past.sigma)
    )
    least = setting("spread_ratio") * (1.0 if past is None else 0.5)
    z = (ratio - expected) / float(np.hypot(wide, sigma))
    if z < setting("z" if past is None else "z_past") or ratio - expected < least:
        return None
    because = (
        f"Under current the cells' voltages part by {ratio:.2f} times what a mean cell's own "
        f"resistance makes; {expected:.2f} times is expected: one group resists more than the rest."
    )
    evidence = [
        Evidence("CellVoltage.Max - CellVoltage.Min over current", ratio, "1", expected, 0.0)
    ]
    return finding(KIND, None, z, because, evidence)


def _lag_s(path: HeatPath, coldest: Array, mean: Array) -> tuple[float, float] | None:
    """Tell how long the coldest cell is behind in steady warming [s], and how sure that is [1]."""
    if not path.is_heated.any():
        return None
    strong = path.heat_kW > 0.85 * np.nanquantile(path.heat_kW[path.is_heated], 0.9)
    heated = np.flatnonzero(path.is_heated & strong & ~np.isnan(coldest) & ~np.isnan(mean))
    if len(heated) < 24:
        return None
    begin, end = heated[len(heated) // 2], heated[-1]
    gained = mean[end] - mean[begin]
    if gained < 2.5 or end - begin < 12:
        return None
    rate = gained / (path.t[end] - path.t[begin])
    behind = float(np.nanmean((mean - coldest)[heated[len(heated) // 2 :]]))
    return (behind / rate, OFF_K / behind) if behind > OFF_K else None


def _by_temperature(case: Case, path: HeatPath, figures: dict[str, Figure]) -> Finding | None:
    width = int(setting("block_s"))
    coldest, mean = blocks(case.lay(COLDEST), width), blocks(case.lay(MEAN), width)
    rest = (mean - coldest)[:3]
    apart = float(np.nanmedian(rest)) if np.any(~np.isnan(rest)) else 0.0
    found = _lag_s(path, coldest + np.clip(apart, -1.5, 1.5), mean)
    if found is None:
        return None
    lag, unsure = found
    value = float(np.log(lag))
    figures[LAG] = Figure(value, 0.04 + unsure, "1")
    touched = (KIND, "coldest-cell-sensor", "weak-coolant-flow", "slower-warming")
    past = usual(case.before(LAG, touched), setting("lag_scatter"))
    if past is None:
        return None
    z = (value - past.value) / float(np.hypot(past.sigma, unsure))
    if z < setting("z_past") or value - past.value < setting("lag_ratio"):
        return None
    before = float(np.exp(past.value))
    because = (
        f"The coldest cells follow the mean of the pack {lag / 60.0:.0f} min late; on "
        f"{past.mornings} earlier mornings it was {before / 60.0:.0f} min: a group gets less heat "
        "than the rest."
    )
    evidence = [Evidence("mean less coldest over warming rate", lag, "s", before, 0.0)]
    return finding(KIND, None, z, because, evidence)
