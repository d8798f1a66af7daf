from dataclasses import replace

import numpy as np
import pytest

from tests.suggest import morning
from thawline.suggest.balance import balance

SEGMENT = np.zeros(morning.SECONDS, dtype=np.int64)
NAMES = ("heat", "cabin_heat", "output", "charge_limit", "regeneration_limit")


def pack_kW():
    return -morning.rounded("voltage") * morning.rounded("current") / 1e3


def powers(*names, said=True):
    found = []
    for name in names:
        if said:
            found.append(morning.reading(name, "power"))
            continue
        # without a unit, values are tried as W and as kW
        for unit, scale in (("kW", 1.0), ("W", 1e3)):
            one = morning.reading(name, "power", said=False)
            values, step = morning.rounded(name) / scale, morning.UNITS[name][1] / scale
            found.append(replace(one, unit=unit, values=values, step=step))
    return found


@pytest.mark.parametrize("said", [True, False])
def test_charger_and_loads_make_up_the_packs_power(said):
    """Output counts +1, loads -1, limits not at all; units are told where none is stated."""
    found = balance(pack_kW(), powers(*NAMES, said=said), SEGMENT, frozenset())
    assert {term.reading.key: term.factor for term in found.terms} == {
        "heat": -1,
        "cabin_heat": -1,
        "output": 1,
    }
    assert found.explained > 0.99
    units = {term.reading.key: term.reading.unit for term in found.terms}
    assert units == {"heat": "kW", "cabin_heat": "W", "output": "kW"}


def test_what_is_left_is_the_load_that_never_rests():
    """The morning has a base load of 0.3 kW that no signal shows."""
    found = balance(pack_kW(), powers(*NAMES), SEGMENT, frozenset())
    assert float(np.mean(found.left_kW)) == pytest.approx(-0.3, abs=0.05)


def test_where_the_pack_rests_the_charger_is_explained_by_the_loads():
    """Before charging begins the pack gives a constant, and the charger what loads take."""
    still = np.full(morning.SECONDS, -0.3)
    heat, cabin = powers("heat", "cabin_heat")
    output = replace(heat, key="output", values=heat.values + cabin.values)
    found = balance(still, [heat, cabin, output], SEGMENT, frozenset())
    assert {term.reading.key: term.factor for term in found.terms} == {
        "output": 1,
        "heat": -1,
        "cabin_heat": -1,
    }


def test_loads_of_one_course_are_taken_together():
    """Three heaters that always run together: no fit tells them apart, all are loads."""
    heat = powers("heat")[0]
    parts = [
        replace(heat, key=f"part{i}", values=heat.values * share)
        for i, share in enumerate((0.5, 0.3, 0.2))
    ]
    found = balance(pack_kW(), [*parts, *powers("cabin_heat", "output")], SEGMENT, frozenset())
    assert {term.reading.key for term in found.loads} >= {"part0", "part1", "part2"}


def test_too_little_explained_is_no_balance():
    """A limit alone explains nothing, and nothing is forced."""
    found = balance(pack_kW(), powers("regeneration_limit"), SEGMENT, frozenset())
    assert found.terms == ()
