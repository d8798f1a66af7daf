"""What members will do."""

import numpy as np
import pytest

from tests.forecast.test_situation import situation
from tests.warmup.proving_car import Morning
from thawline.forecast.habits import draw_habits, returns_after
from thawline.vehicle.vehicle import Pack, Vehicle


def test_half_of_all_outages_last_as_long_again():
    """P(R > r) = s/(s + r): a half beyond s, a quarter beyond 3 s, a tenth beyond 9 s."""
    rng = np.random.default_rng(1)
    left = returns_after(600.0, (40000,), rng)
    for times, share in ((1.0, 0.5), (3.0, 0.25), (9.0, 0.1)):
        assert np.mean(left > 600.0 * times) == pytest.approx(share, abs=0.01)


def test_nobody_is_believed_to_charge_well_below_freezing():
    """JEITA/BAJ guideline 2007 (title from memory): nothing below 0 °C; 0.3 K for thermometers."""
    now = situation(Morning(duration_s=900.0, start_degC=-8.0), 600.0)
    coldest = np.full((64, 4), -4.0)
    shut = {"regeneration": 0.0, "charging": 0.0}
    drawn = draw_habits(
        now, Vehicle("Petrel", Pack(58.0)), None, coldest, None, shut, np.random.default_rng(4)
    )
    assert drawn.charging_degC.min() >= -0.3
    assert 0.0 < np.median(drawn.charging_degC) < 0.8
    assert drawn.regeneration_degC.min() < -0.5
