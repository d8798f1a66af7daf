"""The shelf: recordings are explained once, looked at twice, and do not fill the memory."""

import threading
import time

import pytest

from tests.web.conftest import FIRST, SECOND, filled
from thawline.errors import RequestError
from thawline.library.add import remove
from thawline.library.notes import add_note
from thawline.web import shelf as shelves
from thawline.web.shelf import Shelf


@pytest.fixture
def library(tmp_path):
    return filled(tmp_path)


@pytest.fixture
def shelf(library):
    opened = Shelf(library)
    yield opened
    opened.close()


def test_two_who_ask_at_once_get_the_same_look(shelf):
    """It is not explained twice."""
    asked = [shelf.ask(FIRST) for _ in range(4)]
    assert len({id(each) for each in asked}) == 1
    assert shelf.ask(FIRST).result().explained.recording.id == FIRST


def test_a_second_look_holds_it_against_other_mornings(shelf):
    """The first look is quick; what other mornings teach comes behind it."""
    first = shelf.ask(FIRST).result()
    assert not first.is_whole
    for _ in range(600):
        if shelf.ask(FIRST).result().is_whole:
            break
        time.sleep(0.05)
    whole = shelf.ask(FIRST).result()
    assert whole.is_whole and whole.explained.recording.id == FIRST


def test_a_new_note_is_there_without_a_new_look(shelf, library):
    """Notes are those of now."""
    shelf.take(FIRST)
    add_note(library, FIRST, 60.0, "Snow on the roof.")
    assert [note.text for note in shelf.take(FIRST).explained.notes] == ["Snow on the roof."]


def test_what_was_removed_is_gone(shelf, library):
    """Another program may take a recording out meanwhile."""
    shelf.take(FIRST)
    remove(library, FIRST)
    with pytest.raises(RequestError, match="there is no recording"):
        shelf.take(FIRST)


def test_memory_is_bounded(shelf, monkeypatch):
    """The recording that was longest not asked for makes room; one always stays."""
    monkeypatch.setattr(shelves, "MOST_SAMPLES", 1)
    shelf.take(FIRST)
    shelf.take(SECOND)
    for _ in range(200):
        if len(shelf._held) == 1:
            break
        time.sleep(0.05)
    assert len(shelf._held) == 1


def test_looking_ahead_stops_when_told(shelf):
    """Ending the pages does not wait for a whole library."""
    stop = threading.Event()
    stop.set()
    shelf.look_ahead([FIRST], stop.is_set)
    assert shelf.seen(FIRST) is None
    shelf.look_ahead(["none", FIRST], lambda: False)
    assert shelf.seen(FIRST) is not None
