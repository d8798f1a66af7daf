"""The command, run in its own small app: the large one is wired elsewhere."""

import json

import pytest
import typer
from typer.testing import CliRunner

from tests.export.kept import recording
from tests.export.round_trip import assert_reads_back
from thawline.cli import export
from thawline.errors import RequestError
from thawline.library.add import add_recording
from thawline.library.library import open_library
from thawline.library.load import load

app = typer.Typer()
app.command()(export.export)


@pytest.fixture
def library(tmp_path):
    add_recording(open_library(tmp_path / "kept"), recording(), "0" * 64)
    return tmp_path / "kept"


def run(*words):
    return CliRunner().invoke(app, [str(word) for word in words], catch_exceptions=False)


@pytest.mark.parametrize("name", ["a.mf4", "a.parquet", "a.csv"])
def test_the_suffix_decides_the_format(library, tmp_path, name):
    """What the library keeps comes back through our own readers."""
    done = run("gannet-1", tmp_path / name, "--library", library)
    assert done.exit_code == 0, done.stderr
    assert done.stdout == ""
    assert_reads_back(load(open_library(library), "gannet-1"), tmp_path / name)


def test_one_json_document(library, tmp_path):
    """The file, its format, and the channels in it."""
    done = run("gannet", tmp_path / "a.txt", "-f", "csv", "--library", library, "--json")
    document = json.loads(done.stdout)
    assert (document["recording"], document["format"]) == ("gannet-1", "csv")
    assert document["bytes"] == (tmp_path / "a.txt").stat().st_size
    assert len(document["channels"]) == 5


def test_a_file_is_not_replaced_unless_asked(library, tmp_path):
    """The one that is there stays."""
    (tmp_path / "a.csv").write_text("mine")
    with pytest.raises(RequestError, match=r"there already.*Add --force"):
        run("gannet-1", tmp_path / "a.csv", "--library", library)
    assert (tmp_path / "a.csv").read_text() == "mine"
    run("gannet-1", tmp_path / "a.csv", "--force", "--library", library)
    assert (tmp_path / "a.csv").read_text().startswith("Time [s]")


def test_a_recording_that_is_not_there(library, tmp_path):
    """The error is the library's, and no file is made."""
    with pytest.raises(RequestError):
        run("petrel", tmp_path / "a.csv", "--library", library)
    assert not (tmp_path / "a.csv").exists()
