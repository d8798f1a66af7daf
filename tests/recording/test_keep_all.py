"""Keeping what the vehicle file does not map, and reading in small pieces."""

from collections import defaultdict

import can
import cantools.database
import numpy as np
import pytest

from tests.recording.making import DBC, START, TOML, lines, write
from thawline.recording import spill as spill_module
from thawline.recording.gather import gather
from thawline.signals.database import read_database
from thawline.sources import chunks as lines_module
from thawline.vehicle.read import read_vehicle

MORE = DBC.replace(
    "VAL_ 2566848513",
    "BO_ 300 Long: 64 Logger\n"
    ' SG_ Counter : 0|32@1+ (1,0) [0|0] "" Logger\n'
    ' SG_ Far : 503|16@0- (0.5,-3) [0|0] "Pa" Logger\n'
    ' SG_ Mode : 40|3@1+ (1,0) [0|7] "" Logger\n'
    'VAL_ 300 Mode 0 "Rest" 1 "Work" ;\n'
    "VAL_ 2566848513",
)
SHORT = TOML[: TOML.index('[signals."Powertrain.TractionBattery.Temperature.Min"]')]


def log(rng):
    """The usual minute, and a long message with a flexible data rate, now and then cut short."""
    text = lines()
    for i in range(200):
        payload = rng.bytes(64 if i % 5 else 8).hex()
        text.append(f"({START + 0.31 * i:.6f}) can1 12C##1{payload}")
    return sorted(text)


def by_cantools(path, database):
    """Decode the log with python-can and cantools, message by message."""
    oracle = cantools.database.load_file(database)
    found = defaultdict(list)
    with can.CanutilsLogReader(path) as reader:
        for message in reader:
            layout = oracle.get_message_by_frame_id(
                message.arbitration_id, force_extended_id=message.is_extended_id
            )
            shown = layout.decode(message.data, decode_choices=False, allow_truncated=True)
            for name, value in shown.items():
                found[f"{layout.name}.{name}"].append((message.timestamp, float(value)))
    return found


@pytest.mark.parametrize("is_small", [False, True], ids=["in-memory", "in-pieces"])
def test_all_signals_are_kept_and_equal_to_cantools(tmp_path, monkeypatch, is_small):
    """Under their own names, in the database's units; nothing changes for what is mapped."""
    path, database, vehicle = write(tmp_path, log(np.random.default_rng(5)), toml=SHORT, dbc=MORE)
    plain = gather([path], read_vehicle(vehicle), read_database([database]))
    if is_small:
        monkeypatch.setattr(lines_module, "LINES_PER_BATCH", 100)
        monkeypatch.setattr(spill_module, "HELD_BYTES", 1000)
        monkeypatch.setattr(spill_module, "LARGE_BYTES", 0)
        monkeypatch.setattr(spill_module, "SHELF_BYTES", 0)
    whole = gather(
        [path], read_vehicle(vehicle), read_database([database]), keep_all=True, scratch=tmp_path
    )
    assert plain.others == {} and list(whole.channels) == list(plain.channels)
    for name, channel in plain.channels.items():
        assert np.array_equal(channel.t, whole.channels[name].t)
        assert np.array_equal(channel.values, whole.channels[name].values)
    expected = by_cantools(path, database)
    assert set(whole.others) == set(expected) - {"PackPower.Volts", "PackPower.Amps"}
    for name, channel in whole.others.items():
        assert channel.values.tolist() == [value for _, value in expected[name]]
        times = [t - whole.starts_at for t, _ in expected[name]]
        np.testing.assert_allclose(channel.t, times, atol=1e-6)
        assert channel.path == channel.source == name
    assert len(whole.others["Long.Counter"].t) == 200 and len(whole.others["Long.Far"].t) == 160
    assert whole.others["Long.Far"].unit == "Pa" and whole.others["Long.Mode"].is_state
    assert not whole.others["Long.Counter"].is_state
    assert "40 frames were too short for Long.Far" in whole.quality.warnings


def test_an_ambiguous_identifier_is_told_and_only_mapped_signals_of_it_are_kept(tmp_path):
    """Two databases give one identifier two meanings; nobody knows which is meant."""
    toml = SHORT.replace('unit = "V"', 'unit = "V"\nbus = "can0"').replace(
        'unit = "A"', 'unit = "A"\nbus = "can0"'
    )
    path, database, vehicle = write(tmp_path, toml=toml)
    other = tmp_path / "other.dbc"
    other.write_text(
        DBC[: DBC.index("BO_ 258")].replace("PackPower", "Doors").replace("257", "257")
    )
    recording = gather(
        [path], read_vehicle(vehicle), read_database([database, other]), keep_all=True
    )
    assert set(recording.others) == {"PackCells.Coldest", "PackCells.Warmest", "Port.Cable"}
    assert any("0x101 only mapped" in text for text in recording.quality.warnings)


def test_columns_of_a_table_are_kept_too(tmp_path):
    """A column that is not mapped stands under its own name."""
    _, _, vehicle = write(tmp_path, toml=SHORT)
    table = tmp_path / "t.csv"
    rows = "\n".join(f"{i},{350 + i},{i % 3},{i / 4}" for i in range(20))
    table.write_text(f"time [s],PackPower.Volts [V],PackPower.Amps [A],Fan.Speed [rpm]\n{rows}\n")
    recording = gather([table], read_vehicle(vehicle), None, keep_all=True)
    (name,) = recording.others
    assert "Fan.Speed" in name
    assert recording.others[name].values.tolist() == [i / 4 for i in range(20)]
    assert gather([table], read_vehicle(vehicle), None).others == {}
