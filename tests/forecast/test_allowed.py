"""What a pack allows by temperature."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thawline.forecast.allowed import TemperatureLimit, usual_limit
from thawline.vehicle.vehicle import Limits, Pack, Vehicle

LIMIT = TemperatureLimit(-1.0, 0.2, (0.0, 1.0, 3.0), (0.0, 2.0, 9.0), 0.1, "learned", 2)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.01, 40.0), st.floats(-2.0, 2.0))
def test_power_and_temperature_invert_each_other(kW, off):
    """What is allowed at the temperature that a power needs is that power."""
    assert LIMIT.allowed_kW(LIMIT.above_K(kW, off), off) == pytest.approx(kW, rel=1e-6)


def test_knots_are_met_and_the_rest_goes_on():
    """At the knots the power is theirs; beyond them it keeps growing; below nothing is allowed."""
    assert LIMIT.allowed_kW(np.array([-2.0, 0.0, 1.0, 3.0])).tolist() == [0.0, 0.0, 2.0, 9.0]
    beyond = LIMIT.allowed_kW(np.array([3.0, 4.0, 5.0]))
    assert np.all(np.diff(beyond) > 2.0)


def test_what_is_usual():
    """Regeneration near -1 °C, charging just above 0 °C (common practice, no source)."""
    car = Vehicle("Petrel", Pack(72.0))
    assert usual_limit(car, "regeneration").from_degC == -1.0
    assert 0.0 < usual_limit(car, "charging").from_degC < 1.0
    # 15 kW after 5.6 K, of which some lay below the beginning; common practice, no source
    regeneration = usual_limit(car, "regeneration")
    assert float(regeneration.allowed_kW(5.6)) >= 15.0 >= float(regeneration.allowed_kW(4.0))
    # a cell data sheet allows 0.2 C from 0 to 15 °C: reached within some kelvins
    assert 2.0 < float(usual_limit(car, "charging").above_K(0.2 * 72.0)) < 6.0


def test_a_vehicle_file_outranks_what_is_usual_and_is_surer():
    """A stated limit is taken; its spread is smaller."""
    car = Vehicle("Petrel", Pack(58.0), limits=Limits(charging_from_degC=2.0))
    stated, usual = usual_limit(car, "charging"), usual_limit(car, "regeneration")
    assert stated.from_degC == 2.0
    assert stated.origin == "vehicle file"
    assert stated.sd_K < usual.sd_K
