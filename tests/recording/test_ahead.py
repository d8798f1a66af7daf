"""Items are drawn ahead in a thread: in order, errors included, and the thread ends."""

import threading
from contextlib import closing

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thawline.recording.ahead import ahead


@settings(deadline=None)
@given(st.lists(st.integers(), max_size=20))
def test_items_come_in_order(items):
    """All of them, once."""
    assert list(ahead(iter(items))) == items


def test_an_error_comes_where_it_happened():
    """After the items before it; the iterator is closed."""
    closed = []

    def items():
        try:
            yield 1
            raise KeyError("broken")
        finally:
            closed.append(True)

    found = ahead(items())
    assert next(found) == 1
    with pytest.raises(KeyError, match="broken"):
        next(found)
    assert closed == [True] and not _threads()


def test_who_stops_early_leaves_no_thread_behind():
    """Even where the thread waits to hand an item over."""
    closed = []

    def items():
        try:
            while True:
                yield 1
        finally:
            closed.append(True)

    with closing(ahead(items())) as found:
        assert next(found) == 1
    assert closed == [True] and not _threads()


def _threads():
    return [t for t in threading.enumerate() if t.name == "read-ahead"]
