"""Figures in sentences."""

import pytest

from thawline.story.figures import (
    degrees,
    energy,
    joined,
    kilowatt,
    lasting,
    moment,
    percent,
    plain,
)


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        (kilowatt(4.84), "4.8 kW"),
        (kilowatt(0.04), "0.04 kW"),
        (kilowatt(0.0), "0.0 kW"),
        (kilowatt(120.4), "120 kW"),
        (degrees(-9.04), "−9.0 °C"),
        (degrees(-0.04), "0.0 °C"),
        (energy(0.844), "0.84 kWh"),
        (energy(12.34), "12.3 kWh"),
        (percent(61.46), "61.5 %"),
        (plain(208.3, "V"), "208 V"),
        (plain(24.0, "A"), "24 A"),
        (plain(9.6, "A"), "9.6 A"),
        (plain(-1.0, "degC"), "−1.0 °C"),
        (plain(1.0, "kW"), "1.0 kW"),
        (plain(80.0, "percent"), "80.0 %"),
    ],
)
def test_figures_carry_their_unit(written, expected):
    """Digits follow the size; minus is a true minus; a rounded zero has no sign."""
    assert written == expected


@pytest.mark.parametrize(
    ("seconds", "expected"),
    [(0.0, "0:00"), (59.6, "1:00"), (754.0, "12:34"), (3600.0, "1:00:00"), (3949.0, "1:05:49")],
)
def test_moments(seconds, expected):
    """Instants are minutes and seconds, hours from the first on."""
    assert moment(seconds) == expected


@pytest.mark.parametrize(
    ("seconds", "expected"),
    [(30.0, "30 s"), (119.0, "119 s"), (120.0, "2 min"), (7300.0, "2 h 02 min")],
)
def test_lengths(seconds, expected):
    """Lengths are told in the unit that people use for them."""
    assert lasting(seconds) == expected


def test_lists_are_joined_as_people_do():
    """Comma between, `and` before the last."""
    assert joined([]) == ""
    assert joined(["a"]) == "a"
    assert joined(["a", "b", "c"]) == "a, b and c"
