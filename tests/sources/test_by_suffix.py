"""The one door: what a file is, and one clear error for what is not read."""

from __future__ import annotations

import gzip
from pathlib import Path

import polars as pl
import pytest

from thawline.errors import SourceError
from thawline.sources.by_suffix import kind_of, open_source
from thawline.sources.table import Table

CANDUMP = b"(1700000000.000000) can0 1A2#00\n(1700000000.100000) can0 1A2#01\n"
TABLE = b"time;x\n0;1\n1;2\n"


@pytest.mark.parametrize("name", ["a.log", "a.txt", "a.csv", "a.asc", "a", "a.LOG"])
@pytest.mark.parametrize("pack", [bytes, gzip.compress])
def test_the_content_decides_what_a_file_is(tmp_path: Path, name: str, pack) -> None:
    """A log may be called anything, and so may a table."""
    path = tmp_path / name
    path.write_bytes(pack(CANDUMP))
    assert kind_of(path) == "frames"
    source = open_source(path)
    assert not isinstance(source, Table) and sum(len(batch) for batch in source) == 2
    path.write_bytes(pack(TABLE))
    assert kind_of(path) == "table"
    table = open_source(path)
    assert isinstance(table, Table) and table.columns["x"].values.tolist() == [1.0, 2.0]


def test_junk_before_the_first_frame_does_not_hide_a_log(tmp_path: Path) -> None:
    """Loggers write greetings."""
    path = tmp_path / "a.log"
    path.write_bytes(b"# logger 3, firmware 1.2\n\n" * 20 + CANDUMP)
    assert kind_of(path) == "frames"


def test_the_time_column_reaches_the_table_readers(tmp_path: Path) -> None:
    """For text and for Parquet."""
    pl.DataFrame({"k": [0.0, 2.0], "x": [1, 2]}).write_parquet(tmp_path / "a.parquet")
    (tmp_path / "a.csv").write_bytes(b"k,x\n0,1\n2,2\n")
    for name in ("a.parquet", "a.csv"):
        table = open_source(tmp_path / name, time_column="k")
        assert isinstance(table, Table) and table.columns["x"].t.tolist() == [0.0, 2.0]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "empty"),
        (b"\n  \r\n", "empty"),
        (b"\x00" * 5000, "empty"),
        (bytes(range(256)) * 30, "no text and no known log"),
        (b"PK\x03\x04" + b"x" * 100, "zip archive"),
        (b"%PDF-1.7 ...", "PDF"),
        (b"SQLite format 3\x00" + b"\x00" * 100, "SQLite"),
        (b'VERSION ""\nBU_: A\nBO_ 256 M: 8 A\n', "signal database.*--database"),
        (b'[vehicle]\nname = "Gannet"\n', "vehicle file.*--vehicle"),
        (b"only one column\nof words\n", "neither a log nor a table"),
        (gzip.compress(b"", mtime=0), "archive is empty or broken"),
        (b"\x28\xb5\x2f\xfd rubbish", "cannot be read"),
        (b"MDF     4.10    " + b"\x00" * 48, "MDF file is broken or cut off"),
        (b"PAR1 rubbish", "Parquet file is broken or cut off"),
    ],
)
def test_what_is_not_read_is_one_clear_error(tmp_path: Path, content: bytes, says: str) -> None:
    """Each names the file, says what it is, and what to do."""
    path = tmp_path / "a.log"
    path.write_bytes(content)
    with pytest.raises(SourceError, match=says) as caught:
        source = open_source(path)
        list(source)  # type: ignore[arg-type] # frames, if anything
    assert caught.value.file == path and caught.value.cure


def test_a_missing_file_and_a_directory_are_errors(tmp_path: Path) -> None:
    """Before anything is read."""
    with pytest.raises(SourceError, match="does not exist"):
        open_source(tmp_path / "nowhere.log")
    with pytest.raises(SourceError, match="directory"):
        open_source(tmp_path)


def test_a_name_with_pattern_signs_is_a_plain_name(tmp_path: Path) -> None:
    """``*`` and ``[`` in a name are no wild cards."""
    path = tmp_path / "morning[1]*.log"
    path.write_bytes(CANDUMP)
    assert sum(len(batch) for batch in open_source(path)) == 2  # type: ignore[union-attr] # frames
