"""Signals of a vehicle file that are wrong: each is named with its line and the cure."""

import re

import pytest

from tests.vehicle.files import CHARGING, HEAD
from tests.vehicle.reading import error, signal

SIGNALS = [
    ("Speed", ['unit = "V"'], 7, r"'V' measures a voltage, .* is a speed .* 'km/h' or 'm/s'$"),
    ("Speed", ['unit = "km/s"'], 7, r"'km/s' is 3600 km/h, more than this signal ever is"),
    ("Speed", ['unit = "kp/h"'], 7, r"unit 'kp/h' is unknown. Did you mean 'kph'\?$"),
    ("Speed", ['unit = "wombat"'], 7, r"unit 'wombat' is unknown. Write 'km/h' or 'm/s'$"),
    ("Speed", ["unit = 3"], 7, r'unit \(=3\) must be a text in quotes. Write unit = "3"$'),
    ("Speed", ["sign = 0"], 7, r"sign \(=0\) must be 1 or -1. If the values need a factor"),
    ("Speed", ["sign = 2.5"], 7, r"sign \(=2.5\) must be 1 or -1"),
    ("Speed", ['sign = "-1"'], 7, r"sign \(='-1'\) must be a number.* Write sign = -1$"),
    ("Speed", ['accuracy = "good"'], 7, r"accuracy \(='good'\) cannot be read. .* 0.5 km/h$"),
    ("Speed", ['accuracy = "0.5"'], 7, r"accuracy \(='0.5'\) cannot be read"),
    ("Speed", ['accuracy = "1 V"'], 7, r"accuracy \(='1 V'\) cannot be read: .*'V'"),
    ("Speed", ['accuracy = "-1 %"'], 7, r"accuracy \(='-1 %'\) cannot be read"),
    ("Speed", ['accuracy = "120 %"'], 7, r"accuracy \(='120 %'\) must be below 100 %"),
    ("Speed", ["accuracy = 0.5"], 7, r'must be a text in quotes. .* accuracy = "0.5 %"$'),
    ("Speed", ["bus = 0"], 7, r'bus \(=0\) must be a text in quotes. Write bus = "0"$'),
    (CHARGING + "IsCharging", ['unit = "A"'], 7, r"'A' measures a current, .* on or off"),
    (CHARGING + "IsCharging", ['unit = "x!"'], 7, r"'x!' is unknown. Leave the unit out$"),
    (CHARGING + "IsCharging", ["true_when = true"], 7, r"true_when \(=true\) must be a code"),
    (CHARGING + "IsCharging", ["true_when = [1, true]"], 7, r"must be a code, a label in quotes"),
    ("Sped", [], 5, r"path 'Sped' is unknown. Did you mean 'Speed'\?$"),
    ("CurrentCurrent", [], 5, r"Did you mean 'Powertrain.TractionBattery.CurrentCurrent'\?$"),
    ("xyzzy", [], 5, r"'xyzzy' is unknown. The catalogue of signal names lists all$"),
    (
        "Powertrain.ElectricMotor.Rear.Temprature",
        [],
        5,
        r"Did you mean 'Powertrain.ElectricMotor.Rear.Temperature'\?$",
    ),
    (
        "Powertrain.ElectricMotor.<Position>.Temperature",
        [],
        5,
        r"leaves <Position> open. Write a word .* 'Powertrain.ElectricMotor.Rear.Temperature'$",
    ),
]


@pytest.mark.parametrize(("path", "lines", "line", "message"), SIGNALS)
def test_a_signal_that_is_wrong(path, lines, line, message):
    """File, line, path, value, and the nearest right one or the cure."""
    said = error(signal(path, *lines))
    assert said.startswith(f'car.toml, line {line}, signals."{path}": '), said
    assert re.search(message, said), said


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (HEAD + '[signals."Speed"]\nunit = "km/h"', r"line 5, .*key 'from' is missing"),
        (HEAD + '[signals."Speed"]\nfrom = "  "', r"line 6, .*from \(='  '\) must not be empty"),
        (HEAD + '[signals."Speed"]', r"line 5, .*key 'from' is missing"),
        (HEAD + '[signals]\nSpeed = "A.B"', r'line 6, .*must be a table. Write { from = "A.B" }'),
        ("signals = 3\n" + HEAD, r"line 1, \[signals\]: .*must be tables, such as"),
        (
            signal("Speed") + '[signals."Vehicle.Speed"]\nfrom = "A.C"',
            r"line 7, .*the path stands in line 5 already",
        ),
    ],
)
def test_a_signal_without_its_source(text, message):
    """Missing, empty, of another shape, or given twice."""
    assert re.search(message, error(text))
