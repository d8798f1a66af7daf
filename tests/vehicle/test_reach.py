"""Working out what is within reach."""

import pytest

from thawline.vehicle.capabilities import Capabilities, Way, capabilities
from thawline.vehicle.reach import Reach, advice, is_key, meaning_of

TABLE = Capabilities(
    signals={name: (name,) for name in "abcdz"},
    quantities={
        "q": (Way(("a", "b"), "exactly"), Way(("c",), "roughly", "a stand-in")),
        "rough": (Way(("c",), "always roughly", "a prior"),),
    },
    meanings={"q": "a quantity", "rough": "a rough one"},
    told=(),
)


def reach(*there):
    return Reach(TABLE, frozenset(there))


def test_the_best_way_that_is_open_is_taken():
    """The first of those that lack nothing."""
    ways = (Way(("a",), "first"), Way(("b",), "second"))
    assert reach("a", "b").route(ways, is_rough=False).how == "first"
    assert reach("b").route(ways, is_rough=False).how == "second"


def test_what_is_missing_is_counted_down_to_the_signals():
    """A quantity lacks what its nearest way lacks."""
    route = reach("a").route((Way(("q", "d"), "both"),), is_rough=False)
    assert route.missing == ("b", "d")


def test_a_rough_quantity_makes_all_that_needs_it_rough():
    """And says why."""
    ways = (Way(("q", "a"), "by both"),)
    assert reach("a", "c").route(ways, is_rough=False).missing == ("b",)
    rough = reach("a", "c").route(ways, is_rough=True)
    assert (rough.missing, rough.because) == ((), ("a stand-in",))


def test_no_exact_way_at_all():
    """What is rough by nature can never be exact."""
    assert reach("c").route((Way(("rough",), "by it"),), is_rough=False) is None
    assert reach("c").route((Way(("rough",), "by it"),), is_rough=True).missing == ()


def test_a_special_way_is_used_but_not_advised():
    """Two usual signals are advised before one that few cars have."""
    ways = (Way(("a", "b"), "usual"), Way(("z",), "special", is_special=True))
    assert reach("z").route(ways, is_rough=False).how == "special"
    assert reach().route(ways, is_rough=False).missing == ("a", "b")


@pytest.mark.parametrize(
    ("names", "text"),
    [
        ((), ""),
        (("speed",), "map Speed"),
        (("[charger] efficiency",), "give [charger] efficiency"),
        (
            ("speed", "[pack] cells_in_series", "outside-air"),
            "map Speed and Exterior.AirTemperature and give [pack] cells_in_series",
        ),
    ],
)
def test_advice_names_paths_and_keys_as_the_file_has_them(names, text):
    """So that a person can write them down."""
    assert advice(names, capabilities()) == text


def test_meanings_are_those_of_the_catalogue_and_of_the_table_of_keys():
    """In words."""
    assert meaning_of("coldest-cell", capabilities()) == "temperature of the coldest cell"
    assert meaning_of("[pack] cells_in_series", capabilities()) == "cells in series"
    assert is_key("[pack] cells_in_series")
    assert not is_key("speed")
