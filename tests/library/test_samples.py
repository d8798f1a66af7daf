"""Samples in a Parquet file."""

import numpy as np
import polars as pl
import pytest

from tests.library.made import CABLE, COLDEST, VOLTAGE, a_morning
from thawline.errors import LibraryError
from thawline.library.samples import check_sum, from_parquet, lay_out, to_parquet


@pytest.fixture
def kept(tmp_path):
    """A file of three series, the middle one empty."""
    series = [np.arange(5.0), np.empty(0), np.array([-0.0, np.inf, 5e-324])]
    content = to_parquet(series)
    path = tmp_path / "samples.parquet"
    path.write_bytes(content)
    return path, check_sum(content), dict(enumerate(map(len, series))), series


def test_a_shared_clock_is_kept_once():
    """Two channels of one message have one clock; equal times count, not equal objects."""
    series, places = lay_out(a_morning().channels.values())
    assert len(series) == 2 + 3
    assert places == {COLDEST: (0, 2), VOLTAGE: (1, 3), CABLE: (0, 4)}


def test_every_bit_comes_back(kept):
    """Minus zero, infinity and the smallest number of all."""
    path, summed, lengths, series = kept
    found = from_parquet(path, summed, lengths, lengths)
    assert [found[number].tobytes() for number in lengths] == [s.tobytes() for s in series]


def test_only_what_is_wanted_is_given(kept):
    """Series by number."""
    path, summed, lengths, series = kept
    found = from_parquet(path, summed, lengths, {2})
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
    content = to_parquet([])
    (tmp_path / "s").write_bytes(content)
    assert from_parquet(tmp_path / "s", check_sum(content), {}, set()) == {}


def test_a_length_that_does_not_fit_is_damage(kept):
    """The document and the samples must tell the same."""
    path, summed, lengths, _ = kept
    with pytest.raises(LibraryError, match="are damaged"):
        from_parquet(path, summed, {**lengths, 0: 4}, lengths)
