"""One identifier that means different things on two buses."""

from tests.recording.making import START, write
from thawline.recording.gather import gather
from thawline.signals.database import read_database
from thawline.vehicle.read import read_vehicle

TOML = """[vehicle]
name = "Gannet"
[pack]
usable_energy_kWh = 72.0
[signals."Powertrain.TractionBattery.Temperature.Min"]
from = "PackCells.Coldest"
unit = "degC"
bus = "can0"
[signals."Exterior.AirTemperature"]
from = "PackCells.Coldest"
unit = "degC"
bus = "can1"
"""


def test_the_bus_decides_which_frames_a_signal_is_read_from(tmp_path):
    """The same signal mapped on two buses gives two channels, each its own."""
    text = [
        f"({START + i:.6f}) can{i % 2} 102#{(60 if i % 2 else 80):02X}520000" for i in range(40)
    ]
    log, database, vehicle = write(tmp_path, text, toml=TOML)
    channels = gather([log], read_vehicle(vehicle), read_database([database])).channels
    assert set(channels["Powertrain.TractionBattery.Temperature.Min"].values) == {0.0}
    assert set(channels["Exterior.AirTemperature"].values) == {-10.0}
