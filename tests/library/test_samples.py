"""Samples in a Parquet file."""

import numpy as np
import polars as pl
import pytest

from tests.library.made import CABLE, COLDEST, VOLTAGE, a_morning
from thawline.errors import LibraryError
from thawline.library import samples as samples_module
from thawline.library.samples import check, check_sum, from_parquet, lay_out, to_parquet


@pytest.fixture(params=[False, True], ids=["in-memory", "piece-by-piece"])
def kept(request, tmp_path, monkeypatch):
    """A file of three series, the middle one empty."""
    if request.param:
        monkeypatch.setattr(samples_module, "MANY", 4)
        monkeypatch.setattr(samples_module, "ROW_GROUP", 2)
    series = [np.arange(5.0), np.empty(0), np.array([-0.0, np.inf, 5e-324])]
    content = to_parquet(series, tmp_path)
    assert list(tmp_path.iterdir()) == [], "a file on its way has no name"
    path = tmp_path / "samples.parquet"
    path.write_bytes(content.read())
    summed = check_sum(content)
    content.close()
    return path, summed, dict(enumerate(map(len, series))), series


def test_a_shared_clock_is_kept_once():
    """Two channels of one message have one clock; equal times count, not equal objects."""
    series, places = lay_out(a_morning().channels.values())
    assert len(series) == 2 + 3
    assert places == {COLDEST: (0, 2), VOLTAGE: (1, 3), CABLE: (0, 4)}


def test_every_bit_comes_back(kept):
    """Minus zero, infinity and the smallest number of all."""
    path, summed, lengths, series = kept
    check(path, summed)
    found = from_parquet(path, lengths, lengths)
    assert [found[number].tobytes() for number in lengths] == [s.tobytes() for s in series]


def test_only_what_is_wanted_is_given(kept):
    """Series by number."""
    path, _, lengths, series = kept
    found = from_parquet(path, lengths, {2})
    assert list(found) == [2]
    assert np.array_equal(found[2], series[2])


def test_others_can_read_the_file(kept):
    """It is plain Parquet, compressed with zstd: columns ``series`` and ``x``, in order."""
    path, _, _, series = kept
    rows = pl.read_parquet(path)
    assert rows.schema == {"series": pl.UInt32, "x": pl.Float64}
    assert rows["series"].to_list() == [0] * 5 + [2] * 3
    assert np.array_equal(rows["x"].to_numpy(), np.concatenate(series))
    assert path.read_bytes()[:4] == b"PAR1"


def test_a_recording_without_any_sample_can_be_kept(tmp_path):
    """No series at all."""
    (tmp_path / "s").write_bytes(to_parquet([]).read())
    assert from_parquet(tmp_path / "s", {}, set()) == {}


def test_a_length_that_does_not_fit_is_damage(kept):
    """The document and the samples must tell the same."""
    path, _, lengths, _ = kept
    with pytest.raises(LibraryError, match="are damaged"):
        from_parquet(path, {**lengths, 0: 4}, lengths)


def test_a_changed_byte_or_a_missing_file_is_damage(kept):
    """The sum tells, whatever the byte."""
    path, summed, _, _ = kept
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.write_bytes(content)
    with pytest.raises(LibraryError, match="are damaged"):
        check(path, summed)
    path.unlink()
    with pytest.raises(LibraryError, match="cannot be read"):
        check(path, summed)
