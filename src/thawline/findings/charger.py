"""A charger that loses too much: its loss against its kind, its past, and its own morning."""

from __future__ import annotations

import numpy as np

from thawline.findings.case import Array, Case, blocks
from thawline.findings.current import loads_kW
from thawline.findings.finding import Checked, Figure, Finding, Unchecked
from thawline.findings.settings import setting
from thawline.findings.weigh import finding, step_at, usual
from thawline.recording.powers import CHARGING, fed_directly, paths_like
from thawline.story.story import Evidence

KIND = "lossy-charger"
NAME = "charger_loss_share"


def check_charger(case: Case) -> Checked:
    """Check the charger's loss.

    Parameters
    ----------
    case : Case
        The recording.

    Returns
    -------
    Checked
        Finding, if any; figure ``charger_loss_share`` with the power that it goes with.
    """
    if not paths_like(case.recording, CHARGING + "ChargeCurrent.Phase", ""):
        return Checked(unchecked=(Unchecked(KIND, "no current of the supply's phases"),))
    if "supply" not in case.flows.flows:
        return Checked(unchecked=(Unchecked(KIND, "no power taken from the supply"),))
    lost, missing, unsure = case.kW("charger-loss"), "", 0.0
    if "charger-loss" not in case.flows.flows:
        lost, unsure, missing = _left_over(case)
    if missing:
        return Checked(unchecked=(Unchecked(KIND, missing),))
    width = int(setting("block_s"))
    power = np.where(fed_directly(case.recording, case.t), np.nan, case.kW("supply"))
    moves = np.abs(np.gradient(np.nan_to_num(power)))
    power = np.where(moves > 0.2, np.nan, power)
    taken, lost = blocks(power, width, 0.9), blocks(lost, width, 0.9)
    share = lost / np.where(taken > setting("loss_least_kW"), taken, np.nan)
    known = ~np.isnan(share)
    if np.count_nonzero(known) < 4:
        return Checked(unchecked=(Unchecked(KIND, "the charger worked too little"),))
    kW = float(np.median(taken[known]))
    value = float(np.median(share[known]))
    if unsure:  # what is left is as unsure as all that was taken off
        step = step_at(share, 3)
        if step is not None and abs(step[2] - step[1]) > setting("loss_least"):
            missing = "no output of the charger: its loss and a current sensor look alike"
            return Checked(unchecked=(Unchecked(KIND, missing),))
        found = _by_kind(value, kW, unsure / kW)
        return Checked(() if found is None else (found,))
    found = _within(share, taken) or _against_past(case, value, kW) or _by_kind(value, kW)
    figures = {NAME: Figure(value, 0.003, "1", kW)}
    return Checked(() if found is None else (found,), figures=figures)


def _evidence(value: float, expected: float, at_s: float) -> list[Evidence]:
    return [Evidence("charger-loss over supply", value, "1", expected, at_s)]


def _left_over(case: Case) -> tuple[Array, float, str]:
    """Give what is left of the supply after pack and loads, where these close without it.

    A current sensor that is off would pass for a loss; without a supply it shows alone.
    """
    nothing = np.zeros(len(case.t))
    loads, variance, missing = loads_kW(case)
    if missing or "pack" not in case.flows.flows:
        return nothing, 0.0, "no output of the charger, and " + (missing or "no power of the pack")
    supply, width = case.kW("supply"), int(setting("block_s"))
    left = np.where(case.standing(), supply - case.kW("pack") - loads, np.nan)
    left = np.where(np.abs(np.gradient(np.nan_to_num(case.kW("pack")))) > 0.15, np.nan, left)
    closes = blocks(np.where(np.nan_to_num(supply) < 0.02, left, np.nan), width, 0.3)
    closes = closes[~np.isnan(closes)]
    if not len(closes) or abs(float(np.median(closes))) > setting("loss_closes_kW"):
        return nothing, 0.0, "no output of the charger, and without a supply nothing closes"
    used = supply > setting("loss_least_kW")
    pack = setting("pack_gain_sigma") * np.abs(case.kW("pack"))
    unsure = np.sqrt(variance + pack**2)[used]
    known = unsure[~np.isnan(unsure)]
    return left, float(np.median(known)) if len(known) else 1.0, ""


def _by_kind(value: float, kW: float, unsure: float = 0.0) -> Finding | None:
    expected = setting("loss_share") + setting("loss_standing_kW") / kW
    differ = np.hypot(setting("loss_share_sigma"), setting("loss_standing_sigma_kW") / kW)
    gains = setting("loss_gain_sigma") * (1.0 - value)
    sigma = float(np.sqrt(differ**2 + gains**2 + unsure**2))
    z = (value - expected) / sigma
    if z < setting("z") or value - expected < setting("loss_least"):
        return None
    because = (
        f"Of {kW:.1f} kW from the supply the charger loses {value:.0%}; chargers lose about "
        f"{expected:.0%} at this power."
    )
    return finding(KIND, None, z, because, _evidence(value, expected, 0.0))


def _against_past(case: Case, value: float, kW: float) -> Finding | None:
    past = usual(case.before(NAME, (KIND, "supply-sagging")), setting("loss_model_sigma"))
    if past is None:
        return None
    inverse = 1.0 / kW - 1.0 / past.at
    expected = past.value + setting("loss_standing_kW") * inverse
    sigma = np.hypot(past.sigma, setting("loss_standing_sigma_kW") * inverse)
    z = float((value - expected) / sigma)
    if z < setting("z") or value - expected < setting("loss_least"):
        return None
    because = (
        f"Of {kW:.1f} kW from the supply the charger loses {value:.1%}; from {past.mornings} "
        f"earlier mornings {expected:.1%} would be expected."
    )
    return finding(KIND, None, z, because, _evidence(value, expected, 0.0))


def _within(share: Array, taken: Array) -> Finding | None:
    corrected = share - setting("loss_standing_kW") / np.where(np.isnan(share), np.nan, taken)
    step = step_at(corrected, 3)
    if step is None or step[2] - step[1] < setting("loss_least"):
        return None
    at, before, after, spread = step
    used = taken[~np.isnan(share)]
    near = float(np.median(used))
    inverse = abs(1.0 / float(used.max()) - 1.0 / float(used.min()))
    sigma = np.hypot(setting("loss_model_sigma"), setting("loss_standing_sigma_kW") * inverse)
    z = float((after - before) / np.hypot(sigma, spread))
    if z < setting("z"):
        return None
    because = (
        f"The charger's loss rose within the morning by {after - before:.0%} of the power that "
        f"it takes ({near:.1f} kW)."
    )
    when = float(at * setting("block_s"))
    return finding(KIND, when, z, because, _evidence(after, before, when))
