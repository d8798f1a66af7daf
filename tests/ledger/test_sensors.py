"""How wrong sensors may be."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, CHARGING, MOTOR, channel, recording
from thawline.ledger.sensors import ROOT_12, rounding, sensors_of, step_of, usual_accuracy
from thawline.ledger.uncertain import deviation
from thawline.physics.constants import read_table
from thawline.quantities import Accuracy
from thawline.signals.catalogue import catalogue

CURRENT = BATTERY + "CurrentCurrent"


def test_the_vehicle_file_comes_first() -> None:
    """A stated accuracy is taken as it stands, and is no default."""
    made = recording({CURRENT: 3.0}, accuracies={CURRENT: Accuracy(0.5, 0.01)})
    sensors = sensors_of(made)
    assert deviation(sensors.gain[CURRENT]) == pytest.approx(0.01)
    assert deviation(sensors.zero[CURRENT]) == pytest.approx(0.5)
    assert CURRENT not in sensors.by_default


def test_defaults_by_kind() -> None:
    """Without a statement the kind decides, whatever a position or a name is called."""
    made = recording({CURRENT: 3.0, MOTOR + "Nose.StandstillHeat": 2.0})
    sensors = sensors_of(made)
    assert sensors.by_default == {CURRENT, MOTOR + "Nose.StandstillHeat"}
    assert usual_accuracy(MOTOR + "Nose.StandstillHeat").relative == 0.03
    assert usual_accuracy(BATTERY + "Coolant.InletTemperature").absolute == 0.5


def test_every_signal_of_the_catalogue_has_a_default() -> None:
    """No value of the catalogue is left without an accuracy, and each row has its reason."""
    for path, name in catalogue().items():
        if not name.is_state:
            concrete = path.replace("<Position>", "Rear").replace("<Name>", "Air")
            found = usual_accuracy(concrete)
            assert found.absolute > 0.0 or found.relative > 0.0
    assert all(row["reason"] for row in read_table("thawline.ledger", "accuracies.csv"))


def test_rounding_of_a_standing_value() -> None:
    """A value that stands still keeps the whole error of its rounding: q over root 12."""
    made = channel(CHARGING + "ChargeCurrent.Phase1", lambda t: np.where(t < 2, t, 3.0))
    assert made.resolution == 1.0
    assert rounding(made) == pytest.approx(1.0 / ROOT_12, rel=0.01)


def test_rounding_averages_out_where_the_value_moves() -> None:
    """A ramp through 100 steps keeps a tenth of it."""
    made = channel(CURRENT, lambda t: np.floor(t / 36.0))
    assert made.resolution == 1.0
    assert rounding(made) == pytest.approx(0.1 / ROOT_12, rel=0.05)


def test_states_have_no_accuracy() -> None:
    """A state is not a sensor."""
    assert not sensors_of(recording({CHARGING + "IsCharging": 1.0})).gain


def test_a_step_from_few_values() -> None:
    """Two values tell a step by their distance, one by what it is a multiple of."""
    path = BATTERY + "Temperature.Min"
    two = channel(path, lambda t: np.where(t < 1800, -7.0, -6.5))
    assert two.resolution == 0.0
    assert step_of(two) == 0.5
    assert step_of(channel(path, -7.0)) == 1.0
    assert step_of(channel(path, -7.25)) == 0.25
    assert step_of(channel(path, 0.0)) == 0.0
    assert step_of(channel(MOTOR + "Rear.StandstillHeat", 3.0)) == 0.0
