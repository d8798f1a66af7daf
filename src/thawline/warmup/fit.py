"""Fit the warm-up model to a recording.

References
----------
.. [1] R. E. Kass, A. E. Raftery, Bayes factors, J. American Statistical Association 90 (1995)
   773, doi:10.1080/01621459.1995.10476572.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.recording.flows import Flows
from thawline.recording.recording import Recording
from thawline.story.story import Story
from thawline.warmup.cabin import PARAMETERS, cabin_case, cabin_prior, run_cabin
from thawline.warmup.case import Case, make_case
from thawline.warmup.choose import Chosen, choose
from thawline.warmup.information import told
from thawline.warmup.prior import Prior, is_log
from thawline.warmup.scoring import Peak, find_peak
from thawline.warmup.settings import setting
from thawline.warmup.structure import Structure
from thawline.warmup.verdict import judge, surprises_of_pack
from thawline.warmup.warmup import Fitted, Parameter, WarmUp
from thawline.warmup.whiteness import autocorrelation

Array = NDArray[np.float64]
UNITS = {
    "heat_capacity": "kJ/K",
    "air_capacity": "kJ/K",
    "mass_capacity": "kJ/K",
    "loss": "kW/K",
    "conductance": "kW/K",
    "mass_conductance": "kW/K",
    "carries": "kW/K",
    "lag": "s",
    "rise": "K/kW",
}


def _widening(case: Case, chosen: Chosen) -> float:
    """Tell how many surprises in a row count as one: correlated ones tell less."""
    surprises = surprises_of_pack(case, chosen)
    lags = min(int(setting("lags")), len(surprises) // 4)
    if lags < 3:
        return 1.0
    rho = autocorrelation(surprises, lags)
    first = np.flatnonzero(rho < 0.0)
    until = int(first[0]) if len(first) else lags
    spread = max(1.0, float(np.mean(surprises**2)))
    return float(np.clip((1.0 + 2.0 * np.sum(rho[:until])) * spread, 1.0, setting("widest")))


def _fitted(
    names: tuple[str, ...], peak: Peak, prior: tuple[Array, Array], widening: float
) -> Fitted:
    information = peak.information / widening
    covariance = np.linalg.inv(information + np.linalg.inv(prior[1]))
    covariance = (covariance + covariance.T) / 2.0
    return Fitted(
        names,
        peak.z,
        covariance,
        prior[0],
        prior[1],
        information,
        peak.log_likelihood,
        widening,
    )


def _evidence(case: Case, chosen: Chosen) -> float:
    """Give the logarithm of the evidence, by Laplace's approximation [1]_."""
    widening = _widening(case, chosen)
    precision, off = np.linalg.inv(chosen.covariance), chosen.peak.z - chosen.mean
    curve = np.eye(len(off)) + chosen.covariance @ chosen.peak.information / widening
    prior = -0.5 * float(off @ precision @ off)
    return chosen.peak.log_likelihood / widening + prior - 0.5 * float(np.linalg.slogdet(curve)[1])


def _weighed(case: Case, prior: Prior | None, begin: tuple[Structure, Array] | None) -> Chosen:
    """Fit with what earlier mornings taught, unless the readings speak clearly against it."""
    chosen = choose(case, prior, begin)
    if prior is None or case.grid.heat_so_far_kWh <= 0.0:
        return chosen
    alone = choose(case, None, begin)
    gain = _evidence(case, alone) - _evidence(case, chosen)
    return alone if gain > setting("unlike_earlier") else chosen


def parameters_of(fitted: Fitted) -> tuple[Parameter, ...]:
    """Put a fit into plain units.

    Parameters
    ----------
    fitted : Fitted
        The fit.

    Returns
    -------
    tuple of Parameter
        Its parameters, in their order.
    """
    shares = told(fitted.information, fitted.prior_covariance)
    spread = np.sqrt(np.diag(fitted.covariance))
    found = []
    for i, name in enumerate(fitted.names):
        numbers = np.array(
            [
                fitted.mean[i],
                fitted.mean[i] - spread[i],
                fitted.mean[i] + spread[i],
                fitted.prior_mean[i],
            ]
        )
        value, low, high, believed = np.exp(numbers) if is_log(name) else numbers
        unit = UNITS.get(name.rsplit(".", 1)[-1], "1")
        found.append(
            Parameter(name, float(value), float(low), float(high), unit, float(believed),
                      float(shares[i]))
        )  # fmt: skip
    return tuple(found)


def _worth_fitting(flows: Flows, story: Story, until_s: float) -> float:
    """Leave out the drive, and long times after the last heat: the model is not made for them."""
    ends = [until_s]
    heated = [s for s in story.spans if s.lane == "pack-heating" and s.from_s < until_s]
    if heated:
        first = min(s.from_s for s in heated)
        ends.append(max(s.to_s for s in heated) + setting("after_heating_s"))
        ends += [s.from_s for s in story.spans if s.lane == "driving" and s.from_s > first + 60.0]
    return max(min(ends), flows.step_s)


def fit(
    recording: Recording,
    flows: Flows,
    story: Story,
    prior: Prior | None = None,
    until_s: float | None = None,
    near: WarmUp | None = None,
) -> WarmUp:
    """Fit the warm-up model to a recording, or to its beginning.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    story : Story
        Its story.
    prior : Prior, optional
        What earlier mornings of the vehicle taught.
    until_s : float, optional
        Use nothing after this; the end of the recording if it is not given [s].
    near : WarmUp, optional
        An earlier fit of the same recording, to begin from; it changes how fast the fit is
        found and not what is found.

    Returns
    -------
    WarmUp
        The model with its verdict. With too little heat it is the prior, and says so.
    """
    until = recording.duration_s if until_s is None else min(until_s, recording.duration_s)
    case = make_case(recording, flows, story, _worth_fitting(flows, story, until))
    begin = None if near is None else (near.structure, near.pack.mean)
    chosen = _weighed(case, prior, begin)
    pack = _fitted(
        chosen.structure.parameters,
        chosen.peak,
        (chosen.mean, chosen.covariance),
        _widening(case, chosen),
    )
    cabin = _fit_cabin(recording, flows, case, prior)
    parameters = parameters_of(pack) + (() if cabin is None else parameters_of(cabin))
    return WarmUp(
        recording.id,
        recording.vehicle.name,
        until,
        chosen.structure,
        pack,
        cabin,
        parameters,
        chosen.tests,
        judge(case, chosen),
        chosen.tested,
    )


def _fit_cabin(
    recording: Recording, flows: Flows, case: Case, prior: Prior | None
) -> Fitted | None:
    cabin = cabin_case(recording, flows, case.grid, case.sources.cabin_kW)
    if cabin is None:
        return None
    mean, covariance = cabin_prior(prior, cabin)
    peak = find_peak(lambda z: run_cabin(cabin, z), mean, covariance)
    return _fitted(PARAMETERS, peak, (mean, covariance), 1.0)
