"""The regression against what is known of it."""

import numpy as np
from scipy.optimize import minimize
from scipy.stats import t as student

from thawline.trends.measure import setting
from thawline.trends.robust import regress


def test_it_finds_the_peak_of_the_t_likelihood():
    """Effects equal those that scipy finds by climbing the same posterior (scipy.stats.t)."""
    chance = np.random.default_rng(4)
    x = np.column_stack([np.ones(25), chance.normal(size=(25, 2))])
    y = x @ [1.0, 0.5, -0.3] + 0.1 * chance.standard_t(4, 25)
    prior = np.array([np.inf, np.inf, 0.2])
    fit = regress(x, y, np.zeros(25), prior, 0.1)
    tails = setting("tails")

    def against(effects):
        told = student.logpdf((y - x @ effects) / fit.scatter, tails).sum()
        return -told + 0.5 * np.sum((effects / prior) ** 2)

    best = minimize(against, np.zeros(3), method="BFGS", options={"gtol": 1e-9})
    assert np.allclose(fit.effects, best.x, atol=1e-5)


def test_without_outliers_it_agrees_with_least_squares():
    """On normal residuals it is close to numpy's least squares, well within its uncertainty."""
    chance = np.random.default_rng(7)
    x = np.column_stack([np.ones(200), chance.normal(size=200)])
    y = x @ [2.0, 1.0] + chance.normal(0.0, 0.2, 200)
    fit = regress(x, y, np.zeros(200), np.array([np.inf, np.inf]), 0.2)
    usual = np.linalg.lstsq(x, y, rcond=None)[0]
    assert np.all(np.abs(fit.effects - usual) < 0.5 * np.sqrt(np.diag(fit.covariance)))
