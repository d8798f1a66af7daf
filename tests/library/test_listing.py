"""Lists of recordings, and finding one by its name."""

import pytest

from tests.library.made import a_morning, named
from thawline.errors import RequestError
from thawline.library.add import add_recording
from thawline.library.library import open_library
from thawline.library.listing import find, find_content, listing
from thawline.library.notes import add_note
from thawline.vehicle.vehicle import Pack, Vehicle

FIRST = "gannet-20260117-0612-3f9a1c"
SECOND = "gannet-20260118-0555-77b2d0"
THIRD = "petrel-20260118-0603-0c41ee"


@pytest.fixture
def library(tmp_path):
    """A library with three mornings of two vehicles."""
    opened = open_library(tmp_path / "library")
    morning = a_morning()
    petrel = Vehicle("Petrel", Pack(58.0))
    for name, start, vehicle in (
        (THIRD, 1_768_716_180.0, petrel),
        (FIRST, 1_768_630_320.0, morning.vehicle),
        (SECOND, 1_768_715_700.0, morning.vehicle),
    ):
        add_recording(opened, named(morning, id=name, starts_at=start, vehicle=vehicle), name)
    add_note(opened, SECOND, None, "Snow on the Harbour road")
    return opened


def names(entries):
    return [entry.id for entry in entries]


def test_recordings_are_listed_in_order_of_their_start(library):
    """Whatever the order in which they were added."""
    assert names(listing(library)) == [FIRST, SECOND, THIRD]


def test_an_entry_tells_what_is_kept(library):
    """Counts are those of the recording."""
    entry = listing(library)[1]
    assert (entry.vehicle, entry.duration_s, entry.starts_at) == ("Gannet", 599.0, 1_768_715_700.0)
    assert (entry.frames, entry.frames_left_out) == (12_345, 3)
    assert (entry.channels, entry.samples, entry.notes) == (3, 600 + 1200 + 600, 1)


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({"vehicle": "petrel "}, [THIRD]),
        ({"since": 1_768_715_700.0}, [SECOND, THIRD]),
        ({"until": 1_768_715_700.0}, [FIRST]),
        ({"text": "harbour SNOW"}, [SECOND]),
        ({"text": "0603"}, [THIRD]),
        ({"text": "%"}, []),
        ({"vehicle": "Gannet", "text": "0118"}, [SECOND]),
    ],
)
def test_filters_choose(library, asked, found):
    """Vehicle, time and words in names and notes."""
    assert names(listing(library, **asked)) == found


@pytest.mark.parametrize("given", [FIRST, "gannet-20260117", "GANNET-20260117 "])
def test_the_beginning_of_a_name_is_enough(library, given):
    """If no other begins so; upper or lower case."""
    assert find(library, given) == FIRST


def test_a_name_that_begins_another_is_that_recording(tmp_path):
    """An exact name wins over names that begin with it."""
    library = open_library(tmp_path)
    for name in ("gannet-1", "gannet-12"):
        add_recording(library, named(a_morning(), id=name), name)
    assert find(library, "gannet-1") == "gannet-1"


def test_several_that_begin_so_are_all_named(library):
    """The person sees what to choose from."""
    with pytest.raises(RequestError, match=f"2 recordings begin with 'gannet'.*{FIRST}.*{SECOND}"):
        find(library, "gannet")


@pytest.mark.parametrize("given", ["petrel-20260118-0603-0c41ef", "0c41ee", "petrl-2026"])
def test_a_wrong_name_gets_near_ones(library, given):
    """A slip, or a part that is not the beginning."""
    with pytest.raises(RequestError, match=f"Near it: .*{THIRD}"):
        find(library, given)


@pytest.mark.parametrize("given", ["", "xyzzy"])
def test_a_name_like_no_other_gets_what_is_there(library, given):
    """Nothing is near, so all are named."""
    with pytest.raises(RequestError, match=f"There are {FIRST}"):
        find(library, given)


def test_content_is_found_by_its_sum(library):
    """The name of the recording made from it, or None."""
    assert find_content(library, SECOND) == SECOND
    assert find_content(library, "other") is None
