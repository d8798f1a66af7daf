"""What keeps regeneration from being more."""

import numpy as np
import pytest

from tests.story.mornings import MORE, Plan, morning
from thawline.story import names
from thawline.story.tell import tell
from thawline.story.why_not import why_not

PLAN = Plan(duration_s=900.0, drive_s=(700.0, 890.0), unplug_s=650.0)
T = np.arange(0.0, 900.0, 0.1)


def ask(t_s, plan=PLAN, more=None):
    recording, flows = morning(plan, None, more)
    return why_not(recording, flows, tell(recording, flows), "regeneration", t_s)


def test_the_coldest_cell_shuts_it():
    """Below its threshold the coldest cell is the answer, with the numbers."""
    found = ask(250.0)
    assert found.limit == "coldest-cell"
    assert "the coldest cell is at −3.6 °C, below the −1." in found.because


def test_a_standing_car_asks_for_none():
    """A car that stands does not brake; what would be allowed is said."""
    found = ask(600.0)
    assert found.limit == "not-requested"
    assert "the car stands" in found.because and "the limit allows" in found.because


def test_at_its_limit_the_cold_holds_it():
    """Power flowing back at the limit of a cold pack is held by the coldest cell."""
    power = np.where((T > 750.0) & (T < 800.0), -6.0, 0.0)
    more = {MORE["motor"]: power, names.REGENERATION_LIMIT: 6.0 + 0.0 * T}
    found = ask(775.0, more=more)
    assert found.limit == "coldest-cell" and found.now_kW == pytest.approx(6.0, abs=0.1)


def test_a_full_pack_takes_little():
    """A warm pack at 95 % is full, not cold."""
    power = np.where((T > 750.0) & (T < 800.0), -6.0, 0.0)
    more = {
        MORE["motor"]: power,
        names.REGENERATION_LIMIT: 6.0 + 0.0 * T,
        names.CHARGE_PHYSICAL: 95.0,
    }
    assert ask(775.0, more=more).limit == "target-reached"


def test_without_a_limit_little_is_known():
    """Below the threshold the cell answers; driving warm, the signal that would tell is named."""
    plan = Plan(**{**PLAN.__dict__, "leave_out": ("Limits",)})
    assert ask(250.0, plan).limit == "coldest-cell"
    assert "Limits.RegenerationPower would tell" in ask(600.0, plan).because
    blind = Plan(**{**PLAN.__dict__, "leave_out": ("Limits", "Speed", "Temperature.Min")})
    assert ask(250.0, blind).limit == "nothing-known"
