"""What units measure, and whether they suit a path."""

import pytest

from thawline.signals.catalogue import catalogue
from thawline.vehicle.measures import catalogue_units, unit_problem, what_it_measures


@pytest.mark.parametrize("unit", catalogue_units())
def test_every_unit_of_the_catalogue_is_known_by_what_it_measures(unit):
    """No message has to say that it measures something else."""
    assert what_it_measures(unit) != "something else"


@pytest.mark.parametrize(
    ("unit", "measured"),
    [
        # SI Brochure, 9th edition, tables 2, 4 and 8
        ("mV", "a voltage"),
        ("kA", "a current"),
        ("°F", "a temperature"),
        ("MJ", "an energy or a torque"),
        ("bar", "a pressure"),
        ("mile/hour", "a speed"),
        ("gallon/minute", "a volume flow"),
        ("mol", "something else"),
    ],
)
def test_what_a_unit_measures(unit, measured):
    """By its dimension, whatever its size."""
    assert what_it_measures(unit) == measured


@pytest.mark.parametrize(
    ("path", "unit"),
    [
        ("Speed", "m/s"),
        ("Speed", "mph"),
        ("Powertrain.TractionBattery.StateOfCharge.Current", "%"),
        ("Powertrain.TractionBattery.StateOfCharge.Current", "1"),
        ("Powertrain.TractionBattery.Temperature.Min", "K"),
        ("Powertrain.TractionBattery.CurrentPower", "kW"),
        ("Powertrain.TractionBattery.Charging.OutputPower", "W"),
        ("Powertrain.TractionBattery.Charging.SupplyEnergy", "MJ"),
        ("Powertrain.TractionBattery.Charging.IsCharging", "-"),
        ("Powertrain.TractionBattery.Coolant.Flow", "l/h"),
    ],
)
def test_units_that_suit(path, unit):
    """Other sizes of the same thing are converted later."""
    assert unit_problem(unit, catalogue()[path]) is None


@pytest.mark.parametrize("path", catalogue())
def test_a_unit_of_another_kind_suits_no_path(path):
    """A mass is nothing that the catalogue has; the message says what it is, and the cure."""
    problem = unit_problem("kg", catalogue()[path])
    assert problem is not None
    assert "'kg' measures a mass" in problem[0]
    assert (catalogue()[path].unit or "leave the unit out") in problem[1]
