"""Temperatures on the clock and their rise."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, basis_made, recording
from thawline.ledger.temperatures import of_channel, pack_temperature, rise_of
from thawline.ledger.uncertain import deviation, nominal
from thawline.quantities import Accuracy

HEAD = BATTERY + "Temperature."


def warming(begin: float, by: float):
    return lambda t: begin + by * np.clip((t - 60.0) / 3400.0, 0.0, 1.0)


def test_the_mean_is_taken_first() -> None:
    """Of mean, coldest and warmest cell the mean is taken."""
    values = {HEAD + name: warming(-10.0, 8.0) for name in ("Min", "Max", "Average")}
    found = pack_temperature(basis_made(recording(values)))
    assert found is not None
    assert (found.weights, found.origin) == ({HEAD + "Average": 1.0}, "measured")


def test_the_middle_of_extremes_comes_second_and_one_extreme_last() -> None:
    """The fewer thermometers, the wider the rise."""
    both = {HEAD + "Min": warming(-10.0, 6.0), HEAD + "Max": warming(-8.0, 10.0)}
    middle = basis_made(recording(both))
    only = basis_made(recording({HEAD + "Min": warming(-10.0, 6.0)}))
    one, two = pack_temperature(only), pack_temperature(middle)
    assert one is not None
    assert two is not None
    assert nominal(rise_of(middle, two)) == pytest.approx(8.0)
    assert nominal(rise_of(only, one)) == pytest.approx(6.0)
    assert deviation(rise_of(only, one)) > deviation(rise_of(middle, two)) > 0.3


def test_no_temperature_is_none() -> None:
    """A pack without thermometers has no temperature."""
    basis = basis_made(recording({BATTERY + "CurrentCurrent": 1.0}))
    assert pack_temperature(basis) is None
    assert of_channel(basis, "Exterior.AirTemperature") is None


def test_a_zero_error_cancels_in_a_rise() -> None:
    """A thermometer that is 2 K off shows a rise to a quarter of that."""
    path = HEAD + "Average"
    made = recording({path: warming(-10.0, 8.0)}, accuracies={path: Accuracy(2.0, 0.0)})
    basis = basis_made(made)
    found = pack_temperature(basis)
    assert found is not None
    assert deviation(rise_of(basis, found)) == pytest.approx(0.5, rel=0.05)


def test_rounding_stays_in_a_rise() -> None:
    """Whole degrees at both ends leave 1 K times the root of two twelfths."""
    path = HEAD + "Average"
    whole = lambda t: np.round(warming(-10.0, 8.0)(t))  # noqa: E731  # used once
    basis = basis_made(recording({path: whole}, accuracies={path: Accuracy(1e-9, 0.0)}))
    found = pack_temperature(basis)
    assert found is not None
    assert deviation(rise_of(basis, found)) == pytest.approx(np.sqrt(1 / 6), rel=0.1)
