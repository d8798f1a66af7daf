"""A warm-up taken apart."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thawline.compare.comparison import Row
from thawline.compare.warming import Warming, parts
from thawline.compare.words import reason_sentence

POSITIVE = st.floats(0.6, 20.0)


@settings(max_examples=60, deadline=None)
@given(POSITIVE, POSITIVE, POSITIVE, POSITIVE, st.floats(300.0, 4000.0), st.floats(300.0, 4000.0))
def test_parts_always_add_up(rise_a, rise_b, kW_a, kW_b, s_a, s_b):
    """Whatever the two warm-ups, the minutes sum to the difference of their times."""
    a, b = Warming(10.0, s_a, rise_a, -rise_a, kW_a), Warming(70.0, s_b, rise_b, -rise_b, kW_b)
    total = sum(part.minutes for part in parts(a, b))
    assert total == pytest.approx((b.wait_s + s_b - a.wait_s - s_a) / 60.0, abs=1e-6)


def test_half_the_heat_takes_twice_as_long():
    """With everything else the same, all of the difference is the heat's."""
    a, b = Warming(0.0, 600.0, 6.0, -6.0, 6.0), Warming(0.0, 1200.0, 6.0, -6.0, 3.0)
    minutes = {part.key: part.minutes for part in parts(a, b)}
    assert minutes["heat-power"] == pytest.approx(10.0)
    assert minutes["start-temperature"] == pytest.approx(0.0)
    assert minutes["heat-effect"] == pytest.approx(0.0, abs=1e-9)
    assert a.K_per_kWh == pytest.approx(6.0)


@pytest.mark.parametrize(("cabin_kWh", "is_named"), [(2.3, True), (0.0, False)])
def test_a_cabin_that_took_the_heat_is_named(cabin_kWh, is_named):
    """Where less heat went to the pack and more to the cabin, the reason names the cabin."""
    found = parts(Warming(0.0, 600.0, 6.0, -6.0, 7.0), Warming(0.0, 1200.0, 6.0, -6.0, 3.5))
    cabin = Row("energy-cabin-heating", "Energy", "cabin heating", "kWh", 0.0, cabin_kWh)
    said = reason_sentence("coldest-cell-thaws", found, None, cabin)
    assert said is not None and ("Cabin heating took 2.30 kWh" in said) == is_named
    turned = reason_sentence("coldest-cell-thaws", parts(*(Warming(0.0, s, 6.0, -6.0, kW)
                             for s, kW in ((1200.0, 3.5), (600.0, 7.0)))), None, cabin)  # fmt: skip
    assert turned is not None and "Cabin" not in turned
