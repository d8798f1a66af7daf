"""From a log to channels in the library, for each format, with the number of wrong values.

Run: ``python benchmarks/whole_way.py [frames]``. Makes one log (40 messages of four signals,
of which the vehicle file maps 25; both byte orders, signed ones, one across bytes) as candump
text, BLF and MDF 4 in a temporary folder. Each format is added to a fresh library in a process
of its own, the best of three is shown with its processor time and its peak memory. Beside it
in the same run: python-can and cantools, message by message, on a slice, scaled to a rate, and
asammdf's own extraction. Wrong values are counted against cantools on the slice.
"""

from __future__ import annotations

import csv
import json
import subprocess
import sys
import tempfile
import time
import zlib
from importlib.resources import files
from pathlib import Path

import asammdf
import can
import cantools.database
import numpy as np
from asammdf.blocks.v4_blocks import SourceInformation

MESSAGES, MAPPED, SLICE, RATE_HZ, START = 40, 25, 40_000, 1000.0, 1_700_000_000
#: Where the four signals of a message lie, in a DBC's words.
SIGNALS = ("7|16@0+", "16|16@1-", "36|12@1+", "55|16@0-")
#: Values stay within these, so that any unit will do; raw numbers are a hundred times as high.
LOW, HIGH = 5.0, 35.0


def make_files(folder: Path) -> tuple[Path, Path]:
    """Write the database and the vehicle file."""
    text = 'VERSION ""\nNS_ :\nBS_:\nBU_: L\n'
    for k in range(MESSAGES):
        text += f"BO_ {0x100 + k} M{k}: 8 L\n"
        text += "".join(f' SG_ S{j} : {at} (0.01,0) [0|0] "" L\n' for j, at in enumerate(SIGNALS))
    (folder / "bus.dbc").write_text(text)
    with (files("thawline.signals") / "catalogue.csv").open() as table:
        fits = [
            row for row in csv.DictReader(table)
            if row["kind"] == "value" and "<" not in row["path"]
            and float(row["low"]) <= LOW and float(row["high"]) >= HIGH
        ]  # fmt: skip
    text = '[vehicle]\nname = "Gannet"\n[pack]\nusable_energy_kWh = 72.0\n'
    for i, row in enumerate(fits[:MAPPED]):
        text += f'[signals."{row["path"]}"]\nfrom = "M{i}.S{i % 4}"\nunit = "{row["unit"]}"\n'
    (folder / "car.toml").write_text(text)
    return folder / "bus.dbc", folder / "car.toml"


def make_frames(count: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Draw times, identifiers and payloads; values wander slowly."""
    rng = np.random.default_rng(2)
    micro = np.arange(count, dtype=np.int64) * round(1e6 / RATE_HZ) + rng.integers(0, 500, count)
    which = rng.integers(0, MESSAGES, count)
    raw = [
        (2000 + 1400 * np.sin(micro / 4e7 / (j + 1) + which) + rng.integers(-3, 4, count))
        for j in range(4)
    ]
    data = np.empty((count, 8), np.uint8)
    data[:, 0:2] = raw[0].astype(">u2").view(np.uint8).reshape(-1, 2)
    data[:, 2:4] = raw[1].astype("<i2").view(np.uint8).reshape(-1, 2)
    data[:, 4:6] = (raw[2].astype(np.uint16) << 4).astype("<u2").view(np.uint8).reshape(-1, 2)
    data[:, 6:8] = raw[3].astype(">i2").view(np.uint8).reshape(-1, 2)
    return micro, (0x100 + which).astype(np.uint32), data


def write_candump(path: Path, micro: np.ndarray, number: np.ndarray, data: np.ndarray) -> None:
    """Write text, as the tool writes its log files."""
    digits = data.tobytes().hex().upper()
    with path.open("w") as file:
        file.writelines(
            f"({START + t // 1_000_000}.{t % 1_000_000:06d}) can0 {k:03X}#{digits[i : i + 16]}\n"
            for i, t, k in zip(
                range(0, 16 * len(data), 16), micro.tolist(), number.tolist(), strict=True
            )
        )


def write_blf(path: Path, micro: np.ndarray, number: np.ndarray, data: np.ndarray) -> None:
    """Write packed containers behind a header that python-can writes."""
    first = can.Message(timestamp=START, arbitration_id=1)
    with can.BLFWriter(path) as writer:
        writer.on_message_received(first)
    header = path.read_bytes()[:144]
    kind = np.dtype([("sign", "S4"), ("header", "<u2"), ("version", "<u2"), ("size", "<u4"),
                     ("type", "<u4"), ("flags", "<u4"), ("more", "<u4"), ("time", "<u8"),
                     ("channel", "<u2"), ("mark", "u1"), ("dlc", "u1"), ("id", "<u4"),
                     ("data", "u1", (8,))])  # fmt: skip
    objects = np.zeros(len(data), kind)
    objects["sign"], objects["header"], objects["version"] = b"LOBJ", 32, 1
    objects["size"], objects["type"], objects["flags"] = kind.itemsize, 1, 2
    objects["channel"], objects["dlc"] = 1, 8
    objects["time"], objects["id"], objects["data"] = micro * 1000, number, data
    content = objects.tobytes()
    with path.open("wb") as file:
        file.write(header)
        for at in range(0, len(content), 128 * 1024):
            plain = content[at : at + 128 * 1024]
            packed = zlib.compress(plain, 1)
            head = np.array([(b"LOBJ", 16, 1, 32 + len(packed), 10)],
                            "S4,<u2,<u2,<u4,<u4").tobytes()  # fmt: skip
            body = np.array([(2, 0, 0, len(plain), 0)], "<u2,<u2,<u4,<u4,<u4").tobytes()
            file.write(head + body + packed + b"\0" * (len(packed) % 4))


def write_mdf(path: Path, micro: np.ndarray, number: np.ndarray, data: np.ndarray) -> None:
    """Write a bus log as MDF 4."""
    kinds = {"BusChannel": "u1", "ID": "<u4", "IDE": "u1", "DLC": "u1", "DataLength": "u1",
             "DataBytes": "(8,)u1", "Dir": "u1", "EDL": "u1"}  # fmt: skip
    frames = np.zeros(len(data), [(f"CAN_DataFrame.{name}", kind) for name, kind in kinds.items()])
    for name, values in [("BusChannel", 1), ("ID", number), ("DLC", 8), ("DataLength", 8),
                         ("DataBytes", data)]:  # fmt: skip
        frames[f"CAN_DataFrame.{name}"] = values
    source = SourceInformation(source_type=2, bus_type=2)
    with asammdf.MDF(version="4.10") as mdf:
        mdf.append(asammdf.Signal(name="CAN_DataFrame", samples=frames, timestamps=micro / 1e6,
                                  source=source))  # fmt: skip
        mdf.save(path)


OURS = """
import json, sys, time
from pathlib import Path
from thawline.library.library import open_library
from thawline.library.load import load
from thawline.walk import add
log, database, vehicle, folder, known = map(Path, sys.argv[1:])
library = open_library(folder)
wall, work = time.perf_counter(), time.process_time()
added = add([log], [database], vehicle, library)
wall, work = time.perf_counter() - wall, time.process_time() - work
status = Path("/proc/self/status")  # the system's own count is that of the parent, if larger
told = status.read_text() if status.exists() else "VmHWM: 0 kB"
peak = int(told.split("VmHWM:")[1].split()[0]) / 1024
right, bad, total = json.loads(known.read_text()), 0, 0
for channel in load(library, added.recording.id).channels.values():
    expected = right[channel.source]
    found = channel.values[: len(expected)].tolist()
    total += len(expected)
    bad += len(expected) - sum(a == b for a, b in zip(found, expected))
print(json.dumps([wall, work, peak, bad, total]))
"""


def ours(log: Path, database: Path, vehicle: Path, known: Path) -> list[float]:
    """Add the log three times, each to a fresh library in a fresh process; give the best."""
    runs = []
    for _ in range(3):
        with tempfile.TemporaryDirectory(dir=log.parent) as folder:
            command = [sys.executable, "-c", OURS, log, database, vehicle, folder, known]
            done = subprocess.run(command, capture_output=True, text=True, check=True)
            runs.append(json.loads(done.stdout))
    return min(runs)


def per_message(log: Path, database: Path) -> tuple[float, dict[str, list[float]]]:
    """Read and decode a slice with python-can and cantools."""
    oracle = cantools.database.load_file(database)
    values: dict[str, list[float]] = {}
    begin = time.perf_counter()
    with can.LogReader(log) as reader:
        for _, message in zip(range(SLICE), reader, strict=False):
            layout = oracle.get_message_by_frame_id(message.arbitration_id)
            for name, value in layout.decode(message.data, decode_choices=False).items():
                values.setdefault(f"{layout.name}.{name}", []).append(float(value))
    return time.perf_counter() - begin, values


def by_asammdf(log: Path, database: Path) -> float:
    """Extract with asammdf; the best of three."""
    times = []
    for _ in range(3):
        begin = time.perf_counter()
        with asammdf.MDF(log) as mdf:
            mdf.extract_bus_logging({"CAN": [(database, 0)]})
        times.append(time.perf_counter() - begin)
    return min(times)


def main() -> None:
    """Run every route and print a line for each."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 3_600_000
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        database, vehicle = make_files(folder)
        frames = make_frames(count)
        logs = {
            "candump": folder / "bus.log",
            "BLF": folder / "bus.blf",
            "MDF 4": folder / "bus.mf4",
        }
        write_candump(logs["candump"], *frames)
        write_blf(logs["BLF"], *frames)
        write_mdf(logs["MDF 4"], *frames)
        print(f"{count} frames, {MESSAGES} messages, {MAPPED} of {4 * MESSAGES} signals mapped")
        print(f"{'route':38}{'frames/s':>12}{'per CPU s':>12}{'ratio':>7}{'peak MB':>9}  wrong")
        seconds, right = per_message(logs["candump"], database)
        base = min(SLICE, count) / seconds
        known = folder / "right.json"
        known.write_text(json.dumps(right))
        print(f"{'python-can + cantools, a slice':38}{base:12,.0f}{base:12,.0f}{1.0:7.1f}")
        for title, log in logs.items():
            wall, work, peak, bad, total = ours(log, database, vehicle, known)
            print(f"{title + ', to the library':38}{count / wall:12,.0f}{count / work:12,.0f}"
                  f"{count / wall / base:7.1f}{peak:9.0f}  {bad} of {total}")  # fmt: skip
        rate = count / by_asammdf(logs["MDF 4"], database)
        print(f"{'asammdf, extraction only':38}{rate:12,.0f}{'':12}{rate / base:7.1f}")


if __name__ == "__main__":
    main()
