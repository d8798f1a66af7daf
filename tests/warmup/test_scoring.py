"""The climb to the most probable parameters."""

import numpy as np

from tests.warmup.linear_car import Truth, record
from thawline.warmup.case import make_case, run_case
from thawline.warmup.kalman import Filtered
from thawline.warmup.prior import prior_for
from thawline.warmup.scoring import find_peak
from thawline.warmup.structure import smallest

X = np.linspace(0.0, 1.0, 25)


def readings(z: np.ndarray, y: np.ndarray) -> Filtered:
    """A straight line with a noise that is a parameter too: z = (height, slope, log sd)."""
    surprise = y - z[:, :1] - z[:, 1:2] * X
    variance = np.exp(2.0 * z[:, 2:3]) * np.ones_like(X)
    at = np.arange(len(X), dtype=np.intp)
    return Filtered(
        surprise, variance, at, 0 * at, np.zeros(len(X), dtype=np.bool_), z, z[:, :, None]
    )


def test_a_straight_line_with_a_wide_prior_is_least_squares():
    """Height, slope and spread equal numpy's least squares; covariance is s² (X'X)^-1."""
    rng = np.random.default_rng(6)
    y = 3.0 - 2.0 * X + rng.normal(0.0, 0.3, len(X))
    peak = find_peak(lambda z: readings(z, y), np.array([0.0, 0.0, 0.0]), np.eye(3) * 1e4)
    design = np.stack([np.ones_like(X), X], axis=1)
    best, residue, *_ = np.linalg.lstsq(design, y, rcond=None)
    assert peak.converged
    assert np.allclose(peak.z[:2], best, atol=0.01)
    assert np.isclose(np.exp(2.0 * peak.z[2]), residue[0] / len(X), rtol=0.05)
    covariance = np.linalg.inv(peak.information)[:2, :2]
    wanted = np.exp(2.0 * peak.z[2]) * np.linalg.inv(design.T @ design)
    assert np.allclose(covariance, wanted, rtol=1e-3)


def test_a_tight_prior_holds_what_the_readings_do_not():
    """With a narrow prior the peak lies between prior and readings, as Bayes says."""
    y = np.full(len(X), 4.0)
    prior = np.diag([0.01, 1e-12, 1e-12])
    peak = find_peak(lambda z: readings(z, y), np.zeros(3), prior)
    wanted = 4.0 * len(X) / (len(X) + 100.0)
    assert np.isclose(peak.z[0], wanted, atol=0.02)
    assert abs(peak.z[1]) < 1e-4


def test_at_the_peak_the_gradient_of_the_filter_vanishes():
    """Numerical derivatives of the filter's posterior are near zero in units of its spread."""
    case = make_case(*record(Truth(duration_s=1500.0), 2), 1500.0)
    structure = smallest(tuple(s.name for s in case.seen), has_flow=True, heat="measured")
    mean, covariance = prior_for(structure, case.vehicle)
    peak = find_peak(lambda z: run_case(case, structure, z), mean, covariance)
    precision = np.linalg.inv(covariance)
    spread = np.sqrt(np.diag(np.linalg.inv(peak.information + precision)))
    for i, width in enumerate(spread):
        step = np.zeros(len(mean))
        step[i] = 0.05 * width
        both = run_case(case, structure, np.vstack([peak.z + step, peak.z - step]))
        rise = float(np.diff(both.log_likelihood()[::-1])[0]) / 0.1
        pull = float(precision[i] @ (peak.z - mean)) * width
        assert abs(rise - pull) < 0.45, structure.parameters[i]
