"""Scoring rules against published and computed values."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from thawline.forecast.scores import coverage, crps_ensemble, crps_gaussian, interval_score


@pytest.mark.parametrize(
    ("came", "alpha", "wanted"), [(15.0, 0.1, 10.0), (22.0, 0.1, 50.0), (7.0, 0.2, 40.0)]
)
def test_interval_score_of_ten_to_twenty(came, alpha, wanted):
    """Gneiting and Raftery 2007, their formula computed: [10, 20] at 15, 22 and 7."""
    assert interval_score(10.0, 20.0, came, alpha) == pytest.approx(wanted)


@pytest.mark.parametrize(
    ("mean", "sd", "came", "wanted"),
    [(0, 1, 0, 0.233695), (0, 1, 1, 0.602441), (0, 1, 2, 1.452792), (10, 2, 13, 1.988848)],
)
def test_crps_of_a_normal(mean, sd, came, wanted):
    """Gneiting and Raftery 2007, their closed form computed."""
    assert crps_gaussian(mean, sd, came) == pytest.approx(wanted, abs=1e-6)


def test_crps_is_the_integral_that_defines_it():
    """The closed form equals the integral of (F(x) - 1[x >= y])²."""
    below, _ = quad(lambda x: norm.cdf(x) ** 2, -12.0, 0.7)
    above, _ = quad(lambda x: norm.sf(x) ** 2, 0.7, 12.0)
    assert crps_gaussian(0.0, 1.0, 0.7) == pytest.approx(below + above, abs=1e-7)


def test_crps_of_a_large_sample_nears_the_closed_form():
    """Evenly placed quantiles of a normal stand for it."""
    members = norm.ppf((np.arange(4000) + 0.5) / 4000)
    for came in (0.0, 1.0, 2.0):
        assert crps_ensemble(members, came) == pytest.approx(crps_gaussian(0, 1, came), abs=2e-3)


def test_crps_of_a_sample_by_hand():
    """mean |x - y| less half the mean distance between members; for one member its error."""
    members = np.array([4.0, 1.0, 2.0])
    by_hand = np.mean(np.abs(members - 3.0))
    by_hand -= np.mean(np.abs(members[:, None] - members[None, :])) / 2.0
    assert crps_ensemble(members, 3.0) == pytest.approx(by_hand)
    assert crps_ensemble(np.array([5.0]), 2.0) == 3.0


def test_honesty_pays():
    """Too narrow and too wide intervals and samples score worse than true ones (propriety)."""
    rng = np.random.default_rng(2)
    came = rng.normal(0.0, 1.0, 4000)
    ends = norm.ppf([0.1, 0.9])
    scores = [np.mean(interval_score(f * ends[0], f * ends[1], came, 0.2)) for f in (0.6, 1.0, 1.6)]
    assert np.argmin(scores) == 1
    crps = [np.mean([crps_gaussian(0.0, f, y) for y in came]) for f in (0.6, 1.0, 1.6)]
    assert np.argmin(crps) == 1


def test_coverage_counts_hits():
    """Ends count as inside; nothing to count is NaN."""
    assert coverage([0.0, 0.0, 0.0, 0.0], [1.0] * 4, [0.0, 0.5, 1.0, 1.1]) == 0.75
    assert np.isnan(coverage([], [], []))
