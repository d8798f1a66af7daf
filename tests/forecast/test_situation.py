"""What goes on at an instant: heat, supply, cabin, flow."""

import pytest

from tests.warmup.proving_car import Build, Morning, record
from thawline.forecast.allowed import LearnedLimits
from thawline.forecast.cut import cut_at
from thawline.forecast.situation import read_situation
from thawline.recording.flows import make_flows
from thawline.story.tell import find_acts, tell
from thawline.vehicle.vehicle import DriveUnits
from thawline.warmup.case import make_case


def situation(plan, now, build=None, limits=None, **changes):
    """Read what goes on at an instant of a morning."""
    recording, _ = record(build or Build(), plan, **changes)
    part = cut_at(recording, now)
    flows = make_flows(part)
    story = tell(part, flows)
    case = make_case(part, flows, story, now)
    return read_situation(part, flows, find_acts(part, flows), case, limits, now)


def test_heat_that_runs_goes_on_as_it_is():
    """Six point eight kilowatts that are measured are known to a few per cent."""
    now = situation(Morning(duration_s=900.0), 600.0)
    assert now.heat.state == "on"
    assert now.heat.drive_kW == pytest.approx(6.8, abs=0.05)
    assert now.heat.sigma < 0.05
    assert not now.is_spared
    assert now.supply.state == "there"
    assert now.supply.ceiling_kW == pytest.approx(9.6, abs=0.1)
    assert now.flow_share == pytest.approx(1.0, abs=0.05)


def test_heat_to_come_is_what_the_file_says_else_common_practice():
    """Stated heat, 3.4 kW per unit without it, and what earlier mornings showed before both."""
    plan = Morning(duration_s=300.0)
    stated = situation(plan, 70.0)
    usual = situation(plan, 70.0, drive_units=DriveUnits(count=1))
    learned = LearnedLimits(None, None, None, 0.0, 5.5, 1.2, 2)
    known = situation(plan, 70.0, limits=learned)
    assert stated.heat.state == "not-yet"
    assert [s.heat.drive_kW for s in (stated, usual, known)] == pytest.approx([6.8, 3.4, 5.5])
    assert usual.heat.sigma > stated.heat.sigma > known.heat.sigma
    assert known.flow_share == 1.2
    assert any("common practice" in text for text in usual.assumes)
    assert "Charging is requested." in usual.assumes


def test_a_young_heat_still_ramps_up():
    """Ten seconds after it began the level is what is expected and not what has been reached."""
    now = situation(Morning(duration_s=300.0), 100.0)
    assert now.heat.is_young
    assert now.heat.drive_kW == pytest.approx(6.8, abs=0.1)
    assert not now.pump_stopped


def test_a_lost_supply_interrupts_the_heat():
    """Two minutes after the supply failed heating is off and both times are known."""
    now = situation(Morning(duration_s=900.0, supply_out_s=(600.0, 900.0)), 720.0)
    assert now.supply.state == "lost"
    assert now.supply.lost_for_s == pytest.approx(120.0, abs=5.0)
    assert now.heat.state == "interrupted"
    assert now.heat.off_for_s == pytest.approx(113.0, abs=8.0)
    assert now.heat.drive_kW > 1.0


def test_a_supply_that_is_back_says_since_when():
    """Half a minute after its return it is there again."""
    now = situation(Morning(duration_s=900.0, supply_out_s=(600.0, 760.0)), 790.0)
    assert now.supply.state == "there"
    assert now.supply.back_for_s == pytest.approx(30.0, abs=5.0)


def test_spared_windings_are_seen():
    """Hot windings that give less than they did are spared; a cabin that shares is not that."""
    build = Build(spare_from_degC=60.0, iron_to_coolant=0.06)
    assert situation(Morning(duration_s=1500.0), 1400.0, build).is_spared


def test_a_pump_that_stands_is_seen():
    """Heat without flow, where there was flow before."""
    now = situation(Morning(duration_s=900.0, pump_fails_s=700.0), 780.0)
    assert now.pump_stopped
    assert now.still_share < 0.1 < now.flow_share
    assert any("pump may have failed" in text for text in now.assumes)


def test_the_cabin_counts_with_its_power():
    """A conditioned cabin is on, at what it draws."""
    now = situation(Morning(duration_s=900.0, cabin_s=(200.0, 900.0)), 600.0)
    assert now.cabin_on
    assert now.cabin_kW == pytest.approx(4.0, abs=0.2)
    assert now.comfortable_degC == 18.0


def test_nothing_known_of_a_supply_is_said():
    """Without any charging signal a supply is assumed, and the answer says so."""
    now = situation(Morning(duration_s=300.0, leave_out=("Charging",)), 200.0)
    assert now.supply.state in ("unknown", "none")
    assert "A supply is plugged in." in now.assumes
