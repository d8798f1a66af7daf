"""Units as databases and people write them."""

import numpy as np
import pytest

from thawline.errors import UnitError
from thawline.quantities import Accuracy, convert, converter, measures_same, parse_accuracy


@pytest.mark.parametrize(
    ("unit", "to", "value", "wanted"),
    [
        ("degF", "degC", -40.0, -40.0),
        ("°F", "degC", 212.0, 100.0),
        ("K", "degC", 273.15, 0.0),
        ("°C", "degC", -9.5, -9.5),
        ("mA", "A", 1500.0, 1.5),
        ("kW", "W", 3.4, 3400.0),
        ("W", "kW", 3400.0, 3.4),
        ("Wh", "kWh", 875.0, 0.875),
        ("MJ", "kWh", 3.15, 0.875),
        ("l/h", "l/min", 600.0, 10.0),
        ("mph", "km/h", 60.0, 96.56064),
        ("kmph", "km/h", 50.0, 50.0),
        ("m/s", "km/h", 10.0, 36.0),
        ("Hz", "rpm", 50.0, 3000.0),
        ("%", "percent", 55.0, 55.0),
        ("Nm", "N*m", 12.0, 12.0),
    ],
)
def test_values_are_converted(unit, to, value, wanted):
    """Handbook conversions; 3.15 MJ = 0.875 kWh and 60 mph = 96.56064 km/h are exact."""
    assert convert(np.array([value]), unit, to)[0] == pytest.approx(wanted, rel=1e-12, abs=1e-9)


def test_the_same_unit_leaves_values_untouched():
    """No copy, no rounding."""
    values = np.array([0.1, 0.2])
    assert convert(values, "degC", "°C") is values and converter("A", "A") == (1.0, 0.0)


@pytest.mark.parametrize(("unit", "to"), [("kg", "degC"), ("V", "A"), ("degC", "kW")])
def test_what_measures_something_else_is_refused(unit, to):
    """A kilogram is no temperature."""
    assert not measures_same(unit, to)
    with pytest.raises(UnitError, match="cannot be converted"):
        converter(unit, to)


def test_an_unknown_unit_is_named():
    """The message holds what was written."""
    with pytest.raises(UnitError, match="Vlot"):
        converter("Vlot", "V")


def test_accuracies():
    """Per cent of the value, points for percentages, kelvin for temperatures."""
    assert parse_accuracy("1 %", "A") == Accuracy(0.0, 0.01)
    assert parse_accuracy("± 0.5 A", "A") == Accuracy(0.5, 0.0)
    assert parse_accuracy("0.5 %", "percent") == Accuracy(0.5, 0.0)
    assert parse_accuracy("0.5 K", "degC") == Accuracy(0.5, 0.0)
    assert parse_accuracy("500 mA", "A").absolute == pytest.approx(0.5)
    assert parse_accuracy("1.8 degF", "degC").absolute == pytest.approx(1.0)
    assert Accuracy(0.3, 0.01).of(np.array([-40.0]))[0] == pytest.approx(0.5)


@pytest.mark.parametrize("text", ["good", "1", "1 kg", ""])
def test_accuracies_that_are_none(text):
    """A number alone, a word, a wrong unit."""
    with pytest.raises(UnitError):
        parse_accuracy(text, "A")
