"""When a limit leaves zero."""

import numpy as np
import pytest

from tests.story.mornings import BATTERY, Plan, gannet, morning, scene
from thawline.story.gates import cell_name, charge_gate, coldest, coldest_path, regeneration_gate
from thawline.story.scene import make_scene
from thawline.vehicle.vehicle import Limits

PLAN = Plan(duration_s=1000.0, drive_s=None)


def test_the_threshold_is_learned_from_the_limit():
    """The coldest cell at which the limit left zero is what the recording shows."""
    gate = regeneration_gate(scene(PLAN))
    assert gate.origin == "seen" and gate.from_degC == pytest.approx(-1.0, abs=0.15)
    assert len(gate.open) == 1
    assert gate.wording("it").endswith("from which it is allowed (as this recording shows)")


def test_without_the_limit_the_vehicle_file_says():
    """The prior of the vehicle file comes next, and is named."""
    here = scene(Plan(duration_s=300.0, drive_s=None, leave_out=("Limits",)))
    gate = charge_gate(here)
    assert (gate.open, gate.from_degC, gate.source) == (None, 0.0, "as the vehicle file says")


def test_without_both_it_is_common_practice():
    """Common practice, no source: charging from 0 °C, regeneration from about −1 °C."""
    here = scene(
        Plan(duration_s=300.0, drive_s=None, leave_out=("Limits",)), gannet(limits=Limits())
    )
    assert charge_gate(here).from_degC == 0.0 and regeneration_gate(here).from_degC == -1.0
    assert "common practice" in charge_gate(here).source


def test_a_limit_that_opens_in_the_warm_teaches_nothing():
    """A limit that leaves zero at 5 °C does so for another reason than the cold."""
    t = np.arange(0.0, 600.0, 0.1)
    path = BATTERY + "Limits.ChargePower"
    plan = Plan(duration_s=600.0, start_degC=8.0, drive_s=None, request_s=None)
    recording, flows = morning(plan, None, {path: np.where(t > 300.0, 40.0, 0.0)})
    gate = charge_gate(make_scene(recording, flows))
    assert gate.origin == "vehicle file" and gate.open[0].begins.t_s == pytest.approx(300.0, abs=1)


def test_flicker_about_zero_opens_nothing():
    """A limit that flickers to one step for a second now and then stays shut."""
    t = np.arange(0.0, 600.0, 0.1)
    path = BATTERY + "Limits.RegenerationPower"
    plan = Plan(duration_s=600.0, drive_s=None)
    recording, flows = morning(plan, None, {path: np.where(t % 37.0 < 1.0, 0.3, 0.0)})
    assert regeneration_gate(make_scene(recording, flows)).open == ()


def test_the_mean_stands_for_the_coldest_cell():
    """Without the coldest cell the mean is read; without both nothing is."""
    plan = Plan(duration_s=300.0, drive_s=None, leave_out=("Temperature.Min",))
    assert coldest_path(scene(plan)) is None and coldest(scene(plan), 10.0) is None
    assert coldest(scene(PLAN), 10.0) == pytest.approx(-6.0, abs=0.2)
    here = make_scene(*morning(plan, None, {BATTERY + "Temperature.Average": -5.0}))
    assert cell_name(here) == "the pack's mean" and coldest(here, 10.0) == pytest.approx(-5.0)
    assert charge_gate(here).origin == "vehicle file"
