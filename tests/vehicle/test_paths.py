"""Paths, and the nearest right one to a wrong one."""

import pytest

from thawline.signals.catalogue import catalogue
from thawline.vehicle.paths import known_signal, nearest_right_path, path_problem, short_path

MOTOR = "Powertrain.ElectricMotor."


@pytest.mark.parametrize("path", catalogue())
def test_every_path_of_the_catalogue_is_right_once_it_is_concrete(path):
    """With and without the standard's leading ``Vehicle.``."""
    concrete = path.replace("<Position>", "Rear").replace("<Name>", "Left_2")
    assert path_problem(concrete) is None
    assert short_path(f"Vehicle.{concrete}") == concrete
    assert known_signal(concrete).unit == catalogue()[path].unit


@pytest.mark.parametrize(
    ("wrong", "right"),
    [
        ("speed", "Speed"),
        ("powertrain.tractionbattery.currentvoltage", "Powertrain.TractionBattery.CurrentVoltage"),
        ("StateOfCharge.Displayed", "Powertrain.TractionBattery.StateOfCharge.Displayed"),
        (MOTOR + "Front.Sped", MOTOR + "Front.Speed"),
        ("Cabin.HVAC.Heater.Row2.power", "Cabin.HVAC.Heater.Row2.Power"),
        (
            "Powertrain.TractionBattery.Temperature.Minimum",
            "Powertrain.TractionBattery.Temperature.Min",
        ),
        ("Exterior.Temperature", "Exterior.AirTemperature"),
    ],
)
def test_the_nearest_right_path(wrong, right):
    """A slip of the pen, of case, or the last words alone; the person's own words are kept."""
    assert nearest_right_path(wrong) == right
    problem = path_problem(wrong)
    assert problem is not None
    assert right in problem[1]


def test_a_path_like_no_other_has_none():
    """Nothing is guessed."""
    assert nearest_right_path("zzz") is None


def test_an_unchecked_path_is_a_mistake_of_the_program():
    """Only paths that were checked are looked up so."""
    with pytest.raises(KeyError):
        known_signal("zzz")
