"""Lines of the journal, read back by python-can's own reader of candump text and by ours."""

import can
import numpy as np
import pytest

from thawline.live.frame_lines import line_of, lines_of
from thawline.sources.candump import read_candump
from thawline.sources.frames import EXTENDED, Frames

MESSAGES = [
    can.Message(arbitration_id=0x1A2, data=bytes(range(8)), is_extended_id=False),
    can.Message(arbitration_id=0x7, data=b"", is_extended_id=False),
    can.Message(arbitration_id=0x7, data=b"\x01", is_extended_id=True),
    can.Message(arbitration_id=0x18FEF100, data=b"\xff\x00", is_extended_id=True),
    can.Message(arbitration_id=0x123, is_remote_frame=True, is_extended_id=False),
    can.Message(arbitration_id=0x10, data=bytes(12), is_fd=True, is_extended_id=False),
    can.Message(
        arbitration_id=0x11, data=bytes(range(64)), is_fd=True, bitrate_switch=True,
        is_extended_id=True,
    ),
    can.Message(is_error_frame=True, arbitration_id=0x80, data=bytes(8)),  # an error of the bus
]  # fmt: skip


@pytest.fixture
def log(tmp_path):
    path = tmp_path / "out.log"
    text = [line_of(m, b"can0", 1_700_000_000.0 + i) for i, m in enumerate(MESSAGES)]
    path.write_bytes(b"".join(text))
    return path


def test_python_can_reads_every_frame_back(log):
    """The reference reader of the open layout sees the same frames."""
    with can.CanutilsLogReader(log) as reader:
        read = list(reader)
    assert len(read) == len(MESSAGES)
    for wrote, found in zip(MESSAGES, read, strict=True):
        assert found.is_error_frame == wrote.is_error_frame
        assert found.is_remote_frame == wrote.is_remote_frame
        if wrote.is_error_frame:
            continue
        assert found.arbitration_id == wrote.arbitration_id
        assert found.is_extended_id == wrote.is_extended_id
        assert found.is_fd == wrote.is_fd
        assert found.bitrate_switch == wrote.bitrate_switch
        if not wrote.is_remote_frame:
            assert bytes(found.data) == bytes(wrote.data)


def test_our_reader_counts_what_is_no_data_frame(log):
    """Data frames are read, the remote frame and the error frame are counted."""
    (frames,) = read_candump(log)
    assert len(frames) == 6
    assert frames.left_out == {"remote": 1, "error": 1}
    assert frames.data[5].tobytes() == bytes(range(64))


def test_batches_come_back_as_they_were(tmp_path):
    """Frames of a log that is played are written without a change."""
    rng = np.random.default_rng(3)
    n = 500
    length = rng.integers(0, 9, n).astype(np.uint8)
    data = rng.integers(0, 256, (n, 8)).astype(np.uint8)
    data[np.arange(8) >= length[:, None]] = 0
    identifier = rng.integers(0, 0x800, n).astype(np.uint32)
    identifier[::3] = rng.integers(0, 1 << 29, len(identifier[::3])).astype(np.uint32) | EXTENDED
    t = np.round(1_700_000_000 + np.cumsum(rng.uniform(0, 0.01, n)), 6)
    bus = rng.integers(0, 2, n).astype(np.uint8)
    wrote = Frames(t, identifier, bus, ("can0", "can1"), length, data)
    path = tmp_path / "out.log"
    path.write_bytes(b"".join(lines_of(wrote, t)))
    (read,) = read_candump(path)
    assert np.array_equal(read.identifier, identifier)
    assert np.array_equal(read.data, data)
    assert np.array_equal(read.length, length)
    assert np.allclose(read.t, t, atol=1e-6)
    assert [read.buses[i] for i in read.bus] == [wrote.buses[i] for i in bus]
