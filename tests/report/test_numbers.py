"""Numbers as people read them."""

import math

import pytest

from thawline.report.numbers import number, quantity, symbol, tied, uncertain


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        (-12.5, "degC", "−12.5 °C"),
        (-0.01, "degC", "0.0 °C"),
        (6.8, "kW", "6.80 kW"),
        (1.0, "", "on"),
        (0.0, "", "off"),
        (3.0, "furlong", "3.00 furlong"),
        (None, "kW", "not known"),
        (math.nan, "kW", "not known"),
    ],
)
def test_quantities(value, unit, words):
    """A value carries its unit, a true minus sign and no negative zero."""
    assert quantity(value, unit) == words


def test_infinite_numbers_are_not_known():
    """Infinity is no number to show."""
    assert number(math.inf, 1) == "not known"


def test_an_unknown_unit_is_left_as_it_is():
    """Only catalogue units have symbols."""
    assert symbol("degC") == "°C"
    assert symbol("furlong") == "furlong"


@pytest.mark.parametrize(
    ("value", "sigma", "words"),
    [
        (0.827, 0.119, "0.83 ± 0.12"),
        (0.827, 0.367, "0.8 ± 0.4"),
        (14.674, 0.964, "14.7 ± 1.0"),
        (0.00341, 0.00018, "0.0034 ± 0.0002"),
        (2.97e-7, 1.4e-8, "0.0000"),
        (1.0, None, "1.00"),
        (0.0, 0.0, "0.00"),
        (None, 0.1, "not known"),
        (math.nan, 0.1, "not known"),
    ],
)
def test_uncertain_values_follow_the_particle_data_group(value, sigma, words):
    """The first two are the examples of the Review of Particle Physics, section 5.3.

    The third is the rule's third case, 950 to 999 (from memory, like the numbers).
    """
    assert uncertain(value, sigma) == words


def test_numbers_keep_their_units():
    """A number and its unit never part at the end of a line."""
    assert tied("at −12.5 °C for 31 min") == "at −12.5\u00a0°C for 31\u00a0min"
    assert tied("4.43 ± 0.04 kWh") == "4.43\u00a0±\u00a00.04\u00a0kWh"
    assert tied("5 windings") == "5 windings"
    assert tied(7) == 7
