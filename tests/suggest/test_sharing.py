import numpy as np

from tests.suggest import morning
from thawline.suggest.balance import Term
from thawline.suggest.likeness import group_loads
from thawline.suggest.sharing import share_out, warmed_by
from thawline.suggest.warming import find_warming

SEGMENT = np.zeros(morning.SECONDS, dtype=np.int64)


def shared(*names, loads=("heat", "cabin_heat")):
    temperatures = [morning.reading(n, "temperature", order=i) for i, n in enumerate(names)]
    terms = [
        Term(morning.reading(n, "power", order=20 + i), -1, 1.0, 0.5) for i, n in enumerate(loads)
    ]
    groups = group_loads(terms)
    warmed = warmed_by(temperatures, groups, SEGMENT)
    return share_out(find_warming(temperatures, SEGMENT)[0], groups, warmed, SEGMENT)


ALL = ("winding", "inlet", "outlet", "warmest", "mean", "coldest", "cabin", "outside")


def test_each_load_warms_its_own():
    """The drive unit's heat its winding, the heater the cabin; by a clear margin."""
    found = shared(*ALL)
    assert [one.reading.key for one in found.windings] == ["winding"]
    assert [one.reading.key for one in found.heats] == ["heat"]
    assert [one.reading.key for one in found.warmed] == ["cabin"]
    assert found.margin > 0.5


def test_the_cabins_heat_capacity_is_that_of_the_car():
    """60 kJ/K, as the morning was made with."""
    (cabin,) = shared(*ALL).warmed
    assert 55.0 < cabin.capacity_kJ_per_K < 65.0


def test_without_a_winding_the_load_heats_the_coolant():
    """The coolant carries heat in proportion to it; no winding is invented."""
    found = shared(*(name for name in ALL if name != "winding"))
    assert found.windings == ()
    assert [one.reading.key for one in found.coolant] == ["heat"]
