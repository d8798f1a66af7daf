"""Opening a library: where it is, and what is wrong with it."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from thawline.errors import LibraryError
from thawline.library.library import default_folder, open_library
from thawline.library.listing import listing

ROOT = Path(__file__).resolve().parents[2]


def test_opening_makes_the_folder(tmp_path):
    """With all that lies above it; a second opening finds the same."""
    library = open_library(tmp_path / "a" / "b")
    assert library.catalogue.is_file()
    assert open_library(tmp_path / "a" / "b") == library
    assert listing(library) == []


def test_the_environment_names_the_library(tmp_path, monkeypatch):
    """``THAWLINE_LIBRARY`` comes first; a path that is given comes before it."""
    monkeypatch.setenv("THAWLINE_LIBRARY", str(tmp_path / "named"))
    assert open_library().folder == tmp_path / "named"
    assert open_library(tmp_path / "given").folder == tmp_path / "given"


@pytest.mark.skipif(sys.platform != "linux", reason="folders of this platform")
def test_the_usual_folder_is_that_of_the_platform(tmp_path, monkeypatch):
    """XDG Base Directory Specification 0.8: $XDG_DATA_HOME, or ~/.local/share if it is empty."""
    monkeypatch.setenv("THAWLINE_LIBRARY", " ")
    monkeypatch.setenv("XDG_DATA_HOME", "")
    monkeypatch.setenv("HOME", str(tmp_path))
    assert open_library().folder == tmp_path / ".local" / "share" / "thawline"
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    assert default_folder() == tmp_path / "data" / "thawline"


def test_a_home_is_found(tmp_path, monkeypatch):
    """A tilde stands for the home folder."""
    monkeypatch.setenv("HOME", str(tmp_path))
    assert open_library(Path("~/kept")).folder == tmp_path / "kept"


@pytest.mark.parametrize("name", ["a b", "50%20 #1?mode=ro", "Möwe", "\udcff"])
def test_any_folder_name_will_do(tmp_path, name):
    """What means something in an address of a database means nothing here."""
    library = open_library(tmp_path / name)
    assert library.catalogue.is_file()
    assert [path.name for path in tmp_path.iterdir()] == [name]
    assert listing(library) == []


@pytest.mark.parametrize("below", ["", "deeper"])
def test_a_file_is_no_folder(tmp_path, below):
    """A path that is a file, or leads through one."""
    (tmp_path / "file").write_text("x")
    with pytest.raises(LibraryError, match=r"is a file, not a folder.*--library"):
        open_library(tmp_path / "file" / below)


def test_a_path_that_no_system_takes(tmp_path):
    """A NUL in a path is refused in words."""
    with pytest.raises(LibraryError, match="cannot be made"):
        open_library(tmp_path / "a\0b")


OPEN = """
import os, sys
from pathlib import Path
from thawline.errors import LibraryError
from thawline.library.library import open_library
if os.geteuid() == 0:
    os.setuid(65534)  # root may write anywhere; anyone else may not
try:
    open_library(Path(sys.argv[1]))
except LibraryError as error:
    print(error)
"""


@pytest.mark.skipif(os.name == "nt", reason="permissions of POSIX")
@pytest.mark.parametrize("exists", [True, False])
def test_a_folder_that_may_not_be_written(tmp_path, exists):
    """The message says so and names the way out."""
    folder = tmp_path / "library"
    if exists:
        open_library(folder)
    for path in (tmp_path, *tmp_path.rglob("*")):
        path.chmod(0o555 if path.is_dir() else 0o444)
    for parent in (tmp_path, tmp_path.parent, tmp_path.parent.parent):
        parent.chmod(0o555)
    try:
        said = subprocess.run(
            [sys.executable, "-c", OPEN, str(folder)],
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=True,
        ).stdout
    finally:
        for path in (tmp_path.parent.parent, tmp_path.parent, tmp_path, *tmp_path.rglob("*")):
            path.chmod(0o700)
    assert "ermission denied" in said
    assert "Choose a folder that is yours with --library or THAWLINE_LIBRARY" in said
