import numpy as np
import pytest

from tests.suggest import morning
from tests.suggest.looked import anchors, named, readings
from thawline.suggest.places import CHARGE_LIMIT, REGENERATION_LIMIT
from thawline.suggest.tell_limits import find_openings, opens_as_usual, tell_limits

COLDEST = morning.reading("coldest", "temperature")
LIMITS = ("regeneration_limit", "charge_limit")


def limits():
    return [morning.reading(name, "power", order=i) for i, name in enumerate(LIMITS)]


def test_limits_open_where_the_morning_has_it():
    """Regeneration at -1 °C, charging at 0.3 °C, in that order."""
    early, late = find_openings(limits(), COLDEST, frozenset())
    assert early.reading.key == "regeneration_limit"
    assert early.coldest_degC == pytest.approx(-1.0, abs=0.25)
    assert late.coldest_degC == pytest.approx(0.3, abs=0.25)


def test_both_limits_are_told():
    """By order and by where they open (common practice, no source)."""
    coldest = next(one.reading for one in anchors().warming.of("cells") if _is(one, "coldest"))
    votes = tell_limits(anchors(), coldest, readings()["power"], frozenset())
    best = named(votes)
    assert max(best[REGENERATION_LIMIT], key=best[REGENERATION_LIMIT].get) == "regeneration_limit"
    assert max(best[CHARGE_LIMIT], key=best[CHARGE_LIMIT].get) == "charge_limit"


def _is(one, name):
    return np.array_equal(one.reading.values, morning.rounded(name))


def test_a_load_is_no_limit():
    """It does not rise with the coldest cell."""
    heat = morning.reading("heat", "power")
    assert find_openings([heat], COLDEST, frozenset()) == []


def test_the_right_unit_lets_limits_open_near_freezing():
    """In degF taken for degC they would open at 30 and 33 degrees."""
    from dataclasses import replace

    wrong = replace(COLDEST, values=COLDEST.values * 1.8 + 32.0)
    assert opens_as_usual(COLDEST, limits(), frozenset()) > 1.0
    assert opens_as_usual(wrong, limits(), frozenset()) < 0.0
