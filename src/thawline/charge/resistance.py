"""The pack's resistance against temperature, from all recordings, and its trend."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thawline.charge.arrhenius import Fit, fit
from thawline.charge.observed import Observed
from thawline.charge.resisting import MorningResistance, ResistanceCurve, ResistancePoint
from thawline.charge.settings import setting
from thawline.charge.windows import Window, all_windows
from thawline.ledger.steps import current_steps, slope_of
from thawline.physics.constants import constants
from thawline.recording.dated import has_date

#: A year [s].
YEAR_S = 31_557_600.0
#: A step of the current counts from this share of the one-hour current on [1].
STEP_SHARE = 0.02
#: So many steps at least make a measurement [1].
FEWEST_STEPS = 3


def fit_resistance(seen: Sequence[Observed]) -> tuple[Fit | None, list[Window]]:
    """Fit the resistance of all recordings.

    Parameters
    ----------
    seen : sequence of Observed
        The recordings of one vehicle.

    Returns
    -------
    fit : Fit or None
        Resistance by temperature; None where too little is recorded.
    windows : list of Window
        What it rests on.
    """
    found = all_windows(seen)
    return fit(found), found


def _systematic(seen: Sequence[Observed], fitted: Fit, degC: float) -> float:
    """Give the relative uncertainty that all windows share: gains, and the mean temperature."""
    gains = float(np.median([np.hypot(one.current.relative, one.voltage.relative) for one in seen]))
    known = [one.mean_sigma_K for one in seen if np.isfinite(one.mean_sigma_K)]
    kelvin = degC + constants()["zero_degC"]
    per_K = fitted.energy_kJ * 1e3 / (constants()["gas_constant"] * kelvin**2)
    return float(np.hypot(gains, per_K * (float(np.median(known)) if known else 0.0)))


def _energy_sigma(seen: Sequence[Observed], fitted: Fit) -> float:
    """Give the energy's uncertainty: by scatter, and by a thermometer off at one end."""
    known = [one.mean_sigma_K for one in seen if np.isfinite(one.mean_sigma_K)]
    off = float(np.median(known)) if known else setting("one_extreme_K")
    by_degC = fitted.energy_kJ * np.sqrt(2.0) * off / max(fitted.span_K, 1.0)
    return float(np.hypot(np.sqrt(fitted.covariance[1, 1]), by_degC))


def _by_steps(
    seen: Sequence[Observed], fitted: Fit, energy_kWh: float
) -> tuple[float | None, float | None]:
    """Find the resistance at the reference from steps of the current alone [mOhm]."""
    by_A, by_V = [], []
    for one in seen:
        if np.all(np.isnan(one.amps)) or np.all(np.isnan(one.volts)):
            continue
        least = STEP_SHARE * energy_kWh * 1e3 / max(float(np.nanmedian(one.volts)), 1.0)
        steps = current_steps(one.amps, one.volts, least)
        degC, pct = one.mean_degC[steps.at], one.charge_pct[steps.at]
        factor = fitted.ohm(degC, pct / 100.0) / np.exp(fitted.log_ohm)
        known = ~np.isnan(factor)
        by_A.append((steps.by_A * factor)[known])
        by_V.append(steps.by_V[known])
    if sum(len(part) for part in by_A) < FEWEST_STEPS:
        return None, None
    ohm, sigma = slope_of(np.concatenate(by_A), np.concatenate(by_V), 0.0)
    return ohm * 1e3, sigma * 1e3


def _table(found: Sequence[Window], fitted: Fit, shared: float) -> tuple[ResistancePoint, ...]:
    """Gather the windows into bins of temperature, each brought to the bin's middle charge."""
    degC = np.array([one.degC for one in found])
    bins = np.floor(degC / setting("resistance_bin_K")).astype(int)
    rows = []
    for number in np.unique(bins):
        inside = [one for one, b in zip(found, bins, strict=True) if b == number]
        sigma = np.array(
            [np.hypot(one.sigma_ohm / one.ohm, setting("window_model_sigma")) for one in inside]
        )
        weight = sigma**-2
        at = float(np.average([one.degC for one in inside], weights=weight))
        charge = np.array([one.charge for one in inside])
        here = np.full(len(inside), at)
        model = fitted.ohm(np.array([one.degC for one in inside]), charge) / fitted.ohm(here)
        log = np.log(np.array([one.ohm for one in inside]) / model)
        ohm = float(np.exp(np.average(log, weights=weight)))
        relative = float(np.hypot(np.sum(weight) ** -0.5, shared))
        rows.append(ResistancePoint(at, ohm * 1e3, relative * ohm * 1e3))
    return tuple(rows)


def _mornings(
    seen: Sequence[Observed], found: Sequence[Window], fitted: Fit
) -> tuple[MorningResistance, ...]:
    rows = []
    for number, one in enumerate(seen):
        own = [window for window in found if window.recording == number]
        if not own:
            continue
        degC, charge = np.array([w.degC for w in own]), np.array([w.charge for w in own])
        log = np.log(np.array([w.ohm for w in own]) / fitted.ohm(degC, charge))
        sigma = np.array(
            [np.hypot(w.sigma_ohm / w.ohm, setting("window_model_sigma")) for w in own]
        )
        mean = float(np.average(log, weights=sigma**-2))
        ohm = float(np.exp(fitted.log_ohm + mean))
        # far from the reference, the energy's own uncertainty counts
        far = float(np.average(fitted.sigma(degC), weights=sigma**-2))
        relative = float(np.hypot(np.sum(sigma**-2) ** -0.5, far))
        rows.append(
            MorningResistance(one.recording_id, one.starts_at, ohm * 1e3, relative * ohm * 1e3)
        )
    return tuple(rows)


def _trend(mornings: Sequence[MorningResistance]) -> tuple[float | None, float | None]:
    """Fit a straight line through the dated mornings [percent per year]."""
    dated = [one for one in mornings if has_date(one.starts_at)]
    if len(dated) < int(setting("trend_mornings")):
        return None, None
    years = np.array([one.starts_at for one in dated]) / YEAR_S
    if float(np.ptp(years)) <= 0.0:
        return None, None
    log = np.log([one.mOhm for one in dated])
    weight = np.array([(one.mOhm / one.plus_minus_mOhm) ** 2 for one in dated])
    centre = float(np.average(years, weights=weight))
    square = float(np.sum(weight * (years - centre) ** 2))
    slope = float(np.sum(weight * (years - centre) * log)) / square
    left = log - np.average(log, weights=weight) - slope * (years - centre)
    chi = float(np.sum(weight * left**2)) / max(len(dated) - 2, 1)
    return 100.0 * slope, 100.0 * float(np.sqrt(max(chi, 1.0) / square))


def resistance_curve(
    seen: Sequence[Observed], fitted: Fit | None, found: Sequence[Window], energy_kWh: float
) -> ResistanceCurve | None:
    """Gather what recordings tell of the pack's resistance.

    Parameters
    ----------
    seen : sequence of Observed
        The recordings of one vehicle.
    fitted : Fit or None
        The fit of their windows.
    found : sequence of Window
        The windows.
    energy_kWh : float
        Usable energy of the pack [kWh].

    Returns
    -------
    ResistanceCurve or None
        None where there is no fit.
    """
    if fitted is None:
        return None
    at = fitted.reference_degC
    shared = _systematic(seen, fitted, at)
    mOhm = float(np.exp(fitted.log_ohm)) * 1e3
    sigma = float(np.hypot(np.sqrt(fitted.covariance[0, 0]), shared))
    energy_sigma = _energy_sigma(seen, fitted)
    is_wide = fitted.span_K >= setting("activation_span_K")
    tells = is_wide and energy_sigma <= setting("activation_tells_sigma")
    steps, steps_sigma = _by_steps(seen, fitted, energy_kWh)
    mornings = _mornings(seen, found, fitted)
    trend, trend_sigma = _trend(mornings)
    notes = []
    if is_wide and not tells:
        notes.append(
            f"the activation energy cannot be told: known only to ± {energy_sigma:.1f} kJ/mol"
        )
    if not is_wide:
        notes.append(
            f"the recordings span only {fitted.span_K:.0f} K: the activation energy is a prior"
        )
    if any(one.coldest_from and np.isfinite(one.mean_sigma_K)
           and one.mean_sigma_K > setting("one_extreme_K") for one in seen):  # fmt: skip
        notes.append("the mean temperature of the pack is not recorded: one extreme stands for it")
    drawn = [one for one in found if one.sigma_ohm < setting("good_window") * one.ohm]
    return ResistanceCurve(
        at,
        mOhm,
        sigma * mOhm,
        fitted.energy_kJ if tells else None,
        energy_sigma if tells else None,
        float(fitted.covariance[0, 1]),
        steps,
        steps_sigma,
        _table(found, fitted, shared),
        tuple(
            ResistancePoint(one.degC, one.ohm * 1e3, one.sigma_ohm * 1e3, one.recording)
            for one in drawn
        ),
        mornings,
        trend,
        trend_sigma,
        "; ".join(notes),
    )
