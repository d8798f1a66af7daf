"""12 V trouble: a converter that does not hold its voltage, or a battery that sags."""

from __future__ import annotations

import numpy as np

from thawline.findings.case import Case, blocks
from thawline.findings.finding import Checked, Figure, Finding, Unchecked
from thawline.findings.settings import setting
from thawline.findings.weigh import finding, step_at, usual
from thawline.story.story import Evidence

KIND = "low-voltage-trouble"
PATH = "LowVoltageBattery.CurrentVoltage"


def check_low_voltage(case: Case) -> Checked:
    """Check the low-voltage system while the car is awake.

    Parameters
    ----------
    case : Case
        The recording.

    Returns
    -------
    Checked
        Finding, if any; figure ``low_voltage_V``.
    """
    if not case.has(PATH):
        return Checked(unchecked=(Unchecked(KIND, "no voltage of the low-voltage battery"),))
    volts = case.lay(PATH)
    means = blocks(volts, int(setting("block_s")))
    known = means[~np.isnan(means)]
    if len(known) < 4 or np.median(known) > setting("low_volts_system"):
        return Checked(unchecked=(Unchecked(KIND, "too few voltages of a 12 V system"),))
    middle = float(np.median(known))
    sigma = case.sigma(PATH)
    figure = Figure(middle, 0.02, "V")
    found = _dips(case) or _weak(means) or _fallen(case, means, middle, sigma)
    return Checked(() if found is None else (found,), figures={"low_voltage_V": figure})


def _weak(means: np.ndarray) -> Finding | None:
    least, width = setting("low_volts_weak"), int(setting("block_s"))
    sigma = setting("low_volts_weak_sigma")
    weak = means < least
    sound = np.flatnonzero(means >= least)
    # a car that is only waking lives on the battery until the converter starts
    if len(sound) and sound[0] * width <= setting("low_volts_wakes"):
        weak[: sound[0]] = False
    held = np.flatnonzero(np.convolve(weak, np.ones(4), mode="valid") >= 4.0)
    if not len(held):
        return None
    at = int(held[0])
    value = float(np.nanmedian(means[at:][weak[at:]]))
    because = (
        f"The low-voltage battery has {value:.1f} V with the car awake: less than the "
        f"{least:.1f} V that a converter at work holds. It lives on its own charge."
    )
    z = setting("z") + (least - value) / sigma
    return finding(KIND, at * width, z, because, [_evidence(at, value, least)])


def _dips(case: Case) -> Finding | None:
    channel = case.recording.channels[PATH]
    median = float(np.median(channel.values))
    deep = channel.values < median - max(setting("low_volts_step"), 5.0 * channel.noise)
    begins = np.flatnonzero(np.diff(np.concatenate(([0], deep.astype(np.int8)))) > 0)
    ends = np.flatnonzero(np.diff(np.concatenate((deep.astype(np.int8), [0]))) < 0)
    brief = (channel.t[ends] - channel.t[begins]) < setting("block_s")
    begins = begins[brief]
    if len(begins) < setting("dips"):
        return None
    lowest = float(np.median([channel.values[i : i + 3].min() for i in begins]))
    because = (
        f"The low-voltage battery was pulled down {len(begins)} times for some seconds, to "
        f"{lowest:.1f} V from {median:.1f} V: it cannot carry its loads."
    )
    z = setting("z") + (median - lowest) / setting("low_volts_step")
    at = float(channel.t[begins[0]])
    return finding(KIND, at, z, because, [Evidence(PATH, lowest, "V", median, at)])


def _fallen(case: Case, means: np.ndarray, middle: float, sigma: float) -> Finding | None:
    step = step_at(means, 3)
    least, scatter = setting("low_volts_step"), setting("low_volts_scatter")
    if step is not None and step[1] - step[2] > least:
        at, before, after, spread = step
        z = (before - after) / np.hypot(scatter, spread)
        because = (
            f"The low-voltage battery fell from {before:.1f} V to {after:.1f} V and stayed there."
        )
        if z > setting("z"):
            from_s = at * setting("block_s")
            return finding(KIND, from_s, z, because, [_evidence(at, after, before)])
    past = usual(case.before("low_voltage_V", (KIND,)), scatter)
    if past is None or past.value - middle < least:
        return None
    z = (past.value - middle) / np.hypot(past.sigma, min(sigma, scatter) / 2.0)
    because = (
        f"The low-voltage battery has {middle:.1f} V with the car awake; on {past.mornings} "
        f"earlier mornings it had {past.value:.1f} V."
    )
    if z < setting("z_past"):
        return None
    return finding(KIND, None, z, because, [_evidence(0, middle, past.value)])


def _evidence(block: int, value: float, expected: float) -> Evidence:
    return Evidence(PATH, value, "V", expected, float(block * setting("block_s")))
