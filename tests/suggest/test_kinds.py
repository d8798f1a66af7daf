import numpy as np
import pytest

from thawline.suggest.candidate import Candidate
from thawline.suggest.kinds import is_state, kind_of_unit, readings_of


@pytest.mark.parametrize(
    ("unit", "kind"),
    [
        ("°C", "temperature"),
        ("degF", "temperature"),
        ("mV", "voltage"),
        ("W", "power"),
        ("kWh", "energy"),
        ("Nm", "torque"),
        ("N*m", "torque"),
        ("%", "share"),
        ("l/h", "flow"),
        ("1/min", "rotation"),
        ("km/h", "velocity"),
        ("", ""),
        ("-", ""),
        ("bar", None),
        ("wibble", None),
    ],
)
def test_units_say_what_is_measured(unit, kind):
    """SI brochure 9th edition: each unit measures one thing; a torque is no energy."""
    assert kind_of_unit(unit) == kind


def test_a_stated_unit_leaves_one_reading_in_the_kinds_unit():
    """14 degF are -10 degC."""
    one = Candidate("a", "degF", np.array([14.0, 32.0]), step=1.8)
    (reading,) = readings_of(one)
    np.testing.assert_allclose(reading.values, [-10.0, 0.0], atol=1e-9)
    assert (reading.unit, reading.is_said, round(reading.step, 9)) == ("degF", True, 1.0)


def test_without_a_unit_all_that_can_be_is_tried():
    """350 may be volts, but is no share, and no temperature in degC."""
    found = readings_of(Candidate("a", "", np.array([349.5, 351.0])))
    kinds = {(one.kind, one.unit) for one in found}
    assert ("voltage", "V") in kinds
    assert ("power", "W") in kinds
    assert not {kind for kind, _ in kinds} & {"share"}
    assert ("temperature", "degC") not in kinds
    assert all(not one.is_said for one in found)


def test_states_are_no_numbers():
    """Few small codes without a unit are a state; a flow of 0 and 10 is none."""
    assert is_state(Candidate("a", "", np.array([0.0, 2.0]), codes=(0.0, 2.0)))
    assert is_state(Candidate("a", "", np.array([9.0, 14.0]), codes=(9.0, 14.0)))
    assert not is_state(Candidate("a", "", np.array([0.0, 40.0]), codes=(0.0, 40.0)))
    assert not is_state(Candidate("a", "degC", np.array([0.0, 2.0]), codes=(0.0, 2.0)))
    assert readings_of(Candidate("a", "", np.array([0.0, 1.0]), codes=(0.0, 1.0))) == []
