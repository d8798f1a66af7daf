import pytest

from tests.export.kept import recording
from thawline.errors import RequestError
from thawline.export.by_format import write_recording
from thawline.export.whole import written_whole


def test_a_failure_in_the_middle_leaves_what_was_there(tmp_path):
    """The old file stays, and nothing half-written is left beside it."""
    target = tmp_path / "a.csv"
    target.write_text("old")
    with pytest.raises(ZeroDivisionError), written_whole(target) as place:
        place.write_text("half")
        raise ZeroDivisionError
    assert target.read_text() == "old"
    assert list(tmp_path.iterdir()) == [target]


def test_what_was_written_replaces_what_was_there(tmp_path):
    """The new file stands under the name asked for, alone."""
    target = tmp_path / "a.csv"
    target.write_text("old")
    with written_whole(target) as place:
        place.write_text("new")
    assert target.read_text() == "new"
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize(
    ("form", "suffix"), [("csv", ".csv"), ("parquet", ".parquet"), ("mdf", ".mf4")]
)
def test_places_that_cannot_be_written_are_one_clear_error(tmp_path, form, suffix):
    """A missing folder, or a folder in the file's place, is named with its cure."""
    with pytest.raises(RequestError, match=r"its folder does not exist\. Make the folder"):
        write_recording(recording(), tmp_path / "none" / f"a{suffix}", form)
    (tmp_path / f"b{suffix}").mkdir()
    with pytest.raises(RequestError, match="this is a folder"):
        write_recording(recording(), tmp_path / f"b{suffix}", form)


@pytest.mark.parametrize(
    ("form", "suffix"), [("csv", ".csv"), ("parquet", ".parquet"), ("mdf", ".mf4")]
)
def test_a_full_disk_is_one_clear_error(form, suffix):
    """Where the system refuses to write, the message says so and gives the cure."""
    from pathlib import Path

    if not Path("/proc/self").is_dir():
        pytest.skip("needs a folder in which nothing can be made")
    with pytest.raises(RequestError, match=r"cannot be written.*Choose a folder"):
        write_recording(recording(), Path(f"/proc/self/a{suffix}"), form)
