"""Limits by temperature, and what the display hides."""

import pytest

from thawline.simulator.limits import Display, Limits

LIMITS = Limits()


def test_regeneration_returns_at_about_one_below():
    """Common practice, no source: a first trickle at a coldest cell of about -1 °C."""
    assert LIMITS.regeneration_kW(-1.01, 0.6) == 0.0
    assert 0.0 < LIMITS.regeneration_kW(-0.99, 0.6) < 1.0


def test_fifteen_kilowatts_come_with_five_and_a_half_kelvins():
    """Common practice, no source: about 15 kW of regeneration 5.6 K above."""
    assert LIMITS.regeneration_kW(-1.0 + 5.6, 0.6) == pytest.approx(15.0, abs=0.5)


def test_charging_waits_until_just_above_freezing():
    """Common practice, no source, and the JEITA/BAJ guideline of 2007: nothing below 0 °C."""
    assert LIMITS.charging_kW(0.0, 0.6) == 0.0
    assert 0.0 < LIMITS.charging_kW(0.5, 0.6) < 2.0


def test_a_full_pack_takes_nothing_back():
    """Close to full, charging and regeneration are taken back to nothing."""
    assert LIMITS.regeneration_kW(25.0, 1.0) == LIMITS.charging_kW(25.0, 1.0) == 0.0
    assert LIMITS.charging_kW(25.0, 0.97) < LIMITS.charging_kW(25.0, 0.5)


def test_cold_and_empty_packs_give_less():
    """The discharge limit rises with the coldest cell and falls when the pack is empty."""
    assert LIMITS.discharge_kW(-20.0, 0.5) == pytest.approx(0.4 * 180.0)
    assert LIMITS.discharge_kW(10.0, 0.5) == pytest.approx(180.0)
    assert LIMITS.discharge_kW(10.0, 0.05) == pytest.approx(90.0)


def test_the_cold_hides_three_or_four_points():
    """Common practice, no source: three or four points come back from -9 to about +3 °C."""
    display = Display()
    assert 3.0 <= display.hidden_pct(-9.0) - display.hidden_pct(3.0) <= 4.5
    assert display.hidden_pct(20.0) == 0.0
