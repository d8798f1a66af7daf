"""Compare a recording with what the readers of tables read back."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from thawline.quantities import converter
from thawline.recording.recording import Recording
from thawline.sources.by_suffix import open_source
from thawline.sources.table import Table

#: Relative error that a round trip may have at most [1].
RELATIVE = 1e-12


def assert_reads_back(recording: Recording, path: Path) -> None:
    """Every sample of every channel comes back at its time, in its unit."""
    table = open_source(path)
    assert isinstance(table, Table)
    assert table.is_epoch == (recording.starts_at > 0.0)
    assert not table.left_out
    for name, channel in recording.channels.items():
        column = table.columns[name]
        there = np.isfinite(column.values)
        assert converter(column.unit or "", channel.unit or "") == (1.0, 0.0)
        np.testing.assert_allclose(column.values[there], channel.values, rtol=RELATIVE, atol=0.0)
        expected = recording.starts_at + channel.t
        np.testing.assert_allclose(column.t[there], expected, rtol=RELATIVE, atol=1e-12)
