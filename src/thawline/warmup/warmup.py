"""The warm-up model of a recording, with a verdict on itself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.warmup.structure import Structure


@dataclass(frozen=True, slots=True)
class Parameter:
    """One parameter of the model.

    Parameters
    ----------
    name : str
        What it is.
    value : float
        Most probable value [unit].
    low, high : float
        Ends of its 68 % interval [unit].
    unit : str
        Unit of the three.
    believed : float
        What was believed before the readings [unit].
    told : float
        Share of the prior's variance that the readings took away; 0: nothing told [1].
    """

    name: str
    value: float
    low: float
    high: float
    unit: str
    believed: float
    told: float


@dataclass(frozen=True, slots=True)
class RatioTest:
    """A likelihood-ratio test of a larger model.

    Parameters
    ----------
    added : str
        What the larger model adds, in plain words.
    statistic : float
        Twice the gain in log-likelihood [1].
    threshold : float
        What it must exceed [1].
    accepted : bool
        Whether it was added.
    """

    added: str
    statistic: float
    threshold: float
    accepted: bool


@dataclass(frozen=True, slots=True)
class Verdict:
    """What to think of a fit.

    Parameters
    ----------
    sentence : str
        All in one sentence.
    converged : bool
        Whether the fit found its peak.
    at_bound : tuple of str
        Parameters far from all that is believed.
    cannot_tell : tuple of str
        Parameters on which the recording says little; they rest on priors.
    blind_spot : str
        The combination of parameters that the recording tells worst, in plain words.
    whiteness : float or None
        Probability of surprises as regular as these if the model were right; None if there
        are too few [1].
    is_white : bool or None
        Whether the surprises look random.
    warnings : tuple of str
        What to be careful about, in plain words.
    """

    sentence: str
    converged: bool
    at_bound: tuple[str, ...]
    cannot_tell: tuple[str, ...]
    blind_spot: str
    whiteness: float | None
    is_white: bool | None
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Fitted:
    """A fitted model, in the numbers that the fit works with.

    Parameters
    ----------
    names : tuple of str
        Parameters.
    mean : ndarray of float64, shape (p,)
        Most probable values; logarithms where a parameter is positive [1].
    covariance : ndarray of float64, shape (p, p)
        Posterior covariance [1].
    prior_mean : ndarray of float64, shape (p,)
        What was believed before [1].
    prior_covariance : ndarray of float64, shape (p, p)
        How surely [1].
    information : ndarray of float64, shape (p, p)
        Fisher information of the readings alone [1].
    log_likelihood : float
        Of the readings alone [1].
    widening : float
        How many surprises in a row count as one in ``information`` [1].
    """

    names: tuple[str, ...]
    mean: NDArray[np.float64]
    covariance: NDArray[np.float64]
    prior_mean: NDArray[np.float64]
    prior_covariance: NDArray[np.float64]
    information: NDArray[np.float64]
    log_likelihood: float
    widening: float = 1.0


@dataclass(frozen=True, slots=True)
class WarmUp:
    """How this pack warms, as fitted to a recording.

    Parameters
    ----------
    recording_id : str
        The recording.
    vehicle : str
        Name of the vehicle.
    until_s : float
        No reading after this was used [s].
    structure : Structure
        Lumps of the model.
    pack : Fitted
        The fit of drive units, coolant and pack.
    cabin : Fitted or None
        The fit of the cabin; None if nothing is recorded of it.
    parameters : tuple of Parameter
        Pack and cabin, in plain units.
    tests : tuple of RatioTest
        Larger models that were tried.
    verdict : Verdict
        What to think of it.
    is_tested : bool
        Whether there was enough heat to test the model.
    """

    recording_id: str
    vehicle: str
    until_s: float
    structure: Structure
    pack: Fitted
    cabin: Fitted | None
    parameters: tuple[Parameter, ...]
    tests: tuple[RatioTest, ...]
    verdict: Verdict
    is_tested: bool = True
