"""Looking up identifiers."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thawline.signals import lookup
from thawline.signals.lookup import places

numbers = st.integers(0, 0x7FF) | st.integers(0x8000_0000, 0x9FFF_FFFF)


@pytest.mark.parametrize("tries", [0, 60])
@given(known=st.sets(numbers, max_size=60), asked=st.lists(numbers, max_size=40), data=st.data())
def test_places_are_those_of_a_plain_search(tries, known, asked, data):
    """Known and unknown, standard and extended, with a table and without one."""
    if known:
        asked = asked + data.draw(st.lists(st.sampled_from(sorted(known)), max_size=20))
    ordered = sorted(known)
    expected = [ordered.index(number) if number in known else len(known) for number in asked]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(lookup, "TRIES", tries)
        lookup._table.cache_clear()
        found = places(np.array(asked, np.uint32), np.array(ordered, np.uint32))
    lookup._table.cache_clear()
    assert found.tolist() == expected


def test_a_large_database_is_looked_up_too():
    """Thousands of messages leave no room for slots of their own."""
    known = np.unique(np.random.default_rng(1).integers(0, 2**29, 9000).astype(np.uint32))
    assert np.array_equal(places(known, known), np.arange(len(known)))
