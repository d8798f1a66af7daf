"""Copper windings against the resistance method's published numbers."""

from __future__ import annotations

import pytest

from thawline.physics.copper import resistance_ratio, winding_temperature_degC


def test_resistance_method() -> None:
    """10 to 12 ohm from -20 degC means 23.0 degC (IEC 60034-1 form with k = 235; computed)."""
    assert winding_temperature_degC(12.0, 10.0, -20.0) == pytest.approx(23.0, abs=1e-9)


def test_cold_copper_heats_less() -> None:
    """At one current, copper at -20 degC gives 16 % less heat than at 20 degC (computed)."""
    assert resistance_ratio(-20.0, 20.0) == pytest.approx(0.843, abs=5e-4)


def test_slope_is_the_handbook_coefficient() -> None:
    """Near 20 degC resistance rises by 0.00393 per kelvin (handbooks; quoted)."""
    assert resistance_ratio(21.0) - resistance_ratio(20.0) == pytest.approx(0.00393, abs=2e-5)


def test_there_and_back() -> None:
    """The temperature read from a ratio is the one that the ratio was made with."""
    ratio = resistance_ratio(77.0, -12.0)
    assert winding_temperature_degC(ratio, 1.0, -12.0) == pytest.approx(77.0)
