"""Vehicles as files."""

import pytest

from thawline.errors import RequestError
from thawline.simulator.build import read_build
from thawline.simulator.demo import vehicle

LEAST = """
name = "Plover"
[pack]
energy_kWh = 40
cells_in_series = 96
chemistry = "NMC"
heat_capacity_kJ_per_K = 220
resistance_mOhm = 90
[drive_units]
positions = ["Rear"]
"""


def test_the_demo_s_vehicles_are_as_told():
    """Gannet: two drive units, LFP, 72 kWh, 108 cells; Petrel: one, NMC, 58 kWh, 96 cells."""
    gannet, petrel = vehicle("gannet")[0], vehicle("petrel")[0]
    facts = [
        (b.name, len(b.drive_units.positions), b.pack.chemistry, b.pack.energy_kWh)
        for b in (gannet, petrel)
    ]
    assert facts == [("Gannet", 2, "LFP", 72.0), ("Petrel", 1, "NMC", 58.0)]
    assert (gannet.pack.cells_in_series, petrel.pack.cells_in_series) == (108, 96)


def test_a_build_needs_little(tmp_path):
    """Name, pack and drive units are enough; the rest is usual."""
    path = tmp_path / "plover.toml"
    path.write_text(LEAST)
    build = read_build(path)
    assert build.charger.rated_kW == 11.0
    assert build.cabin.heaters_W == {"Main": 5000.0}


def test_a_wrong_key_is_told_with_the_nearest_right_one(tmp_path):
    """A misspelt key is an error that names the right one."""
    path = tmp_path / "plover.toml"
    path.write_text(LEAST.replace("resistance_mOhm", "resistence_mOhm"))
    with pytest.raises(RequestError, match="resistance_mOhm"):
        read_build(path)
