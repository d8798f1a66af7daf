"""Partial pooling against closed forms, a published example, and simulated fleets."""

import numpy as np
import pytest

from thawline.fleet.pool import pool

#: Effects and standard errors of coaching in eight schools: D. B. Rubin, J. Educ. Stat. 6 (1981)
#: 377; as printed in Gelman et al., Bayesian Data Analysis, table 5.2 (from memory).
EFFECTS = np.array([28.0, 8.0, -3.0, 7.0, -1.0, 1.0, 18.0, 12.0])
ERRORS = np.array([15.0, 10.0, 16.0, 11.0, 9.0, 11.0, 10.0, 18.0])


def scalars(values, sigmas, spread, believed=0.0, variance=np.inf):
    information = [np.array([[s**-2.0]]) for s in sigmas]
    pull = [np.array([v / s**2]) for v, s in zip(values, sigmas, strict=True)]
    return pool(information, pull, np.array([believed]), np.array([variance]), np.array([spread]))


def test_eight_schools_share_7_7_plus_minus_4_1_if_they_do_not_differ():
    """The book's pooled estimate of the example (section 5.5): 7.7 with standard error 4.1."""
    found = scalars(EFFECTS, ERRORS, 1e-6)
    assert found.model_mean[0] == pytest.approx(7.7, abs=0.05)
    assert np.sqrt(found.model_covariance[0, 0]) == pytest.approx(4.1, abs=0.05)
    assert np.allclose(found.mean, found.model_mean, atol=1e-3)


def test_given_the_spread_it_is_the_closed_form():
    """Normal-normal shrinkage as in Gelman and Hill (2007), eq. 12.1, and BDA eq. 5.17."""
    found = scalars(EFFECTS, ERRORS, 10.0)
    tau2 = found.spread[0] ** 2
    weights = 1.0 / (ERRORS**2 + tau2)
    mu = np.sum(weights * EFFECTS) / np.sum(weights)
    own = ERRORS**-2.0
    expected = (own * EFFECTS + mu / tau2) / (own + 1.0 / tau2)
    variance = 1.0 / (own + 1.0 / tau2)
    variance += (variance / tau2) ** 2 / np.sum(weights)
    assert found.model_mean[0] == pytest.approx(mu, rel=1e-5)
    assert np.allclose(found.mean[:, 0], expected, rtol=1e-5)
    assert np.allclose(found.covariance[:, 0, 0], variance, rtol=1e-5)


def test_a_vehicle_that_tells_nothing_takes_the_model():
    """Its readings are blind: it gets what the others share, and their spread as its doubt."""
    information = [np.array([[400.0]])] * 6 + [np.zeros((1, 1))]
    pull = [np.array([400.0 * v]) for v in (1.0, 1.1, 0.9, 1.05, 0.95, 1.0)] + [np.zeros(1)]
    found = pool(information, pull, np.zeros(1), np.array([np.inf]), np.array([0.1]))
    assert found.mean[-1, 0] == pytest.approx(found.model_mean[0])
    expected = found.spread[0] ** 2 + found.model_covariance[0, 0]
    assert found.covariance[-1, 0, 0] == pytest.approx(expected)


@pytest.mark.parametrize("mornings", [1, 2])
@pytest.mark.parametrize("spread", [0.05, 0.1, 0.2])
def test_with_few_mornings_it_beats_own_and_model_alone(mornings, spread):
    """On simulated fleets with correlated, partly blind readings, at spreads it does not know."""
    chance = np.random.default_rng(round(1000 * spread) + mornings)
    errors = {"pooled": [], "own": [], "model": []}
    inside = []
    for _ in range(40):
        truth = 1.0 + chance.normal(0.0, spread, (8, 2))
        information, pull, own = [], [], []
        for i in range(8):
            count = mornings if i < 4 else 6
            told, pulled = np.zeros((2, 2)), np.zeros(2)
            for _ in range(count):
                sigma = 0.15 * np.array([[1.0, 0.6], [0.6, 1.0]]) @ np.diag([1.0, 1.5])
                cov = sigma @ sigma.T
                seen = truth[i] + chance.multivariate_normal(np.zeros(2), cov)
                told += np.linalg.inv(cov)
                pulled += np.linalg.inv(cov) @ seen
            information.append(told)
            pull.append(pulled)
            own.append(np.linalg.solve(told, pulled))
        found = pool(information, pull, np.zeros(2), np.full(2, np.inf), np.full(2, 0.1))
        few = slice(0, 4)
        errors["pooled"].append((found.mean - truth)[few])
        errors["own"].append((np.array(own) - truth)[few])
        errors["model"].append((found.model_mean - truth)[few])
        z = (found.mean - truth) / np.sqrt(np.diagonal(found.covariance, axis1=1, axis2=2))
        inside.append(np.abs(z[few]) < 1.0)
    size = {name: float(np.sqrt(np.mean(np.square(each)))) for name, each in errors.items()}
    assert size["pooled"] < size["own"]
    assert size["pooled"] < size["model"] * (1.0 if spread > 0.05 else 1.02)
    assert 0.55 < np.mean(inside) < 0.85  # two in three, as a standard uncertainty promises
