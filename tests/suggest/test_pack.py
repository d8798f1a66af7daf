import numpy as np
import pytest

from tests.suggest import morning
from thawline.suggest.pack import find_pairs, is_pack_voltage, level_pairs, power_pairs

SEGMENT = np.zeros(morning.SECONDS, dtype=np.int64)
VOLTS = morning.reading("voltage", "voltage")


def test_the_resistance_and_the_sign_are_those_of_the_car():
    """ΔU = R ΔI with the R that the morning was made with; this bus counts discharge positive."""
    pair = find_pairs([VOLTS], [morning.reading("current", "current")], SEGMENT)[0]
    cold = morning.OHM * np.exp(29.0 / 40.0)
    assert morning.OHM < pair.resistance_ohm < cold
    assert pair.sign == -1
    assert pair.explained > 0.8


def test_another_current_explains_the_voltage_less():
    """The supply's current is no rival of the pack's."""
    currents = [morning.reading(name, "current") for name in ("supply_amps", "current")]
    best, *others = find_pairs([VOLTS], currents, SEGMENT)
    assert best.current.key == "current"
    assert all(other.explained < best.explained - 0.3 for other in others)


def test_a_mains_voltage_is_not_a_packs():
    """It comes and goes; a pack's does not."""
    assert is_pack_voltage(VOLTS)
    assert not is_pack_voltage(morning.reading("supply_volts", "voltage"))


def test_where_only_the_power_is_told_the_current_is_worked_out():
    """I = P / U gives the same resistance."""
    from dataclasses import replace

    current = morning.reading("current", "current")
    watts = VOLTS.values * current.values / 1e3
    power = replace(current, key="power", kind="power", unit="kW", values=watts, step=0.01)
    (pair,) = power_pairs([VOLTS], [power], SEGMENT)
    assert pair.is_power
    assert pair.sign == -1
    np.testing.assert_allclose(pair.power_kW, -watts, atol=1e-9)


def test_levels_alone_give_both_signs_to_be_confirmed():
    """Nothing is decided by levels: both signs are offered, and nothing is called explained."""
    found = level_pairs([VOLTS], [morning.reading("current", "current")])
    assert [pair.sign for pair in found] == [1, -1]
    assert {pair.explained for pair in found} == {0.0}


@pytest.mark.parametrize("said", [True, False])
def test_units_need_not_be_stated(said):
    """The answer to the current is the same where nobody says what is what."""
    volts = morning.reading("voltage", "voltage", said=said)
    pair = find_pairs([volts], [morning.reading("current", "current", said=said)], SEGMENT)[0]
    assert pair.sign == -1
