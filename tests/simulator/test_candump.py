"""Candump text, read back by python-can."""

import can
import numpy as np
import pytest

from thawline.simulator.candump import write_candump
from thawline.simulator.encode import EXTENDED, Sent


def test_python_can_reads_every_frame(tmp_path):
    """Times, identifiers of both lengths, sizes from 0 to 8 and payloads come back."""
    rng = np.random.default_rng(5)
    n = 400
    size = rng.integers(0, 9, n).astype(np.uint8)
    data = rng.integers(0, 256, (n, 8), dtype=np.uint8)
    data[np.arange(8)[None, :] >= size[:, None]] = 0
    extended = rng.random(n) < 0.4
    number = np.where(extended, rng.integers(0, 1 << 29, n), rng.integers(0, 1 << 11, n))
    identifier = (number | np.where(extended, EXTENDED, 0)).astype(np.uint32)
    sent = Sent(np.sort(rng.uniform(0.0, 60.0, n)), identifier, size, data)
    write_candump(sent, tmp_path / "m.log", 1_768_629_900.0, "can3")
    read = list(can.CanutilsLogReader(str(tmp_path / "m.log")))
    assert len(read) == n
    for row, frame in enumerate(read):
        assert frame.timestamp == pytest.approx(1_768_629_900.0 + sent.t[row], abs=1e-6)
        assert frame.arbitration_id == number[row]
        assert frame.is_extended_id == extended[row]
        assert bytes(frame.data) == data[row, : size[row]].tobytes()
        assert frame.channel == "can3"


def test_lines_look_as_they_should(tmp_path):
    """One line as anybody writes it by hand."""
    sent = Sent(
        np.array([0.25]),
        np.array([0x1A4], dtype=np.uint32),
        np.array([2], dtype=np.uint8),
        np.array([[0xFF, 0x0A, 0, 0, 0, 0, 0, 0]], dtype=np.uint8),
    )
    write_candump(sent, tmp_path / "m.log", 1_700_000_000.0, "can0")
    assert (tmp_path / "m.log").read_text() == "(1700000000.250000) can0 1A4#FF0A\n"
