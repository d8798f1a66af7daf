"""Frames per second from a log to physical values, beside other routes, with wrong values.

Run: ``python benchmarks/decode.py [frames]``. Makes a log of 2 M frames (40 messages, 270
signals: both byte orders, signed ones across bytes, labelled, multiplexed, floating point)
as candump text and as MDF 4 in a temporary folder, and prints one line for each route:

- ours: read and decode all signals;
- python-can and cantools, message by message, on a slice, scaled to a rate;
- asammdf's own extraction from MDF 4.

Wrong values are counted against cantools on the slice. Nothing is kept.
"""

from __future__ import annotations

import sys
import tempfile
import time
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import asammdf
import can
import cantools.database
import numpy as np
from asammdf.blocks.v4_blocks import SourceInformation
from cantools.database.can import Database as Oracle
from cantools.database.can import Message, Signal
from cantools.database.conversion import BaseConversion

from thawline.signals.database import read_database
from thawline.signals.decode import Decoded, decode, join
from thawline.sources.by_suffix import open_source

Result = TypeVar("Result")
MESSAGES, SLICE, RATE_HZ = 40, 40_000, 1000.0
#: Layouts of the signals of a message, in turn: start, length, big-endian, signed, scale.
LAYOUTS = [
    (0, 12, False, False, 0.1), (12, 8, False, True, 1), (20, 7, False, True, 0.5),
    (35, 8, True, True, 1), (36, 4, False, False, 1), (43, 12, True, True, 0.01),
    (56, 7, False, False, 1),
]  # fmt: skip


def make_database() -> Oracle:
    """Lay out 40 messages: every twentieth floating point, every tenth multiplexed."""
    messages = []
    for i in range(MESSAGES):
        parts = []
        for j, (start, length, big, signed, scale) in enumerate(LAYOUTS):
            choices = {0: "Off", 1: "On", 2: "Fault"} if j == 4 else None
            order = "big_endian" if big else "little_endian"
            conversion = BaseConversion.factory(scale, -40 if j == 0 else 0, choices)
            parts.append(Signal(f"S{i}_{j}", start, length, order, signed, conversion=conversion))
        if i % 20 == 3:
            real = BaseConversion.factory(is_float=True)
            parts = [Signal(f"S{i}_{j}", 32 * j, 32, conversion=real) for j in range(2)]
        if i % 10 == 7:
            parts[4] = Signal(f"S{i}_4", 36, 4, is_multiplexer=True)
            parts[5].multiplexer_ids, parts[5].multiplexer_signal = [0, 1, 2, 3], f"S{i}_4"
            parts[6].multiplexer_ids, parts[6].multiplexer_signal = list(range(4, 16)), f"S{i}_4"
        extended = i % 5 == 0
        number = 0x18FE0000 + i if extended else 0x100 + 7 * i
        messages.append(Message(number, f"M{i}", 8, parts, is_extended_frame=extended))
    return Oracle(messages)


def make_logs(database: Oracle, count: int, folder: Path) -> None:
    """Write the same frames as candump text and as MDF 4."""
    rng = np.random.default_rng(2)
    which = rng.integers(0, MESSAGES, count)
    numbers = np.array([message.frame_id for message in database.messages], dtype=np.uint32)
    extended = np.array([message.is_extended_frame for message in database.messages])
    data = rng.integers(0, 256, (count, 8), dtype=np.uint8)
    clock = np.round(1_700_000_000 + np.arange(count) / RATE_HZ, 6)
    names = [f"{n:08X}" if e else f"{n:03X}" for n, e in zip(numbers, extended, strict=True)]
    text = data.tobytes().hex().upper()
    with (folder / "bus.log").open("w") as file:
        file.writelines(
            f"({t:.6f}) can0 {names[k]}#{text[16 * i : 16 * i + 16]}\n"
            for i, (t, k) in enumerate(zip(clock.tolist(), which.tolist(), strict=True))
        )
    kinds = {"BusChannel": "u1", "ID": "<u4", "IDE": "u1", "DLC": "u1", "DataLength": "u1",
             "DataBytes": "(8,)u1", "Dir": "u1", "EDL": "u1"}  # fmt: skip
    frames = np.zeros(count, [(f"CAN_DataFrame.{name}", kind) for name, kind in kinds.items()])
    for name, values in [("BusChannel", 1), ("ID", numbers[which]), ("IDE", extended[which]),
                         ("DLC", 8), ("DataLength", 8), ("DataBytes", data)]:  # fmt: skip
        frames[f"CAN_DataFrame.{name}"] = values
    source = SourceInformation(source_type=2, bus_type=2)
    with asammdf.MDF(version="4.10") as mdf:
        clock -= clock[0]
        mdf.append(
            asammdf.Signal(name="CAN_DataFrame", samples=frames, timestamps=clock, source=source)
        )
        mdf.save(folder / "bus.mf4")


def ours(log: Path, database: Path) -> dict[str, Decoded]:
    """Read and decode every signal, batch by batch."""
    wanted = list(read_database([database]).signals.values())
    return join([decode(frames, wanted) for frames in open_source(log)])


def per_message(log: Path, database: Path) -> dict[str, list[float]]:
    """Read and decode a slice with python-can and cantools."""
    oracle = cantools.database.load_file(database)
    values: dict[str, list[float]] = {}
    with can.LogReader(log) as reader:
        for _, message in zip(range(SLICE), reader, strict=False):
            layout = oracle.get_message_by_frame_id(
                message.arbitration_id, force_extended_id=message.is_extended_id
            )
            shown = layout.decode(message.data, decode_choices=False)
            for name, value in shown.items():
                values.setdefault(f"{layout.name}.{name}", []).append(float(value))
    return values


def by_asammdf(log: Path, database: Path) -> dict[str, np.ndarray]:
    """Extract every signal with asammdf."""
    values: dict[str, np.ndarray] = {}
    with asammdf.MDF(log) as mdf:
        extracted = mdf.extract_bus_logging({"CAN": [(database, 0)]})
        for group in extracted.groups:
            for channel in group.channels[1:]:
                if channel.name.startswith("S"):
                    index = extracted.whereis(channel.name)[0]
                    samples = extracted.get(channel.name, *index).samples
                    message = channel.name.split("_")[0].replace("S", "M")
                    values[f"{message}.{channel.name}"] = samples
    return values


def wrong(found: dict[str, np.ndarray], right: dict[str, list[float]]) -> tuple[int, int]:
    """Count values that differ from cantools' on the slice, and those compared."""
    bad = total = 0
    for name, expected in right.items():
        mine = found.get(name, np.zeros(0))[: len(expected)]
        total += len(expected)
        if len(mine) != len(expected) or mine.dtype.kind not in "iuf":
            bad += len(expected)
        else:
            bad += int(np.sum(~((mine == expected) | (np.isnan(mine) & np.isnan(expected)))))
    return bad, total


def timed(route: Callable[[], Result]) -> tuple[float, Result]:
    """Run a route and take the best time of three; imports are in none of them."""
    seconds = []
    for _ in range(3):
        begin = time.perf_counter()
        result = route()
        seconds.append(time.perf_counter() - begin)
    return min(seconds), result


def main() -> None:
    """Run every route and print a line for each."""
    warnings.simplefilter("ignore")  # asammdf warns of databases with multiplexed signals
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2_000_000
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        oracle = make_database()
        database = folder / "bus.dbc"
        cantools.database.dump_file(oracle, database)
        make_logs(oracle, count, folder)
        total = sum(len(message.signals) for message in oracle.messages)
        print(f"{count} frames, {len(oracle.messages)} messages, {total} signals")
        seconds, right = timed(lambda: per_message(folder / "bus.log", database))
        base = min(SLICE, count) / seconds
        rows = [("candump: python-can + cantools, a slice", base, right)]
        for title, log in [("candump: ours", "bus.log"), ("MDF 4: ours", "bus.mf4")]:
            seconds, mine = timed(lambda log=log: ours(folder / log, database))
            rows.append((title, count / seconds, {k: v.values for k, v in mine.items()}))
        seconds, theirs = timed(lambda: by_asammdf(folder / "bus.mf4", database))
        rows.append(("MDF 4: asammdf's extraction", count / seconds, theirs))
        print(f"{'route':42}{'frames/s':>12}{'ratio':>8}  wrong values on the slice")
        for title, rate, values in rows:
            found = {key: np.asarray(value) for key, value in values.items()}
            bad, compared = wrong(found, right)
            print(f"{title:42}{rate:12,.0f}{rate / base:8.1f}  {bad} of {compared}")


if __name__ == "__main__":
    main()
