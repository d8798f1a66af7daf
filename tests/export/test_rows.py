import numpy as np

from tests.export.kept import recording
from thawline.export import rows
from thawline.export.rows import blocks, lay_rows


def test_a_row_for_each_time_and_as_many_as_samples_share_it():
    """Two samples of one channel at one time need two rows; all rows are in order."""
    kept = recording()
    laid = lay_rows(kept)
    distinct = np.unique(np.concatenate([c.t for c in kept.channels.values()]))
    assert len(laid.t) == len(distinct) + 1
    assert np.all(np.diff(laid.t) >= 0.0)
    for place, channel in zip(laid.places, kept.channels.values(), strict=True):
        assert len(np.unique(place)) == len(channel.t)
        assert np.array_equal(laid.t[place], channel.t)


def test_blocks_put_together_are_the_whole(monkeypatch):
    """However small the blocks, they hold the same rows."""
    import polars as pl

    whole = pl.concat(blocks(recording()))
    monkeypatch.setattr(rows, "BLOCK", 7)
    parts = list(blocks(recording()))
    assert len(parts) > 50
    assert pl.concat(parts).equals(whole)
