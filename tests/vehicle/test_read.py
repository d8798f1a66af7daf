"""Reading vehicle files: what is right is taken, what is wrong is named with its line."""

import re

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.vehicle.files import CHARGING, HEAD, WHOLE
from tests.vehicle.reading import error, errors, signal
from thawline.errors import VehicleFileError
from thawline.quantities import Accuracy
from thawline.vehicle.read import read_vehicle, read_vehicle_text
from thawline.vehicle.vehicle import (
    Cabin,
    Charger,
    Coolant,
    DriveUnits,
    Limits,
    Pack,
    SignalSource,
)


def test_a_whole_file_is_read():
    """Every table and key that the design names."""
    vehicle = read_vehicle_text(WHOLE, "car.toml")
    assert vehicle.name == "Gannet"
    assert vehicle.pack == Pack(72.0, 108, 510.0, 62.5, "LFP", 9.0)
    assert vehicle.drive_units == DriveUnits(2, 22.0, 3.4)
    assert vehicle.limits == Limits(0.0, -1.0)
    assert vehicle.charger == Charger(11.0, 0.92)
    assert vehicle.cabin == Cabin(18.0)
    assert vehicle.coolant == Coolant(0.5, 9.5)
    assert vehicle.time_column == "Zeit [s]"
    assert (vehicle.source, vehicle.file, vehicle.warnings) == (WHOLE, "car.toml", ())


def test_signals_are_read_with_their_lines():
    """The standard's leading ``Vehicle.`` is dropped; accuracy is in the catalogue's unit."""
    found = read_vehicle_text(WHOLE, "car.toml").signals
    current, state, speed = found.values()
    assert list(found) == [current.path, state.path, speed.path]
    assert current == SignalSource(
        "Powertrain.TractionBattery.CurrentCurrent",
        "PackPower.Current",
        unit="A",
        sign=-1.0,
        accuracy=Accuracy(relative=0.01),
        bus="can0",
        line=36,
    )
    assert (state.path, state.true_when) == (CHARGING + "IsCharging", ("CHARGING", 3.0))
    assert WHOLE.splitlines()[speed.line - 1] == '[signals."Speed"]'


@pytest.mark.parametrize(
    "table",
    [
        '[signals.Powertrain.TractionBattery.CurrentVoltage]\nfrom = "A.B"',
        '[signals]\n"Powertrain.TractionBattery.CurrentVoltage" = { from = "A.B" }',
        "[signals]\nPowertrain.TractionBattery.CurrentVoltage.from = 'A.B'",
        'signals."Powertrain.TractionBattery.CurrentVoltage".from = "A.B"',
        '[signals."Vehicle.Powertrain.TractionBattery.CurrentVoltage"]\nfrom = """A.B"""',
    ],
)
def test_every_way_that_toml_has_to_write_a_table(table):
    """Quoted or not, inline or dotted: it is the same signal."""
    text = f"{table}\n{HEAD}" if table.startswith("signals") else f"{HEAD}{table}\n"
    (source,) = read_vehicle_text(text, "car.toml").signals.values()
    assert source.path == "Powertrain.TractionBattery.CurrentVoltage"
    assert source.from_ == "A.B"
    assert "CurrentVoltage" in text.splitlines()[source.line - 1]


@pytest.mark.parametrize("value", ["2", '"OFF"', '[2, "OFF"]', "[]"])
def test_true_when_is_a_code_a_label_or_a_list(value):
    """Always a tuple; codes are numbers."""
    text = signal(CHARGING + "IsCharging", f"true_when = {value}")
    (source,) = read_vehicle_text(text, "car.toml").signals.values()
    assert set(source.true_when) == set({"2": [2.0], '"OFF"': ["OFF"]}.get(value, source.true_when))
    assert all(isinstance(item, (float, str)) for item in source.true_when)
    assert len(source.true_when) == {"[]": 0, '[2, "OFF"]': 2}.get(value, 1)


# --- what is wrong: (text, what the message must say) ------------------------------------

NUMBERS = [
    ("[pack]\nusable_energy_kWh = 72000", 4, r"\[0.1, 999.9\] kWh. If 72000 is in Wh, write 72$"),
    ("[pack]\nusable_energy_kWh = 0", 4, r"\(=0\) must be in \[0.1, 999.9\] kWh"),
    ("[pack]\nusable_energy_kWh = -5.0", 4, r"\(=-5\) must be in"),
    ("[pack]\nusable_energy_kWh = nan", 4, r"\(=nan\) must be in"),
    ("[pack]\nusable_energy_kWh = inf", 4, r"\(=inf\) must be in"),
    ('[pack]\nusable_energy_kWh = "72 kWh"', 4, r"number without quotes. .* = 72$"),
    ('[pack]\nusable_energy_kWh = "72,5"', 4, r"number without quotes. .* = 72.5$"),
    ("[pack]\nusable_energy_kWh = true", 4, r"\(=true\) must be a number"),
    ("pack.cells_in_series = 0", 3, r"\(=0\) must be in \[1, 1000\]"),
    ("pack.cells_in_series = 108.0", 3, r"whole number.*cells_in_series = 108$"),
    ("pack.resistance_mOhm = 0.0625", 3, r"If 0.0625 is in ohm, write 62.5$"),
    ("pack.heat_capacity_kJ_per_K = 510000", 3, r"If 510000 is in J/K, write 510$"),
    ("pack.heat_loss_W_per_K = 0.009", 3, r"If 0.009 is in kW/K, write 9$"),
    ("pack.chemistry = 5", 3, r'text in quotes. Write chemistry = "5"$'),
    ("[drive_units]\ncount = 9", 4, r"\[0, 8\]"),
    ("[drive_units]\nstandstill_heat_kW = 3400", 4, r"If 3400 is in W, write 3.4$"),
    ("[limits]\ncharging_from_degC = 273.15", 4, r"If 273.15 is in K, write 0$"),
    ("[limits]\nregeneration_from_degC = -60", 4, r"\[-40, 40\] degC"),
    ("[charger]\nefficiency = 92", 4, r"If 92 is in percent, write 0.92$"),
    ("[charger]\nrated_kW = 11000", 4, r"If 11000 is in W, write 11$"),
    ("[cabin]\ncomfortable_from_degC = 68", 4, r"If 68 is in degF, write 20$"),
    ("[coolant]\nglycol_mass_fraction = 50", 4, r"If 50 is in percent, write 0.5$"),
    ("[coolant]\nvolume_l = 9500", 4, r"If 9500 is in ml, write 9.5$"),
    ("[table]\ntime = 1", 4, r"time \(=1\) must be a text in quotes"),
    ("charger = 11", 3, r"charger \(=11\) must be a table"),
]


@pytest.mark.parametrize(("lines", "line", "message"), NUMBERS)
def test_a_value_that_cannot_be(lines, line, message):
    """File, line, value, the range, and a guess at the unit that was meant."""
    rest = "" if "usable_energy" in lines else "[pack]\nusable_energy_kWh = 72\n"
    dotted = lines.startswith(("pack.", "charger ="))
    rest = "" if lines.startswith("pack.") else rest
    text = f'vehicle.name = "Gannet"\n# a comment\n{lines}\n{rest}'
    if lines.startswith("pack."):
        text += "pack.usable_energy_kWh = 72\n"
    said = error(text)
    assert said.startswith(f"car.toml, line {line}, "), said
    assert re.search(message, said), said
    assert dotted or lines.split("\n")[0].strip("[]") in said


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        (
            "",
            [r"car.toml, \[vehicle\] name: is missing", r"\[pack\] usable_energy_kWh: is missing"],
        ),
        ('[vehicle]\nname = ""\n[pack]\nusable_energy_kWh = 5', [r"line 2, .*must not be empty"]),
        (
            '[vehicle]\nname = "G"\n\n[pack]\nusable_energy = 72',
            [r"line 5, \[pack\] usable_energy_kWh: is missing.* Is 'usable_energy' in line 5"],
        ),
        (
            '[vehical]\nname = "G"\n[pack]\nusable_energy_kWh = 72',
            [r"line 1, \[vehicle\] name: is missing.* Is \[vehical\] in line 1 meant for"],
        ),
        (
            "[pack]\nusable_energy_kWh = 72\n[vehicle]\n",
            [r"line 3, \[vehicle\] name: is missing.* It is the vehicle's name$"],
        ),
    ],
)
def test_what_is_needed_and_missing(text, messages):
    """Name and energy; a misspelt key or table is recognised."""
    said = errors(text)
    assert len(said) == len(messages)
    for line, message in zip(said, messages, strict=True):
        assert re.search(message, line), line


def test_all_errors_are_said_at_once_in_the_order_of_the_file():
    """One line each; a wrong type in one key does not hide what is wrong with another."""
    said = errors(
        '[vehicle]\nname = "Gannet"\n[pack]\nusable_energy_kWh = 0\ncells_in_series = "x"\n'
        '[signals."Speed"]\nfrom = 3\nunit = "V"\nsign = 5\naccuracy = "?"\n'
        '[signals."Sped"]\nfrom = "A.B"\n'
    )
    assert [int(re.search(r"line (\d+)", line)[1]) for line in said] == [4, 5, 7, 8, 9, 10, 11]


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("[vehicle]\nname = Gannet", "line 2, column 8"),
        ("[vehicle\n", "line 1, column 9"),
        ("a = 1\na = 2\n", "line 2, column 6"),
        ("x = ", "line 1, column 5"),
        ('x = """', "line 1, column 8"),
    ],
)
def test_what_is_not_toml_is_named_with_line_and_column(text, place):
    """As the language's own reader finds it."""
    said = error(text)
    assert said.startswith(f"car.toml, {place}: this is not TOML: ")
    assert "quotes" in said


def test_nesting_without_end_is_refused():
    """A file made to exhaust the reader is an error like any other."""
    with pytest.raises(VehicleFileError):
        read_vehicle_text("x = " + "[" * 100_000, "car.toml")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (HEAD + "[pak]\nx = 1", r"line 5: the table \[pak\] is unknown .*Did you mean \[pack\]\?$"),
        (HEAD + "colour = 1", r"line 5, \[pack\]: the key 'colour' is unknown"),
        (HEAD + "[limits]\nchargin_from_degC = 1", r"line 6, .*Did you mean 'charging_from_degC'"),
        (signal("Speed", "accurracy = 1"), r"line 7, .*Did you mean 'accuracy'\?$"),
        (signal("Speed", 'true_when = "ON"'), r"line 7, .*is for on/off signals"),
        (signal(CHARGING + "IsCharging", "sign = -1"), r"line 7, .*has no sign"),
        (signal(CHARGING + "IsCharging", 'accuracy = "1 %"'), r"line 7, .*has no accuracy"),
        (
            signal("Speed") + '[signals."Exterior.AirTemperature"]\nfrom = "A.B"',
            r"line 7, .*'A.B' is also the source of 'Speed' \(line 5\). Is that meant\?$",
        ),
    ],
)
def test_what_is_odd_is_a_warning(text, message):
    """The file is read all the same, and says what it passed over."""
    (warning,) = read_vehicle_text(text, "car.toml").warnings
    assert warning.startswith("car.toml, ")
    assert re.search(message, warning), warning


def test_the_same_source_on_two_buses_is_no_surprise():
    """Two buses may carry one message."""
    text = signal("Speed", 'bus = "a"') + '[signals."Cabin.HVAC.TargetTemperature"]\nfrom = "A.B"\n'
    assert read_vehicle_text(text + 'bus = "b"\n', "car.toml").warnings == ()


def test_files_as_editors_save_them(tmp_path):
    """A byte-order mark and carriage returns do no harm, and lines are counted right."""
    path = tmp_path / "car.toml"
    path.write_bytes(b"\xef\xbb\xbf" + WHOLE.replace("\n", "\r\n").encode("utf-8"))
    assert read_vehicle(path).signals["Speed"].line == 47


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (None, r"car.toml: cannot be read: No such file or directory. Check the path"),
        (b'[vehicle]\nname = "M\xf6we"', r"car.toml, line 2: the byte 0xf6 is not UTF-8 text"),
        (b"\x00\xff\xfe" * 100, r"car.toml, line 1: the byte 0xff is not UTF-8"),
        (b"\x00\x01\x02", r"car.toml, line 1, column 1: this is not TOML"),
        ("dir", r"car.toml: cannot be read: Is a directory"),
    ],
)
def test_a_file_that_cannot_be_read(tmp_path, content, message):
    """Missing, in another encoding, rubbish, a folder."""
    path = tmp_path / "car.toml"
    if content == "dir":
        path.mkdir()
    elif content is not None:
        path.write_bytes(content)
    with pytest.raises(VehicleFileError, match=message):
        read_vehicle(path)


values = st.recursive(
    st.booleans() | st.integers(-5, 5) | st.floats() | st.text("ab.%", max_size=4),
    lambda inner: st.lists(inner, max_size=2) | st.dictionaries(st.text("ab", min_size=1), inner),
    max_leaves=4,
)


def as_toml(value):
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return "[" + ", ".join(map(as_toml, value)) + "]"
    if isinstance(value, dict):
        return "{" + ", ".join(f'"{k}" = {as_toml(v)}' for k, v in value.items()) + "}"
    return f"'{value}'" if isinstance(value, str) else repr(value)


@example("heat_capacity_kJ_per_K = 510", 1.797693134862316e305)
@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from([line for line in WHOLE.splitlines() if " = " in line]),
    values,
)
def test_any_value_of_any_type_is_taken_or_named_by_its_line(line, value):
    """Nothing that a key can be set to escapes as an error of ours."""
    lines = WHOLE.splitlines()
    number = lines.index(line) + 1
    lines[number - 1] = f"{line.split(' = ')[0]} = {as_toml(value)}"
    try:
        vehicle = read_vehicle_text("\n".join(lines), "car.toml")
    except VehicleFileError as caught:
        assert re.search(rf"car\.toml, line {number}, ", str(caught)), str(caught)
    else:
        assert vehicle.pack.usable_energy_kWh > 0
