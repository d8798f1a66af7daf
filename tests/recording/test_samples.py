"""From raw samples to a channel: units, signs, and what is not a value."""

import numpy as np
import pytest

from thawline.errors import VehicleFileError
from thawline.quantities import Accuracy
from thawline.recording.samples import Raw, make_channel
from thawline.signals.catalogue import find_signal
from thawline.vehicle.vehicle import Pack, SignalSource, Vehicle

VEHICLE = Vehicle("Gannet", Pack(72.0), file="gannet.toml")
COLDEST = "Powertrain.TractionBattery.Temperature.Min"
CURRENT = "Powertrain.TractionBattery.CurrentCurrent"
CABLE = "Powertrain.TractionBattery.Charging.ChargingPort.Any.IsChargingCableConnected"


def made(path, values, spec=None, **raw):
    values = np.asarray(values, float)
    raw.setdefault("unit", None)
    spec = spec or {}
    source = SignalSource(path, "M.S", line=7, **spec)
    times = np.arange(len(values)) * 0.1
    return make_channel(find_signal(path), source, Raw(times, values, **raw), VEHICLE, ())


def test_unit_and_sign_become_the_catalogues():
    """32 °F is 0 °C; a bus that counts discharge positive is turned round."""
    channel, told = made(COLDEST, [32.0, 50.0, 14.0], {"unit": "degF"})
    assert channel.values == pytest.approx([0.0, 10.0, -10.0]) and told == []
    channel, _ = made(CURRENT, [1500.0, -200.0], {"unit": "mA", "sign": -1.0})
    assert channel.values == pytest.approx([-1.5, 0.2]) and channel.unit == "A"


def test_the_sources_unit_is_used_when_the_vehicle_file_names_none():
    """A unit of the database counts, if it measures the same."""
    channel, told = made(COLDEST, [14.0, 32.0], unit="°F")
    assert channel.values == pytest.approx([-10.0, 0.0]) and told == []
    channel, told = made(COLDEST, [14.0, 32.0], unit="bit")
    assert channel.values == pytest.approx([14.0, 32.0]) and "taken as degC" in told[0]
    _, told = made(COLDEST, [14.0, 32.0])
    assert "no unit is stated" in told[0]


def test_the_step_of_the_sensor_is_in_catalogue_units():
    """A sensor of whole degrees Fahrenheit has steps of five ninths of a kelvin."""
    channel, _ = made(COLDEST, np.round(np.linspace(10, 40, 200)), {"unit": "degF"})
    assert channel.resolution == pytest.approx(5.0 / 9.0)


def test_codes_of_all_ones_are_not_values():
    """An eight-bit temperature of 215 °C, and a current far from all others, are left out."""
    channel, told = made(COLDEST, [215.0, 215.0, -8.0, -7.5], {"unit": "degC"}, span=(-40.0, 215.0))
    assert channel.values.tolist() == [-8.0, -7.5] and told == []
    channel, _ = made(CURRENT, [2000.0, 3.0, 4.0], {"unit": "A"}, span=(-2000.0, 2000.0))
    assert channel.values.tolist() == [3.0, 4.0]


def test_a_true_extreme_is_kept():
    """A charge of 100 % at the end of its range next to 99.6 % is a value."""
    path = "Powertrain.TractionBattery.StateOfCharge.Current"
    channel, _ = made(path, [99.2, 99.6, 100.0], {"unit": "%"}, span=(0.0, 100.0))
    assert channel.values.tolist() == [99.2, 99.6, 100.0]


def test_zero_is_a_value_though_all_else_is_invalid():
    """A heater that never ran shows zeros after a start of all ones: the zeros are kept."""
    heater = "Cabin.HVAC.Heater.Any.Power"
    channel, _ = made(heater, [12775.0] * 5 + [0.0] * 50, {"unit": "W"}, span=(0.0, 12775.0))
    assert channel.values.tolist() == [0.0] * 50
    channel, told = made(heater, [12775.0] * 20, {"unit": "W"}, span=(0.0, 12775.0))
    assert channel is None and "never showed a value" in told[0]


def test_a_code_of_all_ones_not_far_away_is_known_by_its_jump():
    """A limit of 102.3 before 82 is no value; one that rises to its end step by step is."""
    path = "Powertrain.TractionBattery.Limits.ChargePower"
    slow = np.linspace(80.0, 82.0, 50)
    channel, _ = made(path, [102.3, 102.3, *slow], {"unit": "kW"}, span=(0.0, 102.3))
    assert channel.values.max() == 82.0
    rising = np.linspace(80.0, 102.3, 224)
    channel, _ = made(path, rising, {"unit": "kW"}, span=(0.0, 102.3))
    assert channel.values.max() == 102.3


def test_the_highest_code_of_a_wide_state_is_no_value():
    """Of two bits, three means not available unless a label says otherwise."""
    channel, _ = made(CABLE, [3, 3, 0, 1], span=(0.0, 3.0))
    assert channel.values.tolist() == [0, 1]


def test_labels_that_say_no_value_are_left_out():
    """`SNA` and `not available` are no values, whatever their code."""
    channel, _ = made(
        COLDEST,
        [-9.0, 88.0, -8.0],
        {"unit": "degC"},
        codes=np.array([31.0, 128.0, 32.0]),
        labels={128.0: "SNA"},
    )
    assert channel.values.tolist() == [-9.0, -8.0]


def test_states_by_code_by_label_and_by_choice():
    """Any code but zero is true, unless its label says off or the vehicle file chooses."""
    channel, told = made(CABLE, [0, 1, 1, 0])
    assert channel.values.tolist() == [0, 1, 1, 0] and channel.is_state and told == []
    labels = {0.0: "not available", 1.0: "Disconnected", 2.0: "Connected"}
    channel, _ = made(CABLE, [0, 1, 2], codes=np.array([0.0, 1.0, 2.0]), labels=labels)
    assert channel.values.tolist() == [0, 1]
    channel, _ = made(CABLE, [0, 1, 2, 3], {"true_when": (3,)})
    assert channel.values.tolist() == [0, 0, 0, 1]
    channel, _ = made(
        CABLE, [1, 2], {"true_when": ("connected",)}, codes=np.array([1.0, 2.0]), labels=labels
    )
    assert channel.values.tolist() == [0, 1]
    _, told = made(CABLE, [0, 1, 2, 3])
    assert "true_when" in told[0]


def test_a_label_that_the_source_does_not_have_is_told_and_not_waited_for():
    """A table without labels under a vehicle file that names one: not zero is true."""
    channel, told = made(CABLE, [0, 1, 1], {"true_when": ("In",)})
    assert channel.values.tolist() == [0, 1, 1] and "no label 'In'" in told[0]


def test_a_wrong_unit_is_an_error_that_names_line_value_and_unit():
    """350 V stated as kV can't be: the message says where and what to ask oneself."""
    with pytest.raises(VehicleFileError) as caught:
        made("Powertrain.TractionBattery.CurrentVoltage", 340 + np.arange(20.0), {"unit": "kV"})
    text = str(caught.value)
    assert "gannet.toml" in text and "line 7" in text and "'kV'" in text and "340000" in text


def test_a_few_impossible_values_are_left_out_and_told():
    """Ten believable samples and one of 900 °C: ten are kept, one is told of."""
    channel, told = made(COLDEST, [*np.linspace(-9, -8, 10), 900.0], {"unit": "degC"})
    assert len(channel.t) == 10 and "1 of 11 samples" in told[0]


def test_a_signal_that_never_showed_a_value_is_none_and_told():
    """All codes invalid: no channel, and a word about it."""
    channel, told = made(COLDEST, [np.nan, np.nan], {"unit": "degC"})
    assert channel is None and "never showed a value" in told[0]


def test_accuracy_goes_along():
    """What the vehicle file states reaches the channel."""
    channel, _ = made(CURRENT, [1.0, 2.0], {"unit": "A", "accuracy": Accuracy(0.0, 0.01)})
    assert channel.accuracy == Accuracy(0.0, 0.01)
