r"""The current sensor's zero, from what comes in and goes out besides.

While the car stands, pack = charger output − heat − cabin − small loads. What is left, over the
pack's voltage, is the sensor's error: :math:`\delta = (P_{pack} - P_{rest}) / U`.
"""

from __future__ import annotations

import numpy as np

from thawline.findings.case import Array, Case, blocks
from thawline.findings.finding import Checked, Figure, Finding, Unchecked
from thawline.findings.settings import setting
from thawline.findings.weigh import finding, step_at, usual
from thawline.recording.powers import BATTERY, CHARGING, paths_like
from thawline.story.story import Evidence

KIND = "current-sensor"
CURRENT, VOLTAGE = BATTERY + "CurrentCurrent", BATTERY + "CurrentVoltage"
OUTPUT = CHARGING + "OutputPower"
NAME = "balance_A"
#: Error of a power, over the power: of the charger's output, of heat, of the rest [1].
GAINS = {"charger-output": 0.02, "drive-unit-heating": 0.03, "pack-heater": 0.03,
         "cabin-heating": 0.03}  # fmt: skip


def check_current(case: Case) -> Checked:
    """Check the current sensor's zero.

    Parameters
    ----------
    case : Case
        The recording.

    Returns
    -------
    Checked
        Finding, if any; figure ``balance_A``.
    """
    if not (case.has(CURRENT) and case.has(VOLTAGE)):
        return Checked(unchecked=(Unchecked(KIND, "no current and voltage of the pack"),))
    rest, doubt, missing = _balance(case)
    if missing:
        return Checked(unchecked=(Unchecked(KIND, missing),))
    width = int(setting("block_s"))
    volts = blocks(case.lay(VOLTAGE), width)
    off = blocks(np.where(case.standing(), case.kW("pack") - rest, np.nan), width, 0.9)
    off_A, doubt_A = off / volts * 1e3, blocks(doubt, width) / volts * 1e3
    fast = blocks(np.abs(np.gradient(np.nan_to_num(case.kW("pack")))), width)
    off_A = np.where(fast > 0.15, np.nan, off_A)
    known = ~np.isnan(off_A)
    if np.count_nonzero(known) < (4 if "charger-output" in case.flows.flows else 2):
        missing = "the car stood awake for too short"
        if "charger-output" not in case.flows.flows:
            missing = "no output of the charger, and too little time without a supply"
        return Checked(unchecked=(Unchecked(KIND, missing),))
    quiet = known & (doubt_A <= np.nanquantile(doubt_A[known], 0.5))
    middle, sigma = float(np.median(off_A[quiet])), float(np.median(doubt_A[quiet]))
    figures = {NAME: Figure(middle, 0.05, "A")}
    found = _step(off_A, doubt_A) or _judged(case, middle, sigma)
    return Checked(() if found is None else (found,), figures=figures)


def _balance(case: Case) -> tuple[Array, Array, str]:
    """Give the pack's power as all else has it, and its uncertainty [kW]."""
    nothing = np.zeros(len(case.t))
    output = case.kW("charger-output")
    own = case.lay(OUTPUT)  # where only direct current from outside is mapped, flows leave it out
    output = np.where(own > 0.1, own, output)
    if "charger-output" not in case.flows.flows:
        points = {p.kind for p in case.story.turning_points}
        output = nothing
        if "supply" in case.flows.flows and paths_like(
            case.recording, CHARGING + "ChargeCurrent.Phase", ""
        ):
            # only where nothing is taken is it known what the charger gives
            taken = np.nan_to_num(case.kW("supply"))
            near = np.convolve(taken > 0.02, np.ones(21), mode="same") > 0.5
            output = np.where(near, np.nan, 0.0)
        elif "plugged-in" in points or any(
            s.lane in ("supply", "charging") for s in case.story.spans
        ):
            return nothing, nothing, "no output of the charger"
    loads, variance, missing = loads_kW(case)
    if missing:
        return nothing, nothing, missing
    variance = variance + (GAINS["charger-output"] * output) ** 2 + (0.01 * case.kW("pack")) ** 2
    return output - loads, np.sqrt(variance), ""


def loads_kW(case: Case) -> tuple[Array, Array, str]:
    """Add up what heat, cabin and small loads take while the car stands.

    Parameters
    ----------
    case : Case
        The recording.

    Returns
    -------
    loads : ndarray of float64, shape (n,)
        Their power [kW].
    variance : ndarray of float64, shape (n,)
        Its squared standard uncertainty [kW2].
    missing : str
        What is not recorded, in plain words; empty if all is.
    """
    nothing, flows = np.zeros(len(case.t)), case.flows.flows
    if "drive-unit-heating" in case.flows.lost and "pack-heater" not in flows:
        return nothing, nothing, "not all heat of drive units or heater"
    if "cabin-heating" not in flows:
        return nothing, nothing, "no power of the cabin's heaters"
    known = {n: case.kW(n) for n in GAINS if n in flows and n != "charger-output"}
    loads = np.sum(list(known.values()), axis=0)
    variance = np.sum([(GAINS[n] * v) ** 2 for n, v in known.items()], axis=0)
    if "low-voltage" in flows:
        small = case.kW("low-voltage")
        variance = variance + (0.05 * small + 0.01) ** 2
    else:
        small = nothing + setting("base_load_kW")
        variance = variance + setting("base_load_sigma_kW") ** 2
    return np.asarray(loads + small), np.asarray(variance), ""


def _judged(case: Case, middle: float, sigma: float) -> Finding | None:
    past = usual(case.before(NAME, (KIND,)), setting("current_step_A"))
    expected, spread = 0.0, float(np.hypot(sigma, 0.2))
    if past is not None and past.sigma < spread and abs(past.value) < 3.0 * spread:
        expected, spread = past.value, past.sigma
    off = middle - expected
    if abs(off) < setting("current_least_A") or abs(off) < setting("z") * spread:
        return None
    source = "all other powers" if expected == 0.0 else "other powers and earlier mornings"
    because = (
        f"The pack's current is off by {off:+.1f} A from what {source} lead to: its zero is off."
    )
    evidence = [Evidence(CURRENT, off, "A", 0.0, 0.0)]
    return finding(KIND, None, abs(off) / spread, because, evidence)


def _step(off_A: Array, doubt_A: Array) -> Finding | None:
    step = step_at(off_A, 3)
    if step is None:
        return None
    at, before, after, spread = step
    near = slice(max(0, at - 6), at + 6)
    known = np.flatnonzero(~np.isnan(off_A))
    place = int(np.searchsorted(known, at))
    beside = off_A[known[place : place + 6]], off_A[known[max(0, place - 6) : place]]
    local = float(np.median(beside[0]) - np.median(beside[1]))
    loads = float(np.nanmax(doubt_A[near]) - np.nanmin(doubt_A[near]))
    sigma = float(np.hypot(np.hypot(setting("current_step_A"), spread), 1.5 * loads))
    if abs(local) < setting("current_least_A") or abs(local) < setting("z") * sigma:
        return None
    if local * (after - before) < 0.0 or abs(after - before) < 0.5 * abs(local):
        return None
    when = float(at * setting("block_s"))
    because = (
        f"The pack's current jumped by {local:+.1f} A against all other powers, which went on as "
        "they were: its zero has moved."
    )
    evidence = [Evidence(CURRENT, after, "A", before, when)]
    return finding(KIND, when, abs(local) / sigma, because, evidence)
