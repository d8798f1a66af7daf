"""The same recording, however the log is cut into files and batches."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.recording.making import DBC, START, write
from thawline.recording import spill as spill_module
from thawline.recording.gather import gather
from thawline.signals.database import read_database
from thawline.sources import chunks as lines_module
from thawline.vehicle.read import read_vehicle

TWO = DBC[: DBC.index("BO_ 257")] + DBC[DBC.index("BO_ 258") :]
TOML = """[vehicle]
name = "Petrel"
[pack]
usable_energy_kWh = 58.0
[signals."Powertrain.TractionBattery.CurrentVoltage"]
from = "PackPower.Volts"
unit = "V"
[signals."Powertrain.TractionBattery.Temperature.Min"]
from = "PackCells.Coldest"
unit = "degC"
bus = "can0"
[signals."Exterior.AirTemperature"]
from = "PackCells.Coldest"
unit = "degC"
bus = "can1"
"""


@st.composite
def logs(draw):
    """Lines of two buses in order of time, with values that never repeat a neighbour's."""
    count = draw(st.integers(30, 80))
    steps = draw(st.lists(st.sampled_from([0.001, 0.02, 0.3]), min_size=count, max_size=count))
    buses = draw(st.lists(st.integers(0, 1), min_size=count, max_size=count))
    text, t = [], START
    for i, (step, bus) in enumerate(zip(steps, buses, strict=True)):
        t += step
        if i % 2:
            text.append(f"({t:.6f}) can{bus} 101#{3400 + i:04X}0000")
        else:
            text.append(f"({t:.6f}) can{bus} 102#{40 + 60 * bus + i % 40:02X}000000")
    return text


def shown(recording):
    """All that should be equal, with times to the microsecond."""
    channels = {
        path: (np.round(channel.t, 6).tolist(), channel.values.tolist())
        for path, channel in recording.channels.items()
    }
    quality = recording.quality
    steps = [(round(step.at_s, 6), round(step.by_s, 6)) for step in quality.clock_steps]
    counts = (quality.frames, dict(quality.frames_left_out), quality.duplicates)
    return channels, steps, counts, round(recording.duration_s, 6), recording.gaps


def moved(text, at, by):
    """Set the logger's clock in the middle of a log."""
    return [
        f"({float(line[1:18]) + by:.6f}){line[19:]}" if i >= at else line
        for i, line in enumerate(text)
    ]


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    logs(),
    st.integers(5, 40),
    st.sampled_from(["whole", "clock", "twice", "cut line"]),
    st.integers(10, 28),
)
def test_batches_change_nothing(tmp_path, text, size, fault, at):
    """Jumps of the clock, stretches written twice and cut lines, on any border of a batch."""
    is_short = float(text[at - 1][1:18]) - float(text[at - 8][1:18]) < 0.6
    if fault == "clock":
        text = moved(text, at, -3600.0)
    elif fault == "twice":
        text = [*text[:at], *text[at - 8 : at], *text[at:]]
    elif fault == "cut line":
        text = [*text[:at], text[at][:-1], *text[at + 1 :]]
    path, database, vehicle = write(tmp_path, text, toml=TOML)
    wanted = read_vehicle(vehicle), read_database([database])
    whole = shown(gather([path], *wanted))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(lines_module, "LINES_PER_BATCH", size)
        patch.setattr(spill_module, "HELD_BYTES", 0)
        patch.setattr(spill_module, "LARGE_BYTES", 0)
        patch.setattr(spill_module, "SHELF_BYTES", 0)
        assert shown(gather([path], *wanted, scratch=tmp_path)) == whole
    if fault == "cut line":
        assert whole[2][1] == {"unreadable": 1}
    elif fault == "twice" and not is_short:  # a short one can't be told from two merged buses
        assert whole[2][2] == 8
    elif fault == "clock":
        assert [round(by) for _, by in whole[1]] == [-3600]


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(logs(), st.lists(st.integers(3, 27), min_size=1, max_size=3, unique=True), st.randoms())
def test_files_together_are_one_recording(tmp_path, text, cuts, random):
    """A log that a logger cut into files, given in any order, with two databases."""
    path, database, vehicle = write(tmp_path, text, toml=TOML)
    (tmp_path / "cells.dbc").write_text(TWO)
    power = tmp_path / "power.dbc"
    power.write_text(DBC[: DBC.index("BO_ 258")])
    databases = [power, tmp_path / "cells.dbc"]
    read = read_vehicle(vehicle)
    whole = gather([path], read, read_database([database]))
    files = []
    borders = [0, *sorted(cuts), len(text)]
    for number, (first, last) in enumerate(pairwise(borders)):
        files.append(tmp_path / f"part{number}.log")
        files[-1].write_text("\n".join(text[first:last]) + "\n")
    random.shuffle(files)
    # a short part may lack a bus or a message: that is no fault of the whole
    parts = gather(files, read, read_database(databases))
    assert shown(parts) == shown(whole)
    assert parts.starts_at == whole.starts_at
