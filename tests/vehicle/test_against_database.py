"""Holding vehicle files against a database."""

import re

import pytest

from tests.vehicle.files import BATTERY, CHARGING, HEAD, database
from thawline.errors import VehicleFileError
from thawline.vehicle.against_database import check_against_database
from thawline.vehicle.read import read_vehicle_text

CURRENT = BATTERY + "CurrentCurrent"


def findings(path, *lines):
    """What one signal gives; its header is in line 5."""
    text = HEAD + "\n".join([f'[signals."{path}"]', *lines]) + "\n"
    return check_against_database(read_vehicle_text(text, "car.toml"), database())


@pytest.mark.parametrize(
    ("path", "lines"),
    [
        (CURRENT, ['from = "PackPower.Current"']),
        (CURRENT, ['from = "PackPower.Current"', 'unit = "A"']),
        (CURRENT, ['from = "PackPower.Current"', 'unit = "amps"']),
        (CURRENT, ['from = "PackPower.Unitless"', 'unit = "mA"']),
        (CHARGING + "IsCharging", ['from = "Charger.State"', 'true_when = ["charging", 1]']),
        (CHARGING + "IsCharging", ['from = "PackPower.Odd"']),
    ],
)
def test_what_fits_gives_no_finding(path, lines):
    """The same unit however it is spelt, labels in any case, states without regard to units."""
    assert findings(path, *lines) == []


def test_units_that_differ_are_told():
    """The vehicle file's is used, and both are named."""
    (found,) = findings(CURRENT, 'from = "PackPower.Current"', 'unit = "mA"')
    assert (found.kind, found.line) == ("unit-differs", 5)
    assert re.search(r"'PackPower.Current' in 'mA', the database in 'A'; .* is used", found.what)
    assert str(found).startswith("line 5: ")
    assert found.sentence("car.toml").startswith("car.toml, line 5: ")


def test_a_database_unit_that_nobody_knows_differs_too():
    """The vehicle file's unit makes up for it."""
    (found,) = findings(CURRENT, 'from = "PackPower.Odd"', 'unit = "A"')
    assert found.kind == "unit-differs"


def test_no_unit_anywhere_is_told():
    """The catalogue's is taken, and the file can say so."""
    (found,) = findings(CURRENT, 'from = "PackPower.Unitless"')
    assert found.kind == "unit-missing"
    assert "taken as A" in found.what
    assert 'unit = "A"' in found.cure


@pytest.mark.parametrize(
    ("path", "lines", "message"),
    [
        (CURRENT, ['from = "PackPower.Curent"'], r"'PackPower.Curent'.*'PackPower.Current'"),
        (CURRENT, ['from = "Nowhere.Nothing"'], r"no signal 'Nowhere.Nothing'"),
        (CURRENT, ['from = "PackPower.Voltage"'], r"'V' measures a voltage, .* is a current"),
        (CURRENT, ['from = "PackPower.Odd"'], r"the unit 'furlongs_' is unknown.*unit = \"A\""),
        (
            CHARGING + "IsCharging",
            ['from = "Charger.State"', 'true_when = "CHARGNG"'],
            r"true_when \(='CHARGNG'\) is no label of 'Charger.State'. Did you mean 'CHARGING'",
        ),
        (
            CHARGING + "IsCharging",
            ['from = "Charger.State"', 'true_when = "xx"'],
            r"It has IDLE, WAITING, CHARGING",
        ),
        (
            CHARGING + "IsCharging",
            ['from = "PackPower.Unitless"', 'true_when = "ON"'],
            r"It has no labels: write codes",
        ),
    ],
)
def test_what_does_not_fit_is_an_error(path, lines, message):
    """File, line, path, value, and the nearest right one or the cure."""
    with pytest.raises(VehicleFileError, match=message) as caught:
        findings(path, *lines)
    assert str(caught.value).startswith(f'car.toml, line 5, signals."{path}": ')


def test_all_that_does_not_fit_is_said_at_once():
    """One line each."""
    text = HEAD + f'[signals."{CURRENT}"]\nfrom = "A.B"\n[signals."Speed"]\nfrom = "C.D"\n'
    with pytest.raises(VehicleFileError) as caught:
        check_against_database(read_vehicle_text(text, "car.toml"), database())
    assert len(str(caught.value).splitlines()) == 2
