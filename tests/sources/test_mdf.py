"""MDF 4 files, written by asammdf and by hand from the standard's description."""

from __future__ import annotations

import struct
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from asammdf import MDF, Signal
from asammdf.blocks.v4_blocks import SourceInformation
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.sources.mdf_writing import FrameRow, bus_log
from thawline.errors import SourceError
from thawline.sources import mdf_frames
from thawline.sources.by_suffix import kind_of, open_source
from thawline.sources.frames import Frames
from thawline.sources.mdf_frames import read_mdf_frames
from thawline.sources.mdf_table import read_mdf_table

START = datetime(2024, 1, 1, 7, tzinfo=UTC)
START_S = START.timestamp()


def frame_structure(name: str = "CAN_DataFrame", width: int = 8) -> np.dtype:
    members = [("BusChannel", "<u1"), ("ID", "<u4"), ("IDE", "<u1"), ("DLC", "<u1"),
               ("DataLength", "<u1"), ("DataBytes", f"({width},)u1"), ("Dir", "<u1"),
               ("EDL", "<u1")]  # fmt: skip
    return np.dtype([(f"{name}.{member}", kind) for member, kind in members])


def write_bus_log(
    path: Path, count: int = 1000, compression: int = 2, width: int = 8
) -> np.ndarray:
    """Write frames with asammdf; remote and error frames in groups of their own."""
    rng = np.random.default_rng(count)
    frames = np.zeros(count, frame_structure(width=width))
    frames["CAN_DataFrame.BusChannel"] = 1 + np.arange(count) % 2
    frames["CAN_DataFrame.ID"] = rng.integers(0, 0x800, count)
    frames["CAN_DataFrame.IDE"] = np.arange(count) % 3 == 0
    frames["CAN_DataFrame.DataLength"] = np.arange(count) % 9
    frames["CAN_DataFrame.DataBytes"] = rng.integers(0, 256, (count, width))
    flexible = np.arange(count) % 10 == 9
    frames["CAN_DataFrame.EDL"] = flexible
    frames["CAN_DataFrame.DataLength"][flexible] = rng.choice([8, 12, 20, 64], flexible.sum())
    frames["CAN_DataFrame.DataLength"] = np.minimum(frames["CAN_DataFrame.DataLength"], width)
    source = SourceInformation(source_type=2, bus_type=2)
    with MDF(version="4.10") as mdf:
        mdf.header.start_time = START
        for name, samples in [
            ("CAN_DataFrame", frames),
            ("CAN_RemoteFrame", np.zeros(5, frame_structure("CAN_RemoteFrame"))),
            ("CAN_ErrorFrame", np.zeros(7, frame_structure("CAN_ErrorFrame"))),
        ]:
            clock = np.arange(len(samples)) * 0.001
            mdf.append(Signal(name=name, samples=samples, timestamps=clock, source=source))
        mdf.save(path, compression=compression)
    return frames


@pytest.mark.parametrize("compression", [0, 1, 2])
@pytest.mark.parametrize("width", [8, 64])
def test_bus_frames_are_read_as_they_were_written(
    tmp_path: Path, compression: int, width: int
) -> None:
    """Plain, deflated and transposed blocks; remote and error frames are counted."""
    path = tmp_path / "bus.mf4"
    written = write_bus_log(path, 1000, compression, width)
    assert kind_of(path) == "frames"
    (frames,) = read_mdf_frames(path)
    assert frames.data.shape == (1000, width)
    assert frames.left_out == {"remote": 5, "error": 7}
    assert frames.is_epoch and frames.buses == ("CAN1", "CAN2")
    np.testing.assert_allclose(frames.t, START_S + 0.001 * np.arange(1000), atol=1e-6)
    np.testing.assert_array_equal(frames.identifier & 0x1FFFFFFF, written["CAN_DataFrame.ID"])
    np.testing.assert_array_equal(frames.identifier >> 31, written["CAN_DataFrame.IDE"])
    np.testing.assert_array_equal(frames.bus + 1, written["CAN_DataFrame.BusChannel"])
    np.testing.assert_array_equal(frames.length, written["CAN_DataFrame.DataLength"])
    for i in range(len(frames)):
        payload = written["CAN_DataFrame.DataBytes"][i]
        assert frames.data[i, : frames.length[i]].tolist() == payload[: frames.length[i]].tolist()
        assert not frames.data[i, frames.length[i] :].any()


@pytest.mark.parametrize("packed", [False, True])
def test_logs_made_by_hand_are_read(tmp_path: Path, packed: bool) -> None:
    """Packed identifier and flag, payloads kept apart, one group for each bus, in time order."""
    one: list[FrameRow] = [
        (0.1 * i, 0x100 + i, i % 2 == 1, bytes([i] * (i % 9))) for i in range(40)
    ]
    two: list[FrameRow] = [(0.1 * i + 0.05, 0x18FEF100, True, bytes(range(8))) for i in range(40)]
    path = tmp_path / "hand.mf4"
    path.write_bytes(bus_log([(1, one), (2, two)], packed=packed, starts_at_ns=int(START_S * 1e9)))
    batches = list(open_source(path))
    found = [
        (round(float(f.t[i]) - START_S, 4), int(f.identifier[i]), f.buses[f.bus[i]],
         f.data[i, : f.length[i]].tobytes())
        for f in batches for i in range(len(f))
    ]  # fmt: skip
    expected = [(round(t, 4), n | extended << 31, "CAN1", p) for t, n, extended, p in one]
    expected += [(round(t, 4), n | extended << 31, "CAN2", p) for t, n, extended, p in two]
    assert found == sorted(expected)


def test_batches_are_bounded_and_join_to_the_whole(tmp_path: Path, monkeypatch) -> None:
    """Memory stays flat, and progress grows to the size of the file."""
    path = tmp_path / "bus.mf4"
    write_bus_log(path)
    (whole,) = read_mdf_frames(path)
    monkeypatch.setattr(mdf_frames, "BATCH", 128)
    monkeypatch.setattr(mdf_frames, "LEAST", 128)
    told: list[int] = []
    batches = list(read_mdf_frames(path, progress=lambda done, _: told.append(done)))
    assert len(batches) == 8 and max(len(batch) for batch in batches) <= 128
    np.testing.assert_array_equal(np.concatenate([b.data for b in batches]), whole.data)
    assert batches[0].left_out == whole.left_out and not any(b.left_out for b in batches[1:])
    assert told == sorted(told) and told[-1] == path.stat().st_size


def test_a_log_of_remote_frames_only_is_an_error(tmp_path: Path) -> None:
    """There is nothing to decode."""
    path = tmp_path / "bus.mf4"
    with MDF(version="4.10") as mdf:
        samples = np.zeros(5, frame_structure("CAN_RemoteFrame"))
        mdf.append(Signal(name="CAN_RemoteFrame", samples=samples, timestamps=np.arange(5.0)))
        mdf.save(path)
    with pytest.raises(SourceError, match="no data frame"):
        list(open_source(path))  # type: ignore[arg-type] # frames, as the name says


def write_decoded(path: Path) -> None:
    clock = np.arange(0, 10, 0.1)
    states = {"val_0": 0, "text_0": b"Off", "val_1": 1, "text_1": b"Heating", "default": b"?"}
    mixed = {"val_0": 255, "text_0": b"Not available", "default_addr": None}
    with MDF(version="4.10") as mdf:
        mdf.header.start_time = START
        codes = np.arange(100, dtype=np.uint8)
        mdf.append(
            [
                Signal(codes, clock, name="Volt", unit="V", conversion={"a": 0.5, "b": 10.0}),
                Signal(codes % 2, clock, name="State", conversion=states),
                Signal(np.where(codes % 2, 255, codes).astype("u1"), clock, name="Mixed",
                       conversion=mixed),
                Signal(np.array([b"on", b"off"] * 50), clock, name="Words", encoding="utf-8"),
                Signal(np.zeros((100, 3)), clock, name="Vector"),
                Signal(codes.astype("f4"), clock, name="Holes", invalidation_bits=codes % 4 == 0),
            ],
            acq_name="PackStatus",
            common_timebase=True,
        )  # fmt: skip
        mdf.append([Signal(np.sin(clock[::10]), clock[::10], name="Volt", unit="V")],
                   acq_name="Cabin")  # fmt: skip
        mdf.save(path)


def test_decoded_channels_keep_their_clocks_units_and_labels(tmp_path: Path) -> None:
    """Linear scaling, labelled codes, words, invalid samples, one name in two groups."""
    path = tmp_path / "decoded.mf4"
    write_decoded(path)
    assert kind_of(path) == "table"
    table = read_mdf_table(path)
    assert table.is_epoch and table.rows == 110
    volt = table.columns["Volt"]
    assert volt.unit == "V" and volt.t[0] == START_S and len(volt.t) == 100
    np.testing.assert_array_equal(volt.values, 0.5 * np.arange(100) + 10.0)
    assert table.columns["PackStatus.Volt"] is volt
    other = table.columns["Cabin.Volt"]
    np.testing.assert_array_equal(other.values, np.sin(np.arange(0, 10, 0.1)[::10]))
    state = table.columns["State"]
    assert state.labels == {0.0: "Off", 1.0: "Heating"} and state.values[:3].tolist() == [0, 1, 0]
    assert table.columns["Mixed"].values[:4].tolist() == [0, 255, 2, 255]
    words = table.columns["Words"]
    assert [words.labels[code] for code in words.values[:2]] == ["on", "off"]
    holes = table.columns["Holes"]
    np.testing.assert_array_equal(holes.values, np.flatnonzero(np.arange(100) % 4))
    np.testing.assert_allclose(holes.t, START_S + 0.1 * holes.values)


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        (("<I", 96), 1 << 31, "records of 2147483648 bytes"),
        (("<Q", 80), 1 << 60, "announces 1152921504606846976 records"),
        (("<I", 96), 9, "lies outside its record"),
    ],
)
def test_records_that_cannot_be_are_refused_before_they_are_read(
    tmp_path: Path, field: tuple[str, int], value: int, says: str
) -> None:
    """The parser would set the memory aside, or read beyond the file."""
    content = bytearray(bus_log([(1, [(0.0, 1, False, b"")])], packed=False, starts_at_ns=10**18))
    struct.pack_into(field[0], content, content.index(b"##CG") + field[1], value)
    path = tmp_path / "damaged.mf4"
    path.write_bytes(content)
    with pytest.raises(SourceError, match=says):
        kind_of(path)


@pytest.mark.parametrize("share", [0.02, 0.1, 0.5, 0.9, 0.999])
def test_a_file_that_was_cut_off_is_an_error(tmp_path: Path, share: float) -> None:
    """Wherever it was cut: one message with the file and a cure, and nothing on the console."""
    path = tmp_path / "bus.mf4"
    write_bus_log(path)
    content = path.read_bytes()
    path.write_bytes(content[: int(share * len(content))])
    with pytest.raises(SourceError) as caught:
        list(open_source(path))  # type: ignore[arg-type] # frames, if anything
    assert caught.value.file == path and caught.value.cure


@settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    st.sampled_from(["packed", "plain", "decoded"]),
    st.lists(st.tuples(st.floats(0, 0.999), st.integers(0, 255)), min_size=1, max_size=6),
)
def test_damaged_files_give_frames_or_a_source_error(
    tmp_path: Path, kind: str, damage: list[tuple[float, int]]
) -> None:
    """Fuzz: bytes anywhere are changed; the parser must not be led outside the file."""
    path = tmp_path / "damaged.mf4"
    if kind == "decoded":
        if not (tmp_path / "sound.mf4").exists():
            write_decoded(tmp_path / "sound.mf4")
        content = bytearray((tmp_path / "sound.mf4").read_bytes())
    else:
        rows: list[FrameRow] = [(0.1 * i, i, False, bytes([i] * (i % 9))) for i in range(20)]
        content = bytearray(bus_log([(1, rows)], packed=kind == "packed", starts_at_ns=10**18))
    for place, value in damage:
        content[int(place * len(content))] = value
    path.write_bytes(content)
    try:
        source = open_source(path)
        for batch in source if not hasattr(source, "columns") else ():
            assert isinstance(batch, Frames)
            assert len(batch.t) == len(batch.identifier) == len(batch.data) == len(batch.length)
            assert (batch.length <= 8).all()
    except SourceError as error:
        assert error.cure
