"""Databases of every kind, their errors, and the search for signals."""

from __future__ import annotations

from pathlib import Path

import cantools.database
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.signals.batches import frames_of
from thawline.errors import DatabaseError
from thawline.signals.database import Database, read_database
from thawline.signals.decode import decode

HEAD = 'VERSION ""\nNS_ :\nBS_:\nBU_: Bms Hvac\n'
PACK = (
    "BO_ 256 PackPower: 8 Bms\n"
    ' SG_ Current : 0|16@1- (0.1,0) [-3276.8|3276.7] "A" Hvac\n'
    ' SG_ Voltage : 23|16@0+ (0.01,0) [0|655.35] "V" Hvac\n'
    ' SG_ State : 32|4@1+ (1,0) [0|15] "" Hvac\n'
)
CABIN = (
    "BO_ 2566834689 Cabin: 8 Hvac\n"
    ' SG_ Air : 0|8@1+ (0.5,-40) [-40|87.5] "°C" Bms\n'
    ' SG_ State : 8|1@1+ (1,0) [0|1] "" Bms\n'
)
TAIL = 'VAL_ 256 State 0 "Off" 1 "Heating" ;\n'


def write(folder: Path, text: str, name: str = "car.dbc", encoding: str = "utf-8") -> Path:
    path = folder / name
    path.write_bytes(text.encode(encoding))
    return path


@pytest.fixture
def car(tmp_path: Path) -> Database:
    return read_database([write(tmp_path, HEAD + PACK + CABIN + TAIL)])


def test_layouts_are_as_the_file_says(car: Database) -> None:
    """Identifier, bits, byte order, sign, scale, unit, range and names of codes."""
    assert list(car.messages) == ["PackPower", "Cabin"]
    current, voltage = car.signal("PackPower.Current"), car.signal("PackPower.Voltage")
    assert (current.identifier, current.start, current.length) == (0x100, 0, 16)
    assert (current.is_signed, current.is_big_endian, current.scale) == (True, False, 0.1)
    assert (current.unit, current.minimum, current.maximum) == ("A", -3276.8, 3276.7)
    assert voltage.is_big_endian and voltage.start == 23 and voltage.bytes_needed == 4
    assert car.signal("PackPower.State").choices == {0: "Off", 1: "Heating"}
    air = car.signal("Cabin.Air")
    assert air.identifier == 0x8000_0000 | (2566834689 & 0x1FFFFFFF) and air.offset == -40
    assert car.messages["Cabin"].length == 8 and car.files == ("car.dbc",)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252"])
def test_units_survive_any_usual_encoding(tmp_path: Path, encoding: str) -> None:
    """A degree sign is one sign, however the editor wrote it."""
    database = read_database([write(tmp_path, HEAD + CABIN, encoding=encoding)])
    assert database.signal("Cabin.Air").unit == "°C"


def test_a_bare_signal_name_is_enough_if_it_is_unique(car: Database) -> None:
    """A name that two messages use needs the message."""
    assert car.signal("Air").key == "Cabin.Air"
    with pytest.raises(DatabaseError, match=r"2 messages have a signal 'State': Cabin.State"):
        car.signal("State")


def test_an_unknown_signal_is_an_error_with_the_nearest(car: Database) -> None:
    """Whether the message or the signal is misspelt."""
    with pytest.raises(DatabaseError, match=r"Did you mean 'PackPower.Current'\?") as caught:
        car.signal("PackPower.Curent")
    assert caught.value.file == "car.dbc"
    with pytest.raises(DatabaseError, match="no signal 'Zzz'"):
        car.signal("Zzz")


def test_a_signal_may_be_bound_to_a_bus(car: Database) -> None:
    """As the vehicle file asks."""
    assert car.signal("Cabin.Air", bus="can1").bus == "can1"
    assert car.signal("Cabin.Air").bus is None


def test_files_join_and_equal_messages_may_stand_in_both(tmp_path: Path) -> None:
    """Two databases of one car often share messages."""
    one = write(tmp_path, HEAD + PACK, "one.dbc")
    two = write(tmp_path, HEAD + PACK + CABIN, "two.dbc")
    database = read_database([one, two, one])
    assert list(database.messages) == ["PackPower", "Cabin"]
    assert database.files == ("one.dbc", "two.dbc") and database.warnings == ()


def test_files_that_lay_one_message_out_differently_clash(tmp_path: Path) -> None:
    """The error names both files and the message."""
    one = write(tmp_path, HEAD + PACK, "one.dbc")
    two = write(tmp_path, HEAD + PACK.replace("(0.1,0)", "(0.2,0)"), "two.dbc")
    with pytest.raises(DatabaseError, match=r"two.dbc: .*'PackPower' \(0x100\).*in one.dbc"):
        read_database([one, two])


def test_one_identifier_with_two_meanings_needs_the_bus(tmp_path: Path) -> None:
    """Two buses may use one identifier; without a bus nobody knows which is meant."""
    one = write(tmp_path, HEAD + PACK, "one.dbc")
    two = write(tmp_path, HEAD + PACK.replace("PackPower", "Doors"), "two.dbc")
    database = read_database([one, two])
    assert any("0x100" in warning and "Doors (two.dbc)" in warning for warning in database.warnings)
    with pytest.raises(DatabaseError, match=r"means different messages: Doors, PackPower.*bus ="):
        database.signal("PackPower.Current")
    assert database.signal("PackPower.Current", bus="can0").bus == "can0"


@pytest.mark.parametrize("kind", ["dbc", "kcd", "sym"])
def test_other_kinds_give_the_same_layouts(tmp_path: Path, kind: str) -> None:
    """What cantools writes as KCD or SYM is read to the same bits."""
    oracle = cantools.database.load_string(HEAD + PACK + CABIN + TAIL, "dbc")
    path = tmp_path / f"car.{kind}"
    cantools.database.dump_file(oracle, path)
    signal = read_database([path]).signal("PackPower.Voltage")
    assert (signal.identifier, signal.start, signal.length) == (0x100, 23, 16)
    assert signal.is_big_endian and float(signal.scale) == 0.01 and signal.unit == "V"


def test_an_arxml_is_read(tmp_path: Path) -> None:
    """A small system description: one frame, one signal with a linear scale."""
    path = write(tmp_path, ARXML, "car.arxml")
    signal = read_database([path]).signal("PackFrame.Temperature")
    assert (signal.identifier, signal.start, signal.length) == (0x123, 0, 8)


def test_what_is_wrong_but_can_be_read_is_a_warning(tmp_path: Path) -> None:
    """Overlapping signals are common in the field and harm nobody here."""
    overlap = PACK + ' SG_ Again : 0|8@1+ (1,0) [0|0] "" Hvac\n'
    database = read_database([write(tmp_path, HEAD + overlap)])
    assert database.signal("PackPower.Again").length == 8
    assert any("overlapping" in warning for warning in database.warnings)


def test_leftovers_of_deleted_signals_are_a_warning(tmp_path: Path) -> None:
    """Editors forget names of codes and types of signals that are gone."""
    for left in ('VAL_ 256 Gone 0 "A" ;\n', "SIG_VALTYPE_ 256 Gone : 1;\n"):
        database = read_database([write(tmp_path, HEAD + PACK + TAIL + left)])
        assert database.signal("PackPower.State").choices == {0: "Off", 1: "Heating"}
        assert any("unused" in warning for warning in database.warnings)


def test_names_that_stand_twice_in_one_file_stay_apart(tmp_path: Path) -> None:
    """The second message or signal of one name is numbered, and a warning says so."""
    twice = PACK + PACK.replace("256", "257").replace("(0.1,0)", "(0.2,0)")
    twice += ' SG_ State : 40|4@1+ (1,0) [0|15] "" Hvac\n'
    database = read_database([write(tmp_path, HEAD + twice)])
    assert database.signal("PackPower.Current").identifier == 256
    assert database.signal("PackPower #2.Current").identifier == 257
    assert database.signal("PackPower #2.State").start == 32
    assert database.signal("PackPower #2.State #2").start == 40
    assert sum("are called" in warning for warning in database.warnings) == 2


def test_signals_that_no_machine_word_holds_are_named_and_left_out(tmp_path: Path) -> None:
    """The others of the message are read."""
    wide = "BO_ 300 Wide: 64 Bms\n" + ' SG_ Blob : 0|80@1+ (1,0) [0|0] "" Hvac\n'
    database = read_database([write(tmp_path, HEAD + PACK + wide)])
    assert list(database.signals) == ["PackPower.Current", "PackPower.Voltage", "PackPower.State"]
    assert any("Wide.Blob" in warning for warning in database.warnings)


def test_a_multiplexer_range_over_all_codes_is_kept_as_a_range(tmp_path: Path) -> None:
    """The parser alone would list four thousand million codes."""
    text = (
        HEAD + "BO_ 257 Parts: 8 Bms\n"
        ' SG_ Part M : 0|32@1+ (1,0) [0|0] "" Hvac\n'
        ' SG_ Value m0 : 32|8@1+ (1,0) [0|0] "" Hvac\n'
        "SG_MUL_VAL_ 257 Value Part 5-4294967295;\n"
    )
    signal = read_database([write(tmp_path, text)]).signal("Parts.Value")
    assert signal.condition is not None and signal.condition.ranges == ((5, 4294967295),)
    frames = frames_of(
        [(0.0, 257, b"\x04\0\0\0\x01\0\0\0"), (1.0, 257, b"\xff\xff\xff\xff\x02\0\0\0")]
    )
    assert decode(frames, [signal])["Parts.Value"].values.tolist() == [2.0]


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("car.dbc", "", "empty"),
        ("car.dbc", HEAD, "0 messages and no signal"),
        ("car.dbc", HEAD + "BO_ 1 M: 8 Bms\n", "1 messages and no signal"),
        ("car.dbc", HEAD + PACK.replace("(0.1,0)", "(0.1,,0)"), "line 6, column"),
        ("car.dbc", "\x00\x01rubbish", "no valid DBC"),
        ("car.kcd", "<NetworkDefinition", "no valid KCD"),
        ("car.sym", "FormatVersion=6.0\nnonsense", "no valid SYM"),
        ("car.arxml", "<AUTOSAR></AUTOSAR>", "no valid ARXML"),
        ("car.log", "(1.0) can0 1A2#00\n", "ends in .dbc, .kcd, .sym, .arxml, not in '.log'"),
    ],
)
def test_what_is_no_database_is_one_clear_error(
    tmp_path: Path, name: str, text: str, says: str
) -> None:
    """File, place and cure."""
    with pytest.raises(DatabaseError, match=says) as caught:
        read_database([write(tmp_path, text, name)])
    assert str(caught.value.file).endswith(name) and caught.value.cure


def test_missing_files_and_no_files_are_errors(tmp_path: Path) -> None:
    """Before anything is read."""
    with pytest.raises(DatabaseError, match="does not exist"):
        read_database([tmp_path / "nowhere.dbc"])
    with pytest.raises(DatabaseError, match="cannot be read"):
        (tmp_path / "folder.dbc").mkdir()
        read_database([tmp_path / "folder.dbc"])
    with pytest.raises(DatabaseError, match="no signal database"):
        read_database([])


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.sampled_from(["dbc", "kcd", "sym", "arxml"]),
    st.text(max_size=80) | st.integers(0, 400).map(lambda cut: (HEAD + PACK + CABIN + TAIL)[:cut]),
    st.text(alphabet='SG_BO 0123|@+-(),"m:;\n', max_size=60),
)
def test_whatever_stands_in_the_file_nothing_but_a_database_error_comes_out(
    tmp_path: Path, kind: str, text: str, more: str
) -> None:
    """Fuzz, with half-right databases among it."""
    try:
        database = read_database([write(tmp_path, text + more, f"car.{kind}")])
    except DatabaseError as error:
        assert error.cure
    else:
        assert database.signals


ARXML = """<?xml version="1.0" encoding="UTF-8"?>
<AUTOSAR xmlns="http://autosar.org/schema/r4.0"><AR-PACKAGES><AR-PACKAGE>
<SHORT-NAME>Car</SHORT-NAME><ELEMENTS>
<CAN-CLUSTER><SHORT-NAME>Bus</SHORT-NAME><CAN-CLUSTER-VARIANTS><CAN-CLUSTER-CONDITIONAL>
<BAUDRATE>500000</BAUDRATE><PHYSICAL-CHANNELS><CAN-PHYSICAL-CHANNEL>
<SHORT-NAME>Channel</SHORT-NAME><FRAME-TRIGGERINGS><CAN-FRAME-TRIGGERING>
<SHORT-NAME>Triggering</SHORT-NAME><FRAME-REF DEST="CAN-FRAME">/Car/PackFrame</FRAME-REF>
<CAN-ADDRESSING-MODE>STANDARD</CAN-ADDRESSING-MODE><IDENTIFIER>291</IDENTIFIER>
</CAN-FRAME-TRIGGERING></FRAME-TRIGGERINGS></CAN-PHYSICAL-CHANNEL></PHYSICAL-CHANNELS>
</CAN-CLUSTER-CONDITIONAL></CAN-CLUSTER-VARIANTS></CAN-CLUSTER>
<CAN-FRAME><SHORT-NAME>PackFrame</SHORT-NAME><FRAME-LENGTH>8</FRAME-LENGTH>
<PDU-TO-FRAME-MAPPINGS><PDU-TO-FRAME-MAPPING><SHORT-NAME>Mapping</SHORT-NAME>
<PDU-REF DEST="I-SIGNAL-I-PDU">/Car/PackPdu</PDU-REF><START-POSITION>0</START-POSITION>
</PDU-TO-FRAME-MAPPING></PDU-TO-FRAME-MAPPINGS></CAN-FRAME>
<I-SIGNAL-I-PDU><SHORT-NAME>PackPdu</SHORT-NAME><LENGTH>8</LENGTH>
<I-SIGNAL-TO-PDU-MAPPINGS><I-SIGNAL-TO-I-PDU-MAPPING><SHORT-NAME>TemperatureMapping</SHORT-NAME>
<I-SIGNAL-REF DEST="I-SIGNAL">/Car/Temperature</I-SIGNAL-REF>
<PACKING-BYTE-ORDER>MOST-SIGNIFICANT-BYTE-LAST</PACKING-BYTE-ORDER>
<START-POSITION>0</START-POSITION></I-SIGNAL-TO-I-PDU-MAPPING></I-SIGNAL-TO-PDU-MAPPINGS>
</I-SIGNAL-I-PDU>
<I-SIGNAL><SHORT-NAME>Temperature</SHORT-NAME><LENGTH>8</LENGTH>
<SYSTEM-SIGNAL-REF DEST="SYSTEM-SIGNAL">/Car/TemperatureSignal</SYSTEM-SIGNAL-REF></I-SIGNAL>
<SYSTEM-SIGNAL><SHORT-NAME>TemperatureSignal</SHORT-NAME></SYSTEM-SIGNAL>
</ELEMENTS></AR-PACKAGE></AR-PACKAGES></AUTOSAR>
"""
