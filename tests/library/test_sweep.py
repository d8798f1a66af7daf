"""What a kill or a lost catalogue left is cleared, and nothing else."""

import shutil

import pytest

from tests.library.made import a_morning, differences
from thawline.library.add import add_recording
from thawline.library.catalogue import writing
from thawline.library.folder import DOCUMENT, UNSETTLED, pack, put
from thawline.library.library import open_library
from thawline.library.listing import listing
from thawline.library.load import load


@pytest.fixture
def library(tmp_path):
    """A library with one morning in it."""
    opened = open_library(tmp_path / "library")
    add_recording(opened, a_morning(), "key")
    return opened


def half_added(library, name="petrel", key="half"):
    """Samples that were written, but that the catalogue never heard of."""
    return put(library, pack(a_morning(name), key, 0.0))


def test_what_was_half_written_is_deleted(library):
    """A folder that was never moved, and one that was moved but not entered."""
    (library.incoming / "partly").mkdir()
    (library.incoming / "partly" / "samples.parquet").write_bytes(b"PAR1")
    half_added(library)
    opened = open_library(library.folder)
    assert [entry.id for entry in listing(opened)] == [a_morning().id]
    assert len(list(opened.recordings.iterdir())) == 1
    assert not any(opened.incoming.iterdir())


def test_nothing_is_swept_under_a_program_that_is_adding(library):
    """While another holds the catalogue, its unfinished folder is not a leftover."""
    with writing(library):
        folder = half_added(library)
        open_library(library.folder)
        assert (folder / DOCUMENT).exists()
    open_library(library.folder)
    assert not folder.exists()


def test_a_recording_that_was_entered_but_not_marked_is_kept(library):
    """Killed between the catalogue's change and the last mark."""
    (folder,) = library.recordings.iterdir()
    (folder / UNSETTLED).touch()
    opened = open_library(library.folder)
    assert not (folder / UNSETTLED).exists()
    assert differences(a_morning(), load(opened, "gannet")) == []


def test_an_old_catalogue_that_was_put_back_learns_of_later_recordings(library, tmp_path):
    """Recordings that it never knew stand for themselves and are taken in."""
    backup = tmp_path / "backup"
    shutil.copytree(library.folder, backup)
    add_recording(library, a_morning("petrel-1"), "later")
    for path in library.folder.glob("catalogue.sqlite*"):
        path.unlink()
    for path in backup.glob("catalogue.sqlite*"):
        shutil.copy(path, library.folder)
    opened = open_library(library.folder)
    assert {entry.id for entry in listing(opened)} == {a_morning().id, "petrel-1"}
    assert listing(opened)[0].samples == 2400


def test_a_folder_that_cannot_be_read_is_never_deleted(library):
    """It is unknown, but it was whole once: a person may still want it."""
    folder = library.recordings / "foreign"
    folder.mkdir()
    (folder / DOCUMENT).write_text("{}")
    for _ in range(2):
        opened = open_library(library.folder)
    assert (folder / DOCUMENT).read_text() == "{}"
    assert len(listing(opened)) == 1


def test_a_copy_of_a_folder_is_not_a_second_recording(library):
    """The same content is there already."""
    (folder,) = library.recordings.iterdir()
    shutil.copytree(folder, library.recordings / "copy")
    assert len(listing(open_library(library.folder))) == 1
