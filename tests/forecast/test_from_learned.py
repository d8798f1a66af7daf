"""What charge learned, as forecasts read it."""

from __future__ import annotations

import numpy as np
import pytest

from tests.charge.proving import build, mornings
from thawline.charge.learn import learn_cells
from thawline.forecast.from_learned import learn_earlier_limits, limits_from


@pytest.fixture(scope="module")
def vehicle():
    return mornings()[0][1].vehicle


@pytest.mark.parametrize("what", ["charging", "regeneration"])
def test_threshold_and_power_reach_the_forecast(vehicle, what):
    """What the forecast allows 4 K above the threshold is within 5 % of the truth."""
    found = limits_from(learn_cells(recording for _, recording in mornings()), vehicle)
    limit, limits = getattr(found, what), build().limits
    begins = getattr(limits, f"{what}_from_degC")
    assert limit.from_degC == pytest.approx(begins, abs=0.2)
    assert limit.origin == "learned" and limit.mornings == 3
    truth = getattr(limits, f"{what}_kW")(limit.from_degC + 4.0, 0.5)
    assert float(limit.allowed_kW(4.0)) == pytest.approx(truth, rel=0.05)
    assert np.all(np.diff(limit.knots_K) > 0.0) and np.all(np.diff(limit.knots_kW) > 0.0)


def test_what_was_not_seen_is_left_to_the_forecast(vehicle):
    """A warm morning shows no threshold: nothing is handed over."""
    found = limits_from(learn_cells([mornings()[3][1]]), vehicle)
    assert found.charging is None and found.regeneration is None


def test_earlier_mornings_give_limits_over_all_and_habits(vehicle):
    """Curves over all mornings where they tell; how heating goes from each morning; none: None."""
    earlier = [recording for _, recording in mornings()[:3]]
    found = learn_earlier_limits(earlier)
    curves = limits_from(learn_cells(earlier), vehicle)
    assert found is not None
    assert found.regeneration == curves.regeneration and found.charging == curves.charging
    assert found.mornings == 3
    assert learn_earlier_limits([]) is None
