"""The room's own tables."""

import numpy as np
import pytest

from thawline.physics.constants import constants
from thawline.simulator.tables import constant, on_curve, table


@pytest.mark.parametrize("at", [-3.0, 0.0, 0.7, 1.0, 2.5, 4.0, 9.0])
def test_a_curve_is_read_as_numpy_reads_it(at):
    """Straight lines between points, the ends beyond them, as in numpy.interp."""
    points, values = (0.0, 1.0, 4.0), (3.0, -1.0, 5.0)
    assert on_curve(at, points, values) == pytest.approx(np.interp(at, points, values))


def test_constants_that_both_rooms_know_agree():
    """The simulator's constants, written apart, are those of the physics room."""
    ours = {row["name"]: float(row["value"]) for row in table("constants.csv")}
    pairs = {
        "gas_constant": "gas_constant",
        "zero_degC": "zero_degC",
        "copper_zero_K": "copper_k",
        "standard_pressure": "standard_pressure",
        "air_gas_constant": "air_gas_constant",
        "pilot_low_slope": "pilot_low_slope",
        "pilot_high_slope": "pilot_high_slope",
    }
    for here, there in pairs.items():
        assert ours[here] == constants()[there]
    assert constant("gravity") == 9.80665
