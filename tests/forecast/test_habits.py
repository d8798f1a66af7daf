"""What members will do."""

import numpy as np
import pytest

from thawline.forecast.habits import returns_after


def test_half_of_all_outages_last_as_long_again():
    """P(R > r) = s/(s + r): a half beyond s, a quarter beyond 3 s, a tenth beyond 9 s."""
    rng = np.random.default_rng(1)
    left = returns_after(600.0, (40000,), rng)
    for times, share in ((1.0, 0.5), (3.0, 0.25), (9.0, 0.1)):
        assert np.mean(left > 600.0 * times) == pytest.approx(share, abs=0.01)
