"""Slower warming than on the vehicle's own earlier mornings, and where it comes from."""

from __future__ import annotations

import numpy as np

from thawline.findings.case import Array, Case, blocks
from thawline.findings.finding import Checked, Figure, Finding, Unchecked
from thawline.findings.heat_path import INLET, OUTLET, HeatPath
from thawline.findings.settings import setting
from thawline.findings.weigh import finding, usual
from thawline.recording.powers import BATTERY, CHARGING
from thawline.story.story import Evidence

KIND = "slower-warming"
PER_HEAT, PLATE, MOST = "log_K_per_kWh", "log_plate_K_per_kW", "log_heat_kW"
#: What the heaters were seen to give, whatever held them back.
CAN = "log_heat_seen_kW"
#: The pack's own loss to the air is taken out with this time constant [s].
LOSES_S = 36_000.0
#: Coolant and cells are known against each other to this [K].
OFF_K = 0.4
TOUCHED = (KIND, "coolant-sensor", "heat-lost-outside", "weak-coolant-flow", "heater-dead")


def check_warming(case: Case, path: HeatPath) -> Checked:
    """Check the warming against earlier mornings: by heat, by contact, by power.

    Parameters
    ----------
    case : Case
        The recording.
    path : HeatPath
        Its heat path.

    Returns
    -------
    Checked
        Finding, if any; figures ``log_K_per_kWh``, ``log_plate_K_per_kW``, ``log_heat_kW``,
        ``log_heat_seen_kW``.
    """
    if case.bulk() is None or np.all(np.isnan(path.heat_kW)):
        missing = "no temperature of the pack" if case.bulk() is None else "no heat of drive units"
        return Checked(unchecked=(Unchecked(KIND, missing),))
    figures: dict[str, Figure] = {}
    _per_heat(case, path, figures)
    _plate(case, path, figures)
    is_free = _most(case, path, figures)
    if np.count_nonzero(path.is_steady) >= 4:
        seen = float(np.log(np.quantile(path.heat_kW[path.is_steady], 0.8)))
        figures[CAN] = Figure(seen, 0.03, "kW")
    if not figures:
        return Checked(unchecked=(Unchecked(KIND, "the pack was not heated long enough"),))
    if not any(case.before(name) for name in figures):
        alone = Unchecked(KIND, "no earlier morning to compare with")
        return Checked(unchecked=(alone,), figures=figures)
    found = None
    if is_free or _helps_less(case, figures):
        found = _judged(case, figures, MOST, -1.0, "heat_kW")
    found = found or _judged(case, figures, PLATE, 1.0, "plate")
    found = found or _judged(case, figures, PER_HEAT, -1.0, "warming")
    return Checked(() if found is None else (found,), figures=figures)


def _judged(
    case: Case, figures: dict[str, Figure], name: str, turns: float, scale: str
) -> Finding | None:
    now = figures.get(name)
    scatter, least = (
        (setting("plate_scatter"), setting("plate_grown"))
        if scale == "plate"
        else (setting("warming_scatter"), setting("warming_gone"))
    )
    if scale == "heat_kW":
        scatter *= 0.5
    before = case.before(name, TOUCHED)
    if name == MOST and not before:  # on warmer mornings at least so much was given
        before = case.before(CAN, TOUCHED)
    past = usual(before, scatter)
    if now is None or past is None:
        return None
    by = turns * (now.value - past.value)
    z = by / float(np.hypot(past.sigma, now.sigma))
    if z < setting("z_past") or by < least:
        return None
    seen, was = float(np.exp(now.value)), float(np.exp(past.value))
    words = {
        "heat_kW": (f"The pack is heated with {seen:.1f} kW at most, and nothing holds it back; "
                    f"{was:.1f} kW it was on {past.mornings} earlier mornings.", "kW"),
        "plate": (f"For each kilowatt the coolant must be {seen:.1f} K warmer than the pack; "
                  f"{was:.1f} K it was on {past.mornings} earlier mornings: heat passes worse "
                  "between coolant and cells.", "K/kW"),
        "warming": (f"A kilowatt-hour of heat warms the pack by {seen:.1f} K; on {past.mornings} "
                    f"earlier mornings by {was:.1f} K.", "K/kWh"),
    }  # fmt: skip
    because, unit = words[scale]
    signals = {"heat_kW": "heat of drive units and heater", "plate": "coolant less pack over heat",
               "warming": "pack temperature over heat"}  # fmt: skip
    return finding(KIND, None, z, because, [Evidence(signals[scale], seen, unit, was, 0.0)])


def _per_heat(case: Case, path: HeatPath, figures: dict[str, Figure]) -> None:
    steady = np.flatnonzero(path.is_steady & ~np.isnan(path.bulk))
    if len(steady) < 20:
        return
    begin, end = int(steady[2]), int(steady[-1])
    part = slice(begin, end)
    heat = float(np.nansum(path.heat_kW[part])) * setting("block_s") / 3600.0
    lost = float(np.nansum((path.bulk - path.outside)[part])) * setting("block_s") / LOSES_S
    gained = float(path.bulk[end] - path.bulk[begin]) + lost
    sigma = max(case.recording.channels[case.bulk() or ""].resolution, 0.2) / 2.0
    if gained < 4.0 or heat < 0.4 or np.count_nonzero(~path.is_heated[part]) > 6:
        return
    figures[PER_HEAT] = Figure(float(np.log(gained / heat)), sigma / gained + 0.03, "1", heat)


def _plate(case: Case, path: HeatPath, figures: dict[str, Figure]) -> None:
    if case.bulk() != BATTERY + "Temperature.Average" or not case.has(INLET):
        return
    middle = 0.5 * (path.inlet + path.outlet) if case.has(OUTLET) else path.inlet
    carried = np.where(np.isnan(path.carried_kW), path.heat_kW, path.carried_kW)
    late = path.is_steady.copy()
    late[6:] &= path.is_steady[:-6]
    late[:6] = False
    per = (middle - path.bulk) / np.where(carried > setting("heat_least_kW"), carried, np.nan)
    counted = late & (per > 0.05)
    if np.count_nonzero(counted) < 10:
        return
    unsure = OFF_K / float(np.median((middle - path.bulk)[counted]))
    figures[PLATE] = Figure(float(np.log(np.median(per[counted]))), 0.05 + unsure, "1")


def _most(case: Case, path: HeatPath, figures: dict[str, Figure]) -> bool:
    """Take the heat while cells are cold; tell whether the supply had more to give."""
    width = int(setting("block_s"))
    wanted, coldest = CHARGING + "IsRequested", BATTERY + "Temperature.Min"
    if not case.has(wanted) or not case.has(coldest):
        return False
    asks = blocks(case.lay(wanted), width) > 0.99
    cold = blocks(case.lay(coldest), width) < setting("warming_cold_degC")
    counted = asks & cold & path.is_steady
    if np.count_nonzero(counted) < 4:
        return False
    supply, help_kW = blocks(case.kW("supply"), width), -blocks(case.kW("pack"), width)
    value = float(np.log(np.median(path.heat_kW[counted])))
    helped = help_kW[counted][~np.isnan(help_kW[counted])]
    figures[MOST] = Figure(value, 0.03, "kW", float(np.median(helped)) if len(helped) else 0.0)
    drawn = np.nan_to_num(supply)
    # an offer may be cut, so that only what is drawn later tells what there was
    later = np.maximum.accumulate(drawn[::-1])[::-1]
    if np.median(drawn[counted]) < setting("heat_least_kW"):
        return False
    if np.median((drawn / np.maximum(later, 1e-6))[counted]) < setting("supply_full"):
        return True
    return _leaves(drawn[counted], path.heat_kW[counted])


def _leaves(drawn: Array, heat: Array) -> bool:
    """Tell whether heat stayed as it was where other loads left more of the supply for it."""
    most = float(drawn.max())
    low, high = drawn < setting("supply_full") * most, drawn > 0.95 * most
    if np.count_nonzero(low) < 4 or np.count_nonzero(high) < 2:
        return False
    alike = 0.5 * setting("warming_gone")
    return abs(float(np.log(np.median(heat[low]) / np.median(heat[high])))) < alike


def _helps_less(case: Case, figures: dict[str, Figure]) -> bool:
    """Tell whether the pack would have helped more, for it did so before."""
    charge = np.concatenate(
        [case.lay(BATTERY + f"StateOfCharge.{w}") for w in ("Current", "Displayed")]
    )
    is_low = bool(np.any(charge < setting("help_charge_pct")))
    before = case.before(MOST, TOUCHED)
    if MOST not in figures or not before or is_low:
        return False
    return min(f.at for f in before) - figures[MOST].at > setting("help_less_kW")
