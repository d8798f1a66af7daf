"""What others of a model taught fills what own mornings leave open, and nothing else."""

from dataclasses import replace

import numpy as np
import pytest

from tests.ledger.made import recording
from thawline.forecast.allowed import LearnedLimits, TemperatureLimit, usual_limit
from thawline.forecast.from_fleet import limits_with_model, prior_of_model

TOLD = {
    "warm_up": {
        "names": ["pack.heat_capacity", "pack.loss"],
        "mean": [6.2, -3.0],
        "covariance": [[0.01, 0.0], [0.0, 0.04]],
        "lumps": ["metal", "coolant", "pack"],
        "mornings": 40,
        "vehicles": 7,
    },
    "limits": {
        "charging": {"from_degC": 0.7, "sd_K": 0.2, "above_K": [0.0, 1.0, 2.0],
                     "kW": [0.6, 4.0, 8.0], "sigma": 0.1, "mornings": 40, "vehicles": 7},
        "regeneration": {"from_degC": -0.4, "sd_K": 0.2, "above_K": [], "kW": [], "sigma": 0.1,
                         "mornings": 40, "vehicles": 7},
    },
}  # fmt: skip


@pytest.fixture
def vehicle():
    return recording({}).vehicle


def test_a_first_morning_takes_the_models_limits_before_file_and_practice(vehicle):
    """Threshold, curve and doubt are the model's; where it shows no curve, the usual one."""
    stated = replace(vehicle, limits=replace(vehicle.limits, charging_from_degC=-3.0))
    found = limits_with_model(None, TOLD, stated)
    assert found.charging.from_degC == 0.7 and found.charging.origin == "model"
    assert found.charging.allowed_kW(np.array([1.5]))[0] == pytest.approx(6.0)
    assert found.charging.sd_K >= 0.2 and found.charging.mornings == 40
    usual = usual_limit(vehicle, "regeneration")
    assert found.regeneration.from_degC == -0.4
    assert found.regeneration.knots_kW == usual.knots_kW
    assert found.mornings == 0


def test_own_mornings_come_first(vehicle):
    """A limit that the vehicle itself has shown is kept; only the other one is filled in."""
    own = TemperatureLimit(2.0, 0.1, (0.0, 5.0), (0.0, 9.0), 0.06, "learned", 1)
    mine = LearnedLimits(None, own, 12.0, 0.5, 4.0, None, 1)
    found = limits_with_model(mine, TOLD, vehicle)
    assert found.charging is own and found.heat_until_degC == 12.0
    assert found.regeneration.origin == "model"


def test_where_nothing_is_known_of_the_model_nothing_changes(vehicle):
    """No fleet, or a fleet that saw neither limits nor warm-ups: the old order holds."""
    assert limits_with_model(None, None, vehicle) is None
    assert limits_with_model(None, {"warm_up": None, "limits": {}}, vehicle) is None
    assert prior_of_model(None) is None and prior_of_model({"warm_up": None}) is None


def test_the_prior_is_read_whole():
    """Names, means, covariance, lumps and the count of mornings."""
    found = prior_of_model(TOLD)
    assert found.names == ("pack.heat_capacity", "pack.loss") and found.mornings == 40
    assert found.covariance[1, 1] == 0.04 and found.lumps == ("metal", "coolant", "pack")
