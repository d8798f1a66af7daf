import numpy as np
import pytest

from tests.suggest import morning
from thawline.suggest.charge import count_all, is_charge_like
from thawline.suggest.pack import find_pairs

SEGMENT = np.zeros(morning.SECONDS, dtype=np.int64)


def pair():
    return find_pairs(
        [morning.reading("voltage", "voltage")], [morning.reading("current", "current")], SEGMENT
    )[0]


def test_the_integral_gives_the_energy_between_empty_and_full():
    """60 kWh, within 2 %, and the stated uncertainty covers the difference."""
    (found,) = count_all([morning.reading("physical", "share")], pair(), SEGMENT)
    assert found.is_counted
    assert found.energy_kWh == pytest.approx(morning.ENERGY_KWH, rel=0.02)
    off = abs(found.energy_kWh - morning.ENERGY_KWH)
    assert off < 3.0 * found.energy_plus_minus_kWh


def test_a_displayed_charge_is_not_counted():
    """It rises by warming, so the integral does not explain it."""
    (found,) = count_all([morning.reading("displayed", "share")], pair(), SEGMENT)
    assert not found.is_counted
    assert found.rest_pct > 0.3


def test_a_charge_of_very_fine_steps_may_leave_a_trifle():
    """A rest of a hundredth of a percent is more than a step of 0.01 %, and no other charge."""
    from dataclasses import replace

    (found,) = count_all([morning.reading("physical", "share")], pair(), SEGMENT)
    fine = replace(found, rest_steps=1.2, rest_pct=0.012, explained=0.9995)
    assert fine.is_counted
    assert not replace(fine, explained=0.95).is_counted
    assert not replace(fine, rest_pct=0.4).is_counted


def test_a_duty_cycle_is_no_state_of_charge():
    """It jumps; a pack never charges by 40 percent in a second."""
    from dataclasses import replace

    charge = morning.reading("physical", "share")
    assert is_charge_like(charge)
    jump = np.where(np.arange(morning.SECONDS) < 200, 0.0, 40.0)
    assert not is_charge_like(replace(charge, values=jump))


def test_gaps_are_no_charge():
    """Cut into stretches with an offset each, the energy is the same."""
    stretches = np.repeat([0, 1, 2], morning.SECONDS // 3)
    (found,) = count_all([morning.reading("physical", "share")], pair(), stretches)
    assert found.energy_kWh == pytest.approx(morning.ENERGY_KWH, rel=0.05)
