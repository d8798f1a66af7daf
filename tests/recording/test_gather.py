"""From files to a recording, the whole way in, and all that can be wrong with files."""

import gzip

import numpy as np
import pytest

from tests.recording.making import DBC, START, TOML, lines, write
from thawline.errors import DatabaseError, InputError, SourceError, VehicleFileError
from thawline.recording.gather import gather
from thawline.signals.database import read_database
from thawline.vehicle.read import read_vehicle

B = "Powertrain.TractionBattery."
CABLE = B + "Charging.ChargingPort.Any.IsChargingCableConnected"


def gathered(tmp_path, text=None, **more):
    log, database, vehicle = write(tmp_path, text, **more)
    return gather([log], read_vehicle(vehicle), read_database([database]))


def test_a_log_becomes_channels_in_catalogue_units_and_signs(tmp_path):
    """Big-endian, signed, scaled, extended, labelled: each value is what was meant."""
    recording = gathered(tmp_path)
    assert recording.starts_at == pytest.approx(START)
    assert recording.duration_s == pytest.approx(59.9, abs=0.2)
    channels = recording.channels
    assert np.unique(channels[B + "CurrentVoltage"].values).tolist() == [350.0]
    assert np.unique(channels[B + "CurrentCurrent"].values).tolist() == [-10.0]
    coldest = channels[B + "Temperature.Min"]
    assert coldest.values[0] == -9.0 and coldest.values[-1] == -8.0
    assert coldest.resolution == pytest.approx(0.5) or len(np.unique(coldest.values)) < 3
    cable = channels[CABLE]
    assert cable.is_state and cable.t[0] > 2.0
    assert cable.t[cable.values == 1.0][0] == pytest.approx(20.06, abs=0.02)
    assert recording.gaps == () and recording.quality.frames == len(lines())
    assert recording.quality.clock_steps == () and recording.quality.duplicates == 0


def test_a_compressed_log_is_the_same_recording(tmp_path):
    """gzip changes nothing."""
    plain = gathered(tmp_path)
    log, database, vehicle = write(tmp_path)
    packed = tmp_path / "m.log.gz"
    packed.write_bytes(gzip.compress(log.read_bytes()))
    other = gather([packed], read_vehicle(vehicle), read_database([database]))
    assert other.starts_at == plain.starts_at
    for path, channel in plain.channels.items():
        assert np.array_equal(channel.values, other.channels[path].values)


def test_a_silent_logger_is_a_gap(tmp_path):
    """Ten seconds without a frame are a gap, told, and nothing stands in it."""
    text = [line for line in lines() if not 30.0 <= float(line[1:18]) - START < 40.0]
    recording = gathered(tmp_path, text)
    assert len(recording.gaps) == 1
    assert recording.gaps[0].from_s == pytest.approx(30.0, abs=0.11)
    assert recording.gaps[0].to_s == pytest.approx(40.0, abs=0.11)
    assert any("nothing was recorded" in w for w in recording.quality.warnings)


def test_a_clock_that_was_set_back_is_mended_and_reported(tmp_path):
    """An hour back in the middle: same length, one step of an hour."""
    text = lines()
    half = len(text) // 2
    moved = [
        f"({float(line[1:18]) - 3600:.6f}){line[19:]}" if i >= half else line
        for i, line in enumerate(text)
    ]
    recording = gathered(tmp_path, moved)
    assert [round(step.by_s) for step in recording.quality.clock_steps] == [-3600]
    assert recording.duration_s == pytest.approx(59.9, abs=0.2) and recording.gaps == ()


def test_frames_written_twice_count_once(tmp_path):
    """A block that stands in the log twice is dropped and counted."""
    text = lines()
    recording = gathered(tmp_path, [*text[:300], *text[200:300], *text[300:]])
    assert recording.quality.duplicates == 100
    assert len(recording.channels[B + "CurrentVoltage"].t) == 600


def test_two_files_in_any_order_are_one_recording(tmp_path):
    """Halves given backward are put in the order of time, the pause between is a gap."""
    text = lines(120.0)
    early = [line for line in text if float(line[1:18]) - START < 50]
    late = [line for line in text if float(line[1:18]) - START >= 70]
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    first, database, vehicle = write(tmp_path / "a", early)
    second, _, _ = write(tmp_path / "b", late)
    recording = gather([second, first], read_vehicle(vehicle), read_database([database]))
    assert recording.starts_at == pytest.approx(START)
    assert recording.duration_s == pytest.approx(119.9, abs=0.2)
    assert len(recording.gaps) == 1
    assert np.all(np.diff(recording.channels[B + "CurrentVoltage"].t) >= 0)


def reversed_lines():
    return lines()[::-1]


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ([], SourceError, "m.log"),
        (["# only a comment"], SourceError, "m.log"),
        (["(1.0) can0 7DF#R8"] * 3, SourceError, "no data frame"),
        ([f"({START + i}) can0 5A{i % 10}#00" for i in range(50)], DatabaseError, "none of the 50"),
        (reversed_lines(), SourceError, "backward"),
    ],
    ids=["empty", "comment", "remote", "other-bus", "reversed"],
)
def test_bad_logs_give_one_clear_error(tmp_path, text, kind, words):
    """Each names the file and what is wrong with it."""
    with pytest.raises(kind) as caught:
        gathered(tmp_path, text)
    assert words in str(caught.value) and "m.log" in str(caught.value)


def test_binary_rubbish_and_missing_files(tmp_path):
    """Neither is a traceback."""
    log, database, vehicle = write(tmp_path)
    log.write_bytes(bytes(range(256)) * 40)
    with pytest.raises(SourceError):
        gather([log], read_vehicle(vehicle), read_database([database]))
    with pytest.raises(SourceError):
        gather([tmp_path / "none.log"], read_vehicle(vehicle), read_database([database]))


def test_a_signal_that_is_not_in_the_database_names_line_and_the_nearest(tmp_path):
    """A typo in `from` is found before anything is read."""
    with pytest.raises(VehicleFileError) as caught:
        gathered(tmp_path, toml=TOML.replace("PackPower.Volts", "PackPower.Volt"))
    text = str(caught.value)
    assert "line 5" in text and "PackPower.Volt'" in text and "PackPower.Volts" in text


def test_frames_without_a_database_ask_for_one(tmp_path):
    """A log of raw frames can't be read without a database."""
    log, _, vehicle = write(tmp_path)
    with pytest.raises(DatabaseError, match="--database"):
        gather([log], read_vehicle(vehicle), None)


def test_a_wrong_unit_is_found_from_the_values(tmp_path):
    """Volts called kilovolts can't be."""
    varied = [
        line.replace("101#0DAC", f"101#{3500 + i % 30:04X}") for i, line in enumerate(lines())
    ]
    with pytest.raises(InputError, match="kV"):
        gathered(tmp_path, varied, toml=TOML.replace('unit = "V"', 'unit = "kV"'))


def test_a_mapped_signal_that_never_came_is_told_and_left_out(tmp_path):
    """A message that the car did not send costs its channels, no more."""
    text = [line for line in lines() if " 102#" not in line]
    recording = gathered(tmp_path, text)
    assert B + "Temperature.Min" not in recording.channels
    assert any("never showed a value" in w for w in recording.quality.warnings)


def test_a_truncated_last_line_costs_that_line_only(tmp_path):
    """A log cut in the middle of a line is read up to there, and the line counted."""
    log, database, vehicle = write(tmp_path)
    log.write_text(log.read_text()[:-12])  # an odd number of digits is left
    recording = gather([log], read_vehicle(vehicle), read_database([database]))
    assert sum(recording.quality.frames_left_out.values()) == 1
    assert recording.quality.frames == len(lines()) - 1


def test_the_database_that_fits_is_used(tmp_path):
    """The same log with a little-endian reading would give other volts: layouts matter."""
    other = DBC.replace("7|16@0+", "0|16@1+")
    recording = gathered(tmp_path, dbc=other)
    assert B + "CurrentVoltage" not in recording.channels or (
        recording.channels[B + "CurrentVoltage"].values[0] != 350.0
    )
