"""The coldest cell's thermometer."""

import numpy as np

from tests.findings.made import COLDEST, coldest, kinds_of, looked, mean, noisy, on


def test_a_stuck_one_is_told():
    """It stands still from 1500 s on while the mean warms by fifteen kelvin."""
    stuck = noisy(lambda t: coldest(np.minimum(t, 1500.0)), 0.05, 0.1, 1)
    found = looked({COLDEST: stuck})
    assert "coldest-cell-sensor" in kinds_of(found)


def test_the_coldest_cannot_be_warmer_than_the_mean():
    """A drift upward breaks the order."""
    found = looked({COLDEST: lambda t: coldest(t) + 8.0 * on(t, 1800.0) * (t - 1800.0) / 900.0})
    assert "coldest-cell-sensor" in kinds_of(found)


def test_a_coldest_cell_does_not_cool_while_the_pack_warms():
    """A drift downward shows as cooling."""
    found = looked({COLDEST: lambda t: coldest(t) - 12.0 * on(t, 1800.0) * (t - 1800.0) / 900.0})
    assert "coldest-cell-sensor" in kinds_of(found)


def test_a_late_one_is_no_fault():
    """The end of a pack follows ten minutes late and is sound."""
    late = noisy(lambda t: mean(np.maximum(t - 600.0, 0.0)), 0.05, 0.1, 2)
    assert "coldest-cell-sensor" not in kinds_of(looked({COLDEST: late}))


def test_six_kelvin_off_from_the_night_shows_with_one_thermometer_and_the_air():
    """Of the pack only its mean is known besides; the air outside has the same."""
    alone = {"Powertrain.TractionBattery.Coolant.InletTemperature": None,
             "Powertrain.TractionBattery.Coolant.OutletTemperature": None,
             COLDEST: noisy(lambda t: coldest(t) - 6.0, 0.05, 0.1, 1)}  # fmt: skip
    assert "coldest-cell-sensor" in kinds_of(looked(alone))
    sound = {**alone, COLDEST: noisy(coldest, 0.05, 0.1, 1)}
    assert kinds_of(looked(sound)) == []
