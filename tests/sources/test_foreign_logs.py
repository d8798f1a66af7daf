"""Logs that no one here wrote, read beside python-can, whose samples they are."""

from __future__ import annotations

from pathlib import Path

import can
import numpy as np
import pytest

from tests.sources.test_candump import left_out, rows
from thawline.errors import SourceError
from thawline.sources.by_suffix import open_source
from thawline.sources.frames import Frames

FOLDER = Path(__file__).resolve().parents[1] / "data" / "foreign" / "python-can"
SAMPLES = sorted(path for path in FOLDER.iterdir() if path.name != "LICENSE")
#: Samples without a data frame, and what we say that they hold. The last one has a classic frame
#: of 64 bytes, which no bus can carry.
REFUSED = {
    "test_CanErrorFrameExt.blf": "2 error",
    "test_CanErrorFrames.asc": "4 error",
    "test_CanFdMessage64.blf": "2 remote",
    "test_CanFdRemoteMessage.asc": "1 remote",
    "test_CanRemoteMessage.asc": "3 remote",
    "single_frame.asc": "1 unreadable",
}


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name)
def test_a_sample_is_read_as_its_library_reads_it_or_refused_clearly(path: Path) -> None:
    """Identifiers, payloads and buses exactly, times to a microsecond; remote frames counted."""
    if path.name in REFUSED:
        with pytest.raises(SourceError, match=REFUSED[path.name]) as told:
            list(open_source(path))
        assert path.name in str(told.value)
        return
    batches = [batch for batch in open_source(path) if isinstance(batch, Frames)]
    found = rows(batches)
    with can.LogReader(path) as reader:
        theirs = list(reader)
    data = [m for m in theirs if not m.is_error_frame and not m.is_remote_frame]
    assert [(row[1], row[3]) for row in found] == [
        (m.arbitration_id | m.is_extended_id << 31, bytes(m.data)) for m in data
    ]
    # python-can counts the buses of TRC from one, those of other logs from zero
    first = 0 if path.suffix == ".trc" else 1
    assert [row[2] for row in found] == [f"CAN{int(m.channel or 0) + first}" for m in data]
    times = np.array([row[0] for row in found])
    truth = np.array([m.timestamp for m in data])
    np.testing.assert_allclose(times - times[0], truth - truth[0], atol=1e-6)
    counted = left_out(batches)
    assert counted.get("remote", 0) == sum(m.is_remote_frame for m in theirs)
    if path.suffix != ".trc":  # python-can passes over the error frames of TRC
        assert counted.get("error", 0) == sum(m.is_error_frame for m in theirs)
    assert "unreadable" not in counted
