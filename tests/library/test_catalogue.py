"""The catalogue: its layout, the way up to a newer one, and what is wrong with it."""

import sqlite3

import pytest

from tests.library.made import a_morning, differences
from thawline.errors import LibraryError
from thawline.library import catalogue
from thawline.library.add import add_recording
from thawline.library.catalogue import layout_known, reading, writing
from thawline.library.library import open_library
from thawline.library.listing import listing
from thawline.library.load import load
from thawline.library.notes import add_note


@pytest.fixture
def library(tmp_path):
    """A library with one morning in it."""
    opened = open_library(tmp_path / "library")
    add_recording(opened, a_morning(), "key")
    return opened


def one_more(monkeypatch, step):
    """Let the program know of one more step of the layout."""
    steps = (*catalogue._steps(), step)
    monkeypatch.setattr(catalogue, "_steps", lambda: steps)


def pragma(library, name):
    with reading(library) as rows:
        return rows.execute(f"PRAGMA {name}").fetchone()[0]


def test_the_catalogue_logs_ahead_and_says_whose_it_is(library):
    """Write-ahead logging; layout and owner in the file's header."""
    assert pragma(library, "journal_mode") == "wal"
    assert pragma(library, "user_version") == layout_known()
    assert pragma(library, "application_id") == catalogue.APPLICATION_ID
    with library.catalogue.open("rb") as file:
        assert file.read(16) == b"SQLite format 3\0"


def test_readers_do_not_wait_for_a_writer(library):
    """While one program writes, another reads the state before."""
    with writing(library) as rows:
        rows.execute("DELETE FROM recordings")
        assert len(listing(library)) == 1
    assert listing(library) == []


def test_a_block_that_fails_changes_nothing(library):
    """The transaction is taken back."""
    with pytest.raises(RuntimeError), writing(library) as rows:
        rows.execute("DELETE FROM recordings")
        raise RuntimeError
    assert len(listing(library)) == 1


def test_a_second_writer_is_told_to_wait(library):
    """After its patience ends, in words."""
    with (
        writing(library),
        pytest.raises(LibraryError, match="in use by another program"),
        writing(library, wait_s=0.0),
    ):
        pass


def test_an_older_catalogue_is_brought_up(library, monkeypatch):
    """A later version of ours adds a column; recordings and notes are still there."""
    add_note(library, "gannet", None, "kept")
    step = "ALTER TABLE notes ADD COLUMN author TEXT NOT NULL DEFAULT 'nobody; yet';\n"
    before = layout_known()
    one_more(monkeypatch, step)
    opened = open_library(library.folder)
    assert pragma(opened, "user_version") == before + 1
    with reading(opened) as rows:
        assert rows.execute("SELECT author, text FROM notes").fetchone()[:] == (
            "nobody; yet",
            "kept",
        )
    assert differences(a_morning(), load(opened, "gannet")) == []


def test_a_step_up_that_fails_leaves_the_old_layout(library, monkeypatch):
    """Half of a step is never kept."""
    step = "ALTER TABLE notes ADD COLUMN author TEXT;\nALTER TABLE nowhere ADD COLUMN x TEXT;\n"
    with monkeypatch.context() as patched:
        one_more(patched, step)
        with pytest.raises(LibraryError):
            open_library(library.folder)
    opened = open_library(library.folder)
    with reading(opened) as rows:
        columns = [row["name"] for row in rows.execute("PRAGMA table_info(notes)")]
    assert "author" not in columns
    assert len(listing(opened)) == 1


def test_a_catalogue_of_a_newer_version_is_refused(library):
    """Nothing is guessed; the way out is named."""
    with writing(library) as rows:
        rows.execute("PRAGMA user_version = 99")
    with pytest.raises(LibraryError, match=r"newer version of Thawline.*99.*up to date"):
        open_library(library.folder)


def test_a_catalogue_of_another_program_is_left_alone(tmp_path):
    """A database that is not ours is not written to."""
    other = sqlite3.connect(tmp_path / "catalogue.sqlite")
    other.execute("CREATE TABLE birds (name TEXT)")
    other.commit()
    other.close()
    with pytest.raises(LibraryError, match="belongs to another program"):
        open_library(tmp_path)


def test_a_damaged_catalogue_is_mended_as_the_message_says(library):
    """Rubbish in the file; moved away, the next opening makes it anew from the recordings."""
    library.catalogue.write_bytes(b"rubbish " * 4096)
    with pytest.raises(LibraryError, match=r"damaged.*move catalogue\.sqlite"):
        open_library(library.folder)
    for path in library.folder.glob("catalogue.sqlite*"):
        path.rename(library.folder / f"old-{path.name}")
    opened = open_library(library.folder)
    assert [entry.id for entry in listing(opened)] == [a_morning().id]
    assert differences(a_morning(), load(opened, "gannet")) == []


def test_a_page_of_rubbish_is_noticed_when_it_is_read(library):
    """Damage beyond the header is an error in words too."""
    connection = sqlite3.connect(library.catalogue)
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    content = bytearray(library.catalogue.read_bytes())
    content[4096:] = b"\xff" * (len(content) - 4096)
    library.catalogue.write_bytes(content)
    with pytest.raises(LibraryError, match="damaged"):
        listing(open_library(library.folder))
