"""Sums of content, and names of recordings."""

import bz2
import gzip
import hashlib
import lzma

import pytest

from thawline.errors import SourceError
from thawline.library.content import content_key, recording_id

LOG = b"(1768630320.250000) can0 123#0011223344556677\n" * 50_000


@pytest.fixture
def files(tmp_path):
    """A log, another log and a database."""
    paths = [tmp_path / name for name in ("a.log", "b.log", "car.dbc")]
    for path, content in zip(paths, (LOG, b"other\n", b'VERSION ""\n'), strict=True):
        path.write_bytes(content)
    return paths


def test_the_sum_is_that_of_the_parts(files):
    """Rebuilt here with hashlib alone: counts, sums of files, counts, sums, sum of the mapping."""
    log, other, database = (hashlib.sha256(path.read_bytes()).digest() for path in files)
    eight = [number.to_bytes(8, "big") for number in (2, 1)]
    mapping = hashlib.sha256(b"[vehicle]\nname = 1").digest()
    parts = eight[0] + log + other + eight[1] + database + mapping
    expected = hashlib.sha256(parts).hexdigest()
    assert content_key(files[:2], "[vehicle]\r\nname = 1\r\n", files[2:]) == expected


@pytest.mark.parametrize("pack", [gzip.compress, bz2.compress, lzma.compress])
def test_a_log_and_its_compressed_copy_are_the_same(files, tmp_path, pack):
    """What is in a file counts, not how it is packed nor what it is called."""
    packed = tmp_path / "any.name"
    packed.write_bytes(pack(LOG))
    assert content_key([packed], "x", []) == content_key(files[:1], "x", [])


def test_a_compressed_file_that_is_cut_short_still_has_a_sum(files, tmp_path):
    """It is its own content, different from the whole."""
    cut = tmp_path / "cut.log.gz"
    cut.write_bytes(gzip.compress(LOG)[:-20])
    assert content_key([cut], "x", []) != content_key(files[:1], "x", [])
    assert content_key([cut], "x", []) == content_key([cut], "x", [])


def test_order_mapping_and_database_count(files):
    """Each of them makes another recording."""
    a, b, database = files
    keys = {
        content_key([a, b], "x", [database]),
        content_key([b, a], "x", [database]),
        content_key([a, b], "y", [database]),
        content_key([a, b], "x", []),
        content_key([a], "x", [b, database]),
    }
    assert len(keys) == 5


def test_a_missing_file_is_named(tmp_path):
    """A clear error, not a traceback."""
    with pytest.raises(SourceError, match=r"none\.log: cannot be read: No such file"):
        content_key([tmp_path / "none.log"], "", [])


@pytest.mark.parametrize(
    ("vehicle", "start", "name"),
    [
        ("Gannet", 1_768_630_320.25, "gannet-20260117-0612-3f9a1c"),
        ("  Möwe / No. 2 ", 0.0, "mowe-no-2-19700101-0000-3f9a1c"),
        ("海鸥", 59.9, "vehicle-19700101-0000-3f9a1c"),
        ("Gannet", float("nan"), "gannet-undated-3f9a1c"),
        ("Gannet", 1e18, "gannet-undated-3f9a1c"),
    ],
)
def test_names_can_be_read(vehicle, start, name):
    """Vehicle, start in UTC, sum; safe in a shell and on any disk."""
    assert recording_id(vehicle, start, "3f9a1c" + "0" * 58) == name
