"""Vehicle files, read and checked by the room that reads everybody's."""

import pytest

from tests.simulator.made import gannet, plain
from thawline.signals.database import read_database
from thawline.simulator.demo import vehicle
from thawline.simulator.run import simulate
from thawline.simulator.write import write
from thawline.vehicle.against_database import check_against_database
from thawline.vehicle.read import read_vehicle


@pytest.mark.parametrize("name", ["gannet", "petrel"])
def test_the_demo_files_are_without_fault(name, tmp_path):
    """The vehicle file is valid and every signal that it names is in the database."""
    build, layout = vehicle(name)
    files = write(simulate(build, plain(duration_s=20.0)), layout, tmp_path)
    read = read_vehicle(files.vehicle_file)
    assert check_against_database(read, read_database([files.database])) == []
    assert read.name == build.name
    assert read.pack.usable_energy_kWh == build.pack.energy_kWh
    assert read.drive_units.count == len(build.drive_units.positions)
    assert len(read.signals) > 25


def test_the_sign_of_the_bus_is_told(tmp_path):
    """Gannet counts discharge positive; its vehicle file says so."""
    files = write(simulate(gannet(), plain(duration_s=20.0)), vehicle("gannet")[1], tmp_path)
    signals = read_vehicle(files.vehicle_file).signals
    assert signals["Powertrain.TractionBattery.CurrentCurrent"].sign == -1.0
