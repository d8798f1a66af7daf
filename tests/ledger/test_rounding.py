"""Rounding by the Particle Data Group's rule (355 / 949)."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from thawline.ledger.rounding import decimals, plus_minus, rounded


@pytest.mark.parametrize(
    ("value", "sigma", "text"),
    [
        # Particle Data Group, Review of Particle Physics, Introduction, "Rounding" (quoted)
        (0.827, 0.119, ("0.83", "0.12")),
        (0.827, 0.367, ("0.8", "0.4")),
        # its three bands, by the rule
        (1.0, 0.0354, ("1.000", "0.035")),
        (1.0, 0.0355, ("1.00", "0.04")),
        (1.0, 0.0949, ("1.00", "0.09")),
        (1.0, 0.0950, ("1.00", "0.10")),
        (12345.0, 958.0, ("12300", "1000")),
        (1234.5, 35.5, ("1230", "40")),
    ],
)
def test_published_examples(value: float, sigma: float, text: tuple[str, str]) -> None:
    """The rule's own examples and its limits come out digit by digit."""
    assert rounded(value, sigma) == text


@settings(max_examples=200)
@given(st.floats(-1e4, 1e4), st.floats(1e-4, 0.9))
def test_equal_to_the_uncertainties_package(value: float, sigma: float) -> None:
    """The package that follows the same rule writes the same number."""
    theirs, _, their_error = f"{ufloat(value, sigma):f}".partition("+/-")
    number, error = rounded(value, sigma)
    assert float(error) == pytest.approx(float(their_error))
    ours = float(number.replace("−", "-"))
    assert abs(ours - float(theirs)) <= 10.0 ** -decimals(sigma) * 1.001  # ties may fall apart


def test_text_for_people() -> None:
    """A value is written with its unit, a true minus sign, and no sign on a rounded zero."""
    assert plus_minus(1.934, 0.061) == "1.93 ± 0.06 kWh"
    assert plus_minus(-0.1234, 0.0401) == "−0.12 ± 0.04 kWh"
    assert plus_minus(-0.001, 0.06) == "0.00 ± 0.06 kWh"
    assert plus_minus(3.0, 0.0) == "3.00 kWh"
