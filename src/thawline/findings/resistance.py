r"""Growth of the pack's resistance against earlier mornings, brought to one temperature.

.. math:: \ln R_0 = \ln R - \frac{E}{R_g}\left(\frac1T - \frac1{T_0}\right)
"""

from __future__ import annotations

import numpy as np

from thawline.charge.observed import observe
from thawline.charge.windows import windows
from thawline.findings.case import Case
from thawline.findings.finding import Checked, Figure, Unchecked
from thawline.findings.settings import setting
from thawline.findings.weigh import finding, usual
from thawline.recording.powers import BATTERY
from thawline.story.story import Evidence

KIND = "resistance-growth"
NAME = "log_ohm"


def _inverse(degC: float) -> float:
    zero = setting("zero_degC")
    return (1.0 / (degC + zero) - 1.0 / (setting("reference_degC") + zero)) / setting(
        "gas_constant"
    )


def check_resistance(case: Case) -> tuple[Checked, float | None]:
    """Check the pack's resistance against earlier mornings.

    Parameters
    ----------
    case : Case
        The recording.

    Returns
    -------
    checked : Checked
        Finding, if any; figure ``log_ohm``, of the resistance in ohm at the reference.
    log_ohm : float or None
        Logarithm of the resistance as it was on this morning [1].
    """
    if not (case.has(BATTERY + "CurrentCurrent") and case.has(BATTERY + "CurrentVoltage")):
        return Checked(unchecked=(Unchecked(KIND, "no current and voltage of the pack"),)), None
    if case.bulk() is None:
        return Checked(unchecked=(Unchecked(KIND, "no temperature of the pack"),)), None
    found = [w for w in windows(observe(case.recording, case.flows), 0)
             if w.sigma_ohm < 0.25 * w.ohm]  # fmt: skip
    if not found:
        return Checked(unchecked=(Unchecked(KIND, "the pack's current moved too little"),)), None
    activation = setting("activation_J_per_mol")
    log = np.array([np.log(w.ohm) for w in found])
    inverse = np.array([_inverse(w.degC) for w in found])
    weight = np.array([1.0 / ((w.sigma_ohm / w.ohm) ** 2 + 0.05**2) for w in found])
    brought = log - activation * inverse
    order = np.argsort(brought)
    middle = np.searchsorted(np.cumsum(weight[order]), 0.5 * weight.sum())
    value = float(brought[order][middle])
    degC = float(np.average([w.degC for w in found], weights=weight))
    here = float(np.average(log, weights=weight))
    sigma = float(weight.sum() ** -0.5)
    if len(found) > 2:
        sigma = max(sigma, 1.25 * float(np.std(brought)) / np.sqrt(len(found)))
    figures = {NAME: Figure(value, float(sigma), "1", _inverse(degC) * 1e3)}
    past = usual(case.before(NAME, (KIND, "current-sensor")), setting("resistance_scatter"))
    if past is None:
        missing = Unchecked(KIND, "no earlier morning to compare with")
        return Checked(unchecked=(missing,), figures=figures), here
    apart = (_inverse(degC) - past.at / 1e3) * setting("activation_sigma_J_per_mol")
    z = (value - past.value) / float(np.sqrt(past.sigma**2 + sigma**2 + apart**2))
    grown = value - past.value
    if z < setting("z_past") or grown < setting("resistance_grown"):
        return Checked(figures=figures), here
    now, before = (float(np.exp(v)) * 1e3 for v in (value, past.value))
    because = (
        f"Brought to {setting('reference_degC'):.0f} °C the pack resists with {now:.0f} mΩ; on "
        f"{past.mornings} earlier mornings it was {before:.0f} mΩ, {np.exp(grown) - 1:.0%} less "
        "seen from there."
    )
    evidence = [Evidence("pack resistance", now, "mOhm", before, 0.0)]
    return Checked((finding(KIND, None, z, because, evidence),), figures=figures), here
