from dataclasses import replace

import numpy as np
import pytest

from tests.suggest import morning
from thawline.suggest.supply import find_supplies, is_always_mains, is_supply_voltage

VOLTS = morning.reading("supply_volts", "voltage")
AMPS = morning.reading("supply_amps", "current")
OUTPUT = morning.rounded("output")


def test_voltage_and_current_of_the_supply_are_found_with_the_efficiency():
    """The charger of the morning gives 92 % of U I."""
    voltages = [VOLTS, morning.reading("voltage", "voltage")]
    currents = [AMPS, morning.reading("current", "current")]
    (found,) = find_supplies(voltages, currents, OUTPUT, frozenset())
    assert [one.key for one in found.voltages] == ["supply_volts"]
    assert [one.key for one in found.currents] == ["supply_amps"]
    assert found.efficiency == pytest.approx(0.92, abs=0.01)
    assert found.is_present.sum() == morning.SECONDS - morning.PLUGGED_AT


def test_three_phases_are_paired_in_the_order_of_the_database():
    """Three equal voltages and currents; their sum is what the charger turns into its output."""
    voltages = [replace(VOLTS, key=f"u{i}", order=i) for i in range(3)]
    currents = [
        replace(AMPS, key=f"i{i}", order=10 + i, values=AMPS.values / 3.0) for i in range(3)
    ]
    (found,) = find_supplies(voltages, currents, OUTPUT, frozenset())
    assert [one.key for one in found.currents] == ["i0", "i1", "i2"]
    assert found.efficiency == pytest.approx(0.92, abs=0.01)


def test_one_current_may_stand_for_three_phases():
    """A car that tells one phase of three: the rest is counted in whole phases."""
    third = replace(AMPS, values=AMPS.values / 3.0)
    (found,) = find_supplies([VOLTS], [third], OUTPUT, frozenset())
    assert found.efficiency == pytest.approx(0.92, abs=0.01)


def test_a_direct_voltage_is_told_from_mains():
    """410 V that come and go are no phase."""
    high = replace(VOLTS, values=np.where(VOLTS.values > 0, 410.0, 0.0))
    (found,) = find_supplies([high], [AMPS], None, frozenset())
    assert found.is_direct


def test_levels_of_mains():
    """Comes and goes, or always there in its unit; never a pack's."""
    assert is_supply_voltage(VOLTS)
    always = replace(VOLTS, values=np.full(morning.SECONDS, 231.0))
    assert is_always_mains(always)
    assert not is_always_mains(replace(always, is_said=False))
    assert not is_supply_voltage(morning.reading("voltage", "voltage"))
