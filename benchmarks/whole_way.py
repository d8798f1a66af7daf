"""From a log to channels in the library, for each format, with the number of wrong values.

Run: ``python benchmarks/whole_way.py [frames]``. Makes one log (40 messages of four signals,
of which the vehicle file maps 25; both byte orders, signed ones, one across bytes) as candump
text, BLF and MDF 4 in a temporary folder. Each route does the same job in the same run: read
every frame, decode the messages that have a mapped signal and no others, keep times and values of
the mapped signals, and write them to a Parquet file.

- ours: ``add`` to a fresh library, so with everything else that takes: the sum of the content, the
  mended clock, units, the sensors' steps, a flush to the disk;
- python-can's reader of that format and cantools, message by message, on a slice of the log,
  scaled to a rate (it has no state that would grow);
- asammdf's own extraction from MDF 4, told of the 25 mapped messages only.

Every route runs in a process of its own that is warm: what is to be imported has been, and the
route has run once on the slice. The best of three is shown, by the clock and by processor
time, which tells more on a busy machine. Earlier versions of this benchmark let the slower
route decode unmapped messages and spared it the writing, and counted imports for ours.
"""

from __future__ import annotations

import csv
import json
import subprocess
import sys
import tempfile
import zlib
from importlib.resources import files
from pathlib import Path

import asammdf
import can
import numpy as np
from asammdf.blocks.v4_blocks import SourceInformation

MESSAGES, MAPPED, SLICE, RATE_HZ, START = 40, 25, 40_000, 1000.0, 1_700_000_000
#: Where the four signals of a message lie, in a DBC's words.
SIGNALS = ("7|16@0+", "16|16@1-", "36|12@1+", "55|16@0-")
#: Values stay within these, so that any unit will do; raw numbers are a hundred times as high.
LOW, HIGH = 5.0, 35.0


def make_files(folder: Path) -> tuple[Path, Path, Path, Path]:
    """Write the database, one of the mapped messages only, the vehicle file, what is mapped."""
    for name, messages in [("bus.dbc", MESSAGES), ("few.dbc", MAPPED)]:
        text = 'VERSION ""\nNS_ :\nBS_:\nBU_: L\n'
        for k in range(messages):
            text += f"BO_ {0x100 + k} M{k}: 8 L\n"
            for j, at in enumerate(SIGNALS):
                text += f' SG_ S{j} : {at} (0.01,0) [0|0] "" L\n'
        (folder / name).write_text(text)
    with (files("thawline.signals") / "catalogue.csv").open() as table:
        fits = [
            row for row in csv.DictReader(table)
            if row["kind"] == "value" and "<" not in row["path"]
            and float(row["low"]) <= LOW and float(row["high"]) >= HIGH
        ]  # fmt: skip
    text = '[vehicle]\nname = "Gannet"\n[pack]\nusable_energy_kWh = 72.0\n'
    mapped = [f"M{i}.S{i % 4}" for i in range(MAPPED)]
    for key, row in zip(mapped, fits, strict=False):
        text += f'[signals."{row["path"]}"]\nfrom = "{key}"\nunit = "{row["unit"]}"\n'
    (folder / "car.toml").write_text(text)
    (folder / "mapped.json").write_text(json.dumps(mapped))
    return folder / "bus.dbc", folder / "few.dbc", folder / "car.toml", folder / "mapped.json"


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


COMMON = """
import json, sys, time
from pathlib import Path
log, part, database, few, vehicle, known, mapped, folder = map(Path, sys.argv[1:])
mapped = json.loads(mapped.read_text())
def best(route, log):
    route(part)
    runs = []
    for number in range(3):
        wall, work = time.perf_counter(), time.process_time()
        found = route(log)
        runs.append((time.perf_counter() - wall, time.process_time() - work))
    status = Path("/proc/self/status")  # the system's own count is that of the parent, if larger
    told = status.read_text() if status.exists() else "VmHWM: 0 kB"
    return found, min(runs), int(told.split("VmHWM:")[1].split()[0]) / 1024
def answer(values, run, peak):
    right = json.loads(known.read_text()) if known.exists() else {}
    total = sum(map(len, right.values()))
    bad = total - sum(a == b for key in right for a, b in zip(values.get(key, []), right[key]))
    print(json.dumps([*run, peak, bad, total]))
def write(times, values):
    import numpy as np, polars as pl
    parts = [pl.DataFrame({"series": np.full(len(t), i, np.uint32), "t": t, "x": values[key]})
             for i, (key, t) in enumerate(times.items())]
    pl.concat(parts).write_parquet(folder / "values.parquet", compression_level=1)
"""
OURS = (
    COMMON
    + """
import tempfile
from thawline.library.library import open_library
from thawline.library.load import load
from thawline.walk import add
def route(log):
    library = open_library(Path(tempfile.mkdtemp(dir=folder)))
    return library, add([log], [database], vehicle, library).recording.id
(library, name), run, peak = best(route, log)
channels = load(library, name).channels.values()
answer({channel.source: channel.values.tolist() for channel in channels}, run, peak)
"""
)
PER_MESSAGE = (
    COMMON
    + """
import can, cantools.database
import numpy as np
def route(log):
    oracle = cantools.database.load_file(database)
    of = {}
    for key in mapped:
        message, signal = key.split(".")
        of[oracle.get_message_by_name(message).frame_id] = message, signal
    layouts = {number: oracle.get_message_by_frame_id(number) for number in of}
    times, values = {key: [] for key in mapped}, {key: [] for key in mapped}
    with can.LogReader(log) as reader:
        for message in reader:
            layout = layouts.get(message.arbitration_id)
            if layout is not None:
                name, signal = of[message.arbitration_id]
                found = layout.decode(message.data, decode_choices=False)[signal]
                times[f"{name}.{signal}"].append(message.timestamp)
                values[f"{name}.{signal}"].append(float(found))
    write({key: np.array(t) for key, t in times.items()}, values)
    return values
values, run, peak = best(route, part)
if not known.exists():
    known.write_text(json.dumps(values))
answer(values, run, peak)
"""
)
BY_ASAMMDF = (
    COMMON
    + """
import asammdf
def route(log):
    with asammdf.MDF(log) as mdf:
        extracted = mdf.extract_bus_logging({"CAN": [(few, 0)]})
    times, values = {}, {}
    for key in mapped:
        message, signal = key.split(".")
        found = [(group, at) for group, at in extracted.whereis(signal)
                 if extracted.groups[group].channel_group.acq_name.endswith(message)
                 or message in extracted.groups[group].channel_group.comment]
        samples = extracted.get(signal, *found[0])
        times[key], values[key] = samples.timestamps, samples.samples.astype(float)
    write(times, values)
    return values
values, run, peak = best(route, log)
answer({key: found.tolist() for key, found in values.items()}, run, peak)
"""
)


def run(script: str, *words: Path) -> tuple[float, float, float, int, int]:
    """Run a route in a process of its own: clock and processor time, memory, wrong values."""
    with tempfile.TemporaryDirectory(dir=words[0].parent) as folder:
        command = [sys.executable, "-W", "ignore", "-c", script, *words, Path(folder)]
        done = subprocess.run(command, capture_output=True, text=True, check=True)
    wall, work, peak, bad, total = json.loads(done.stdout.splitlines()[-1])
    return wall, work, peak, bad, total


def main() -> None:
    """Run every route and print a line for each."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 3_600_000
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        database, few, vehicle, mapped = make_files(folder)
        frames = make_frames(count)
        logs = []
        for title, ending, write in [("candump", "log", write_candump), ("BLF", "blf", write_blf),
                                     ("MDF 4", "mf4", write_mdf)]:  # fmt: skip
            log, part = folder / f"bus.{ending}", folder / f"part.{ending}"
            write(log, *frames)
            write(part, *(column[:SLICE] for column in frames))
            logs.append((title, log, part))
        print(f"{count} frames, {MESSAGES} messages, {MAPPED} of {4 * MESSAGES} signals mapped")
        print(f"{'route':38}{'frames/s':>12}{'per CPU s':>12}{'ratio':>7}{'per CPU':>8}"
              f"{'peak MB':>9}  wrong")  # fmt: skip
        known = folder / "right.json"
        for title, log, part in logs:
            words = (log, part, database, few, vehicle, known, mapped)
            routes = [("python-can + cantools, a slice", PER_MESSAGE, min(SLICE, count)),
                      ("to the library", OURS, count)]  # fmt: skip
            routes += [("asammdf's extraction", BY_ASAMMDF, count)] * (title == "MDF 4")
            base: tuple[float, float] | None = None
            for what, script, size in routes:
                wall, work, peak, bad, total = run(script, *words)
                base = base or (size / wall, size / work)
                print(f"{title + ': ' + what:38}{size / wall:12,.0f}{size / work:12,.0f}"
                      f"{size / wall / base[0]:7.1f}{size / work / base[1]:8.1f}{peak:9.0f}"
                      f"  {bad} of {total}", flush=True)  # fmt: skip


if __name__ == "__main__":
    main()
