"""Notes on recordings."""

import pytest

from tests.library.made import a_morning
from thawline.errors import RequestError
from thawline.library.add import add_recording, remove
from thawline.library.library import open_library
from thawline.library.notes import add_note, notes


@pytest.fixture
def library(tmp_path):
    """A library with one morning in it."""
    opened = open_library(tmp_path)
    add_recording(opened, a_morning(), "key")
    return opened


def test_notes_come_back_in_order(library):
    """With their moments, or none."""
    written = [
        add_note(library, "gannet", 61.5, "  plugged in at the pier "),
        add_note(library, "gannet", None, "−12 °C, wind off the sea"),
    ]
    assert notes(library, "gannet") == written
    assert [(note.at_s, note.text) for note in written] == [
        (61.5, "plugged in at the pier"),
        (None, "−12 °C, wind off the sea"),
    ]


@pytest.mark.parametrize("moment", [-0.1, 599.1, float("nan"), float("inf")])
def test_a_moment_outside_the_recording_is_refused(library, moment):
    """The range is named, and nothing is written."""
    with pytest.raises(RequestError, match=r"must be in the recording.*\[0, 599\]"):
        add_note(library, "gannet", moment, "late")
    assert notes(library, "gannet") == []


def test_an_empty_note_is_refused(library):
    """A note must say something."""
    with pytest.raises(RequestError, match="must say something"):
        add_note(library, "gannet", None, " \n")


def test_notes_go_with_their_recording(library):
    """The same content, added again, has none."""
    add_note(library, "gannet", None, "gone soon")
    remove(library, "gannet")
    add_recording(library, a_morning(), "key")
    assert notes(library, "gannet") == []


def test_text_in_no_encoding_is_kept_as_far_as_it_can_be(library):
    """Bytes that a terminal passed on undecoded do not break the library."""
    add_note(library, "gannet", None, "pier \udcff 3")
    assert notes(library, "gannet")[0].text == "pier ? 3"
