"""What members will do."""

import numpy as np
import pytest

from thawline.forecast.allowed import TemperatureLimit
from thawline.forecast.habits import returns_after, thresholds

LIMIT = TemperatureLimit(-1.0, 0.3, (0.0, 1.0), (0.0, 2.0), 0.1, "learned", 2)


def test_half_of_all_outages_last_as_long_again():
    """P(R > r) = s/(s + r): a half beyond s, a quarter beyond 3 s, a tenth beyond 9 s."""
    rng = np.random.default_rng(1)
    left = returns_after(600.0, (40000,), rng)
    for times, share in ((1.0, 0.5), (3.0, 0.25), (9.0, 0.1)):
        assert np.mean(left > 600.0 * times) == pytest.approx(share, abs=0.01)


def test_thresholds_lie_above_what_is_ruled_out():
    """A limit that is still zero at 0 °C leaves zero above it, soon or late."""
    rng = np.random.default_rng(2)
    free = thresholds(LIMIT, None, rng, (4000,))
    assert np.median(free) == pytest.approx(-1.0, abs=0.03)
    held = thresholds(LIMIT, np.zeros(4000), rng, (4000,))
    assert held.min() >= 0.0
    assert np.median(held) < 2.5


def test_little_is_ruled_out_by_a_cold_pack():
    """Far below the threshold the truncation changes nothing."""
    rng = np.random.default_rng(3)
    drawn = thresholds(LIMIT, np.full(4000, -9.0), rng, (4000,))
    assert np.median(drawn) == pytest.approx(-1.0, abs=0.03)
    assert np.quantile(drawn, 0.75) - np.quantile(drawn, 0.25) == pytest.approx(0.42, abs=0.06)
