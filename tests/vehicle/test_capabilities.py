"""The table of what can be told, held against the lists that the other rooms work by."""

import pytest

from thawline.ledger.ledger import ELECTRICAL, HEAT
from thawline.signals.catalogue import catalogue
from thawline.story.story import KINDS, LANES
from thawline.vehicle.capabilities import capabilities
from thawline.vehicle.check_show import GROUPS
from thawline.vehicle.keys import keys

TABLE = capabilities()
WAYS = [
    *((told.name, way) for told in TABLE.told for way in told.ways),
    *((name, way) for name, ways in TABLE.quantities.items() for way in ways),
]


def names(group):
    return [told.name for told in TABLE.told if told.group == group]


def test_every_turning_point_lane_and_line_is_in_the_table():
    """Once each, and no others."""
    assert sorted(names("turning-point")) == sorted(KINDS)
    assert sorted(names("lane")) == sorted(LANES)
    assert sorted(names("electrical")) == sorted(ELECTRICAL)
    assert sorted(names("heat")) == sorted(HEAT)
    assert names("charge") == ["shown", "charged", "warmed-back"]
    assert names("why-not") == ["charging", "regeneration", "pack-heating"]
    assert {told.group for told in TABLE.told} == set(GROUPS)


def test_every_path_is_in_the_catalogue():
    """A short name stands for paths that exist."""
    assert {path for paths in TABLE.signals.values() for path in paths} <= set(catalogue())


@pytest.mark.parametrize(("name", "way"), WAYS, ids=[name for name, _ in WAYS])
def test_every_need_has_a_meaning(name, way):
    """A signal, a quantity or a key of the vehicle file; never the thing itself."""
    places = {key.place for key in keys().values()}
    for need in way.needs:
        assert need in TABLE.signals or need in TABLE.quantities or need in places
        assert need != name or name not in TABLE.quantities


def test_every_signal_of_the_table_is_used():
    """A short name that no way needs would never be asked for."""
    needed = {need for _, way in WAYS for need in way.needs}
    assert set(TABLE.signals) <= needed
    assert set(TABLE.quantities) == set(TABLE.meanings) <= needed
