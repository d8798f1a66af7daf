from dataclasses import replace

import numpy as np
import pytest

from tests.suggest import morning
from thawline.suggest.balance import Term
from thawline.suggest.likeness import alike, group_loads, proportion

HEAT = morning.reading("heat", "power")


def test_the_winding_is_ahead_in_proportion_to_its_heat():
    """And not to the cabin's."""
    ahead = morning.curves()["winding"] - morning.curves()["inlet"]
    assert proportion(ahead, morning.curves()["heat"]) > 0.97
    assert proportion(ahead, morning.curves()["cabin_heat"]) < 0.6


def test_what_is_cooler_is_in_no_proportion():
    """A lead below zero is none."""
    assert proportion(np.full(100, -3.0), np.ones(100)) == 0.0


@pytest.mark.parametrize(("factor", "expected"), [(1.0, True), (0.8, True), (0.3, False)])
def test_twins_have_one_course_and_nearly_one_size(factor, expected):
    """Two drive units that heat alike."""
    assert alike(HEAT, replace(HEAT, key="other", values=HEAT.values * factor)) is expected


def test_loads_are_grouped_by_course():
    """Two alike make one group."""
    twin = replace(HEAT, key="twin", order=5)
    loads = [
        Term(one, -1, 1.0, 0.5)
        for one in (twin, morning.reading("cabin_heat", "power", order=2), HEAT)
    ]
    groups = [[term.reading.key for term in group] for group in group_loads(loads)]
    assert groups == [["heat", "twin"], ["cabin_heat"]]
