"""Who gets what of the supply in a look ahead."""

from types import SimpleNamespace

import numpy as np
import pytest

from thawline.forecast.allowed import TemperatureLimit
from thawline.forecast.supply_ahead import allowed_now, charging_ahead, heat_kept

ONE = np.ones((1, 1))
LIMIT = TemperatureLimit(0.0, 0.3, (0.0, 1.0), (0.0, 2.0), 0.5, "common practice")
HERE = ONE > 0.0


def one(found: np.ndarray) -> float:
    """The only number."""
    return float(found[0, 0])


def habits(**other: object) -> SimpleNamespace:
    """What one member does: charging from 0 °C, 5 kW from a charger of 90 %."""
    known = {
        "charging_degC": 0.0 * ONE,
        "charging": LIMIT,
        "charging_off": 0.0 * ONE,
        "ceiling_kW": 5.0 * ONE,
        "efficiency": 0.9 * ONE,
        "charges_first": HERE,
    }
    return SimpleNamespace(**(known | other))


def test_nothing_is_allowed_below_and_more_above():
    """The limit leaves zero where it begins."""
    curve = LIMIT.curve(0.0 * ONE)
    assert allowed_now(habits(), -0.5 * ONE, curve) is None
    some = allowed_now(habits(), np.array([[-0.5, 1.0]]), curve)
    assert some is not None and some.tolist() == [[0.0, pytest.approx(2.0)]]


def test_where_nothing_is_allowed_only_loads_are_drawn():
    """No member may be charged: the same as a limit of zero."""
    for other in ({}, {"ceiling_kW": None}):
        none, zero = (
            charging_ahead(habits(**other), HERE, limit, 4.0 * ONE) for limit in (None, 0.0 * ONE)
        )
        assert one(none[0]) == one(zero[0]) == 0.0
        assert one(none[1]) == one(zero[1]) > 4.0


def test_loads_come_first_and_the_pack_gets_the_rest():
    """4.5 kW behind the charger: 4 kW of loads leave 0.5; 6 kW leave nothing and draw it all."""
    charge, drawn = charging_ahead(habits(), HERE, 2.0 * ONE, 4.0 * ONE)
    assert one(charge) == pytest.approx(0.5)
    assert one(drawn) == pytest.approx(5.0)
    charge, drawn = charging_ahead(habits(), HERE, 2.0 * ONE, 6.0 * ONE)
    assert (one(charge), one(drawn)) == (0.0, 5.0)


def test_heat_yields_to_charging_where_that_comes_first():
    """With 2 kW allowed, 4.2 kW of heat go down to what 4.5 kW leave; never to nothing."""
    kept = heat_kept(habits(), HERE, 2.0 * ONE, 4.2 * ONE, 0.3 * ONE)
    assert one(kept * 4.2) == pytest.approx(4.5 - 0.3 - 2.0)
    least = heat_kept(habits(), HERE, 20.0 * ONE, 4.2 * ONE, 0.3 * ONE)
    assert 0.2 < one(least) < 0.6


def test_heat_goes_on_where_it_comes_first_or_nothing_is_allowed():
    """Neither a car that heats first nor one whose limit is zero gives heat away."""
    first = habits(charges_first=~HERE)
    assert one(heat_kept(first, HERE, 2.0 * ONE, 4.2 * ONE, 0.3 * ONE)) == 1.0
    assert one(heat_kept(habits(), HERE, 0.0 * ONE, 4.2 * ONE, 0.3 * ONE)) == 1.0
