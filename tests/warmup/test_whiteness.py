"""Tests of randomness, on series that are and are not random."""

import numpy as np
from scipy.stats import chi2, kstest

from thawline.warmup.whiteness import autocorrelation, cumulated_periodogram, ljung_box


def test_autocorrelation_of_a_known_series():
    """+1, -1, +1, -1 … has the correlation -(n-1)/n at lag 1 and (n-2)/n at lag 2."""
    series = np.tile([1.0, -1.0], 50)
    assert np.allclose(autocorrelation(series, 2), [-0.99, 0.98])


def test_ljung_box_by_hand():
    """Q = n (n+2) sum rho²/(n-k), held against scipy's chi-square."""
    series = np.array([0.2, -0.4, 1.1, 0.3, -0.9, 0.5, 0.8, -1.2, 0.1, -0.5])
    rho = autocorrelation(series, 2)
    q = 10.0 * 12.0 * (rho[0] ** 2 / 9.0 + rho[1] ** 2 / 8.0)
    assert np.isclose(ljung_box(series, 2), chi2.sf(q, 2))


def test_random_series_pass_and_slow_ones_fail():
    """P-values of white noise are spread evenly; an autoregression is caught."""
    rng = np.random.default_rng(8)
    levels = [ljung_box(rng.standard_normal(300), 10) for _ in range(150)]
    assert kstest(levels, "uniform").pvalue > 0.01
    slow = np.zeros(300)
    for k in range(1, 300):
        slow[k] = 0.6 * slow[k - 1] + rng.standard_normal()
    assert ljung_box(slow, 10) < 1e-6


def test_periodogram_runs_along_the_line_for_noise_only():
    """Variance grows in proportion to frequency for noise, and at once for a drift."""
    rng = np.random.default_rng(9)
    share, level = cumulated_periodogram(rng.standard_normal(500))
    assert share[-1] == np.float64(1.0) or np.isclose(share[-1], 1.0)
    assert level > 0.01
    drift, low = cumulated_periodogram(np.linspace(-1.0, 1.0, 500))
    assert drift[3] > 0.8
    assert low < 1e-6
