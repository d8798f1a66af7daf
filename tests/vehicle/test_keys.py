"""The table of keys."""

import pytest

from thawline.vehicle import vehicle as contract
from thawline.vehicle.keys import keys, range_problem

PARTS = {
    "pack": contract.Pack,
    "drive_units": contract.DriveUnits,
    "limits": contract.Limits,
    "charger": contract.Charger,
    "cabin": contract.Cabin,
    "coolant": contract.Coolant,
    "road": contract.Road,
}


def test_the_table_has_every_key_of_the_contract():
    """And none that the contract does not know."""
    fields = {(table, name) for table, part in PARTS.items() for name in part.__slots__}
    assert {names for names in keys() if names[0] in PARTS} == fields
    assert set(keys()) - fields == {
        ("vehicle", "name"),
        ("vehicle", "model"),
        ("table", "time"),
    }


@pytest.mark.parametrize("key", [key for key in keys().values() if key.kind != "text"], ids=str)
def test_bounds_make_sense(key):
    """What is usual can be; both ends can be; just beyond them cannot."""
    assert key.low < key.high
    if key.usual_low <= key.usual_high:
        assert key.low <= key.usual_low < key.usual_high <= key.high
    assert range_problem(key, key.low) is None
    assert range_problem(key, key.high) is None
    assert range_problem(key, key.high * 1.001 + 1e-6) is not None
    assert range_problem(key, float("nan")) is not None


@pytest.mark.parametrize(
    ("names", "value"),
    [
        # a two-seat runabout, a city bus, a heavy truck: common practice, no source
        (("pack", "usable_energy_kWh"), 6.1),
        (("pack", "usable_energy_kWh"), 350.0),
        (("pack", "usable_energy_kWh"), 620.0),
        (("pack", "cells_in_series"), 14),
        (("pack", "cells_in_series"), 216),
        (("pack", "resistance_mOhm"), 30.0),
        (("charger", "rated_kW"), 1.4),
        (("charger", "rated_kW"), 43.0),
        (("drive_units", "count"), 0),
        (("drive_units", "count"), 4),
    ],
)
def test_real_vehicles_of_any_size_are_taken(names, value):
    """The bounds are wide enough."""
    assert range_problem(keys()[names], value) is None
