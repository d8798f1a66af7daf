"""What must hold of any plan: cold, time and supply pull the way they must."""

import itertools

import numpy as np
import pytest

from tests.plan.made import asked, sure_car
from thawline.plan.alternatives import simple_programmes
from thawline.plan.bench import lay_out
from thawline.plan.secure import all_out, secure, tried

#: A solver's tolerance and steps of five minutes: a plan may miss the least cost by so much [1].
TOLERANCE = 0.03
MEMBERS = 48


def cost(**changes: object) -> float:
    """The cost of a plan that is ready."""
    found = secure(lay_out(sure_car(), asked(**changes), members=MEMBERS))
    assert found.is_ready
    return found.best.bill.counts


def test_colder_is_never_cheaper():
    """The same wishes cost more the colder it is."""
    costs = [
        cost(outside=degC, regeneration=8.0, cabin=20.0, charge=54.0) for degC in (-2, -8, -14)
    ]
    assert all(b >= a * (1.0 - TOLERANCE) for a, b in itertools.pairwise(costs))
    assert costs[-1] > 1.2 * costs[0]


def test_more_supply_is_never_dearer():
    """A stronger supply gives every plan of a weaker one, and perhaps a cheaper one."""
    costs = [cost(amps=amps, hours=4.0, charge=53.0, cabin=19.0) for amps in (16.0, 24.0, 40.0)]
    assert all(b <= a * (1.0 + TOLERANCE) for a, b in itertools.pairwise(costs))


def test_later_is_never_less_ready():
    """Asking for everything from the same start, a later departure is at least as sure."""
    chances = []
    for hours in (0.75, 1.25, 2.0, 3.0):
        request = asked(hours=hours, charge=55.0, regeneration=8.0, amps=20.0)
        bench = lay_out(sure_car(), request, members=MEMBERS)
        chances.append(tried(bench, all_out(bench)).chance)
    assert chances == sorted(chances)
    assert chances[0] < 0.1
    assert chances[-1] > 0.9


@pytest.mark.parametrize("wish", [{"charge": 54.0}, {"charge": None, "regeneration": 8.0},
                                  {"charge": 53.0, "cabin": 20.0, "glass": True}])  # fmt: skip
def test_a_plan_is_never_dearer_than_a_simple_way_that_is_ready(wish):
    """Leaving cold, warming for some minutes, charging to the end: no better way is simple."""
    bench = lay_out(sure_car(), asked(hours=3.0, **wish), members=MEMBERS)
    simple = [programme for _, programme in simple_programmes(bench).values()]
    found = secure(bench, simple)
    others = [tried(bench, programme) for programme in simple]
    ready = [other.bill.counts for other in others if other.chance >= found.best.chance]
    assert found.is_ready
    assert all(found.best.bill.counts <= other + 1e-9 for other in ready)


def test_a_free_wish_costs_nothing():
    """A car that is ready as it stands is asked for nothing."""
    bench = lay_out(sure_car(), asked(outside=12.0, charge=45.0, regeneration=8.0), members=MEMBERS)
    found = secure(bench)
    assert found.is_ready
    assert found.best.bill.counts == pytest.approx(0.0, abs=1e-6)
    assert not np.any(found.best.programme.heat)
