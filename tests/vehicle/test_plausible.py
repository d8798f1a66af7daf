"""What can be but hardly is."""

import pytest

from tests.vehicle.files import BATTERY, HEAD, database
from thawline.vehicle.against_log import Logged
from thawline.vehicle.plausible import implausible
from thawline.vehicle.read import read_vehicle_text

MOTOR = "Powertrain.ElectricMotor."


def found(more, logged=Logged(), data=None):  # noqa: B008 # a frozen value without parts
    return implausible(read_vehicle_text(HEAD + more, "car.toml"), data, logged)


@pytest.mark.parametrize("capacity", [2.9, 6.3, 2.5, 8.0])
def test_published_heat_capacities_are_plausible(capacity):
    """2.9 (fastsim 3.1.0's fitted lump) to 6.3 kJ/K per kWh (160 Wh/kg at 1.0 kJ/(kg K))."""
    assert found(f"heat_capacity_kJ_per_K = {capacity * 72.0}") == []


@pytest.mark.parametrize("capacity", [2.0, 8.5])
def test_a_heat_capacity_outside_the_band_is_told(capacity):
    """With the band for this pack, and the line."""
    (one,) = found(f"heat_capacity_kJ_per_K = {capacity * 72.0}")
    assert (one.kind, one.line) == ("implausible", 5)
    assert "here 180 to 576 kJ/K" in one.what


@pytest.mark.parametrize(
    ("cells", "volts"),
    [(108, 346.0), (96, 355.0), (216, 700.0), (14, 51.0)],  # common practice, no source
)
def test_packs_as_they_are_built_are_plausible(cells, volts):
    """400 V, 800 V and 48 V packs."""
    assert found(f"cells_in_series = {cells}", Logged(voltage_V=volts)) == []


@pytest.mark.parametrize("volts", [35.0, 3460.0])
def test_a_number_of_cells_against_the_log(volts):
    """Ten times too few or too many volts; about how many cells would fit is said."""
    (one,) = found('cells_in_series = 108\nchemistry = "LFP"', Logged(voltage_V=volts))
    assert "V a cell" in one.what
    assert f"About {volts / 3.2:.0f} cells would fit" in one.cure


@pytest.mark.parametrize(("cells", "count"), [(108, 0), (216, 1)])
def test_a_number_of_cells_against_the_database(cells, count):
    """The database lets the voltage rise to 500 V: 216 cells in series cannot show in it."""
    signal = f'\n[signals."{BATTERY}CurrentVoltage"]\nfrom = "PackPower.Voltage"\n'
    assert len(found(f"cells_in_series = {cells}{signal}", data=database())) == count


def test_more_heated_drive_units_than_there_are():
    """The count and the paths must tell the same."""
    signals = "".join(
        f'[signals."{MOTOR}{at}.StandstillHeat"]\nfrom = "{at}"\n' for at in ("Front", "Rear")
    )
    (one,) = found(f"[drive_units]\ncount = 1\n{signals}")
    assert one.line == 6
    assert found(f"[drive_units]\ncount = 2\n{signals}") == []


def test_heat_mapped_twice():
    """The heat of all drive units and that of one: one of them is not used."""
    paths = (f"{MOTOR}StandstillHeat", f"{MOTOR}Rear.StandstillHeat")
    signals = "".join(f'[signals."{path}"]\nfrom = "{path}"\n' for path in paths)
    (one,) = found(signals)
    assert "those of single drive units are used" in one.what
