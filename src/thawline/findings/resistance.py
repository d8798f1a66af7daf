r"""Growth of the pack's resistance against earlier mornings, brought to one temperature.

.. math:: \ln R_0 = \ln R - \frac{E}{R_g}\left(\frac1T - \frac1{T_0}\right)
"""

from __future__ import annotations

import numpy as np

from thawline.charge.observed import observe
from thawline.charge.windows import windows
from thawline.findings.case import Array, Case
from thawline.findings.finding import Checked, Figure, Finding, Unchecked
from thawline.findings.settings import setting
from thawline.findings.weigh import Usual, finding, usual
from thawline.recording.powers import BATTERY
from thawline.story.story import Evidence

KIND = "resistance-growth"
#: Windows count samples so far apart as independent [s].
INDEPENDENT_S = 3.0
NAME, STEEP = "log_ohm", "activation"


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
        Finding, if any; figures ``log_ohm``, of the resistance in ohm at the reference, and
        ``activation``, how it fell as the pack warmed.
    log_ohm : float or None
        Logarithm of the resistance as it was on this morning [1].
    """
    if not (case.has(BATTERY + "CurrentCurrent") and case.has(BATTERY + "CurrentVoltage")):
        return Checked(unchecked=(Unchecked(KIND, "no current and voltage of the pack"),)), None
    if case.bulk() is None:
        return Checked(unchecked=(Unchecked(KIND, "no temperature of the pack"),)), None
    log, inverse, weight = _seen(case)
    if not len(log):
        return Checked(unchecked=(Unchecked(KIND, "the pack's current moved too little"),)), None
    activation = setting("activation_J_per_mol")
    brought = log - activation * inverse
    order = np.argsort(brought)
    middle = np.searchsorted(np.cumsum(weight[order]), 0.5 * weight.sum())
    value = float(brought[order][middle])
    at, here = (float(np.average(v, weights=weight)) for v in (inverse, log))
    sigma = float(weight.sum() ** -0.5)
    if len(log) > 2:
        sigma = max(sigma, 1.25 * float(np.std(brought)) / np.sqrt(len(log)))
    figures = {NAME: Figure(value, float(sigma), "1", at * 1e3)}
    steep = _steepness(log, inverse, weight)
    if steep is not None:
        figures[STEEP] = steep
    past = usual(case.before(NAME, (KIND, "current-sensor")), setting("resistance_scatter"))
    if past is None:
        missing = Unchecked(KIND, "no earlier morning to compare with")
        return Checked(unchecked=(missing,), figures=figures), here
    return Checked(_grown(case, figures, past), figures=figures), here


def _seen(case: Case) -> tuple[Array, Array, Array]:
    """Give logarithms of resistance, inverse temperatures and weights of all windows."""
    # between samples that are further apart than a tick lines were drawn: they tell nothing new
    channels = [case.recording.channels[BATTERY + n] for n in ("CurrentCurrent", "CurrentVoltage")]
    fewer = max(max(c.period_s for c in channels) / INDEPENDENT_S, 1.0) ** 0.5
    found = [
        (np.log(w.ohm), _inverse(w.degC), fewer * w.sigma_ohm / w.ohm)
        for w in windows(observe(case.recording, case.flows), 0)
        if fewer * w.sigma_ohm < setting("resistance_unsure") * w.ohm
    ]
    log, inverse, share = np.array(found, dtype=np.float64).reshape(-1, 3).T
    return log, inverse, 1.0 / (share**2 + setting("resistance_window") ** 2)


def _steepness(log: Array, inverse: Array, weight: Array) -> Figure | None:
    """Tell how the resistance fell while this very pack warmed [J/mol]."""
    if len(log) < 3:
        return None
    apart = inverse - np.average(inverse, weights=weight)
    square = float(weight @ apart**2)
    if square <= 0.0:
        return None
    slope = float(weight @ (apart * log)) / square
    left = log - np.average(log, weights=weight) - slope * apart
    wider = max(1.0, float(weight @ left**2) / (len(log) - 2))
    return Figure(slope, (wider / square) ** 0.5, "J/mol")


def _grown(case: Case, figures: dict[str, Figure], past: Usual) -> tuple[Finding, ...]:
    """Hold the resistance against the past, both at the temperature of the past."""
    prior, sigma = setting("activation_J_per_mol"), setting("activation_sigma_J_per_mol")
    seen = [*case.before(STEEP), *([figures[STEEP]] if STEEP in figures else [])]
    # what a cell's charge does besides is in this scatter
    weights = [sigma**-2, *((f.sigma**2 + (0.5 * sigma) ** 2) ** -1 for f in seen)]
    steep = float(np.average([prior, *(f.value for f in seen)], weights=weights))
    now = figures[NAME]
    apart = (now.at - past.at) / 1e3
    grown = now.value - past.value - (steep - prior) * apart
    unsure = float(sum(weights)) ** -0.5 * apart
    z = grown / float(np.sqrt(past.sigma**2 + now.sigma**2 + unsure**2))
    if z < setting("z_past") or grown < setting("resistance_grown"):
        return ()
    before = float(np.exp(past.value)) * 1e3
    seen_mOhm = before * float(np.exp(grown))
    because = (
        f"Brought to {setting('reference_degC'):.0f} °C the pack resists with {seen_mOhm:.0f} mΩ; "
        f"on {past.mornings} earlier mornings it was {before:.0f} mΩ: {np.exp(grown) - 1:.0%} more."
    )
    evidence = [Evidence("pack resistance", seen_mOhm, "mOhm", before, 0.0)]
    return (finding(KIND, None, z, because, evidence),)
