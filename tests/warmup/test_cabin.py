"""The cabin's model."""

from dataclasses import replace

import numpy as np
import pytest

from tests.warmup.proving_car import Build, Morning, record
from thawline.recording.flows import make_flows
from thawline.story.tell import tell
from thawline.warmup.cabin import PARAMETERS, cabin_case, cabin_prior, cabin_steps
from thawline.warmup.case import make_case
from thawline.warmup.fit import fit
from thawline.warmup.grid import INPUTS
from thawline.warmup.prior import to_values


def test_a_heated_cabin_settles_where_loss_equals_heat():
    """In the end T = T_o + g P / L; within two time constants it is most of the way."""
    mean, _ = cabin_prior(None)
    p = to_values(PARAMETERS, mean[None])
    steps = cabin_steps(p, 3.0, 60.0)
    x, u = np.full(3, -10.0), np.zeros(len(INPUTS))
    x[2] = 0.0
    u[INPUTS.index("cabin")], u[INPUTS.index("outside")] = 4.0, -10.0
    for _ in range(600):
        x = steps.F[0, 0] @ x + steps.G[0, 0] @ u
    assert x[0] == pytest.approx(-10.0 + p["cabin.gain"][0] * 4.0 / p["cabin.loss"][0], abs=0.01)
    assert x[1] == pytest.approx(x[0], abs=0.01)


def test_what_matters_of_a_cabin_is_found():
    """Heat over capacity and loss over capacity of the proving car, to a quarter."""
    recording, _ = record(Build(), Morning(cabin_s=(300.0, 3000.0), seed=2))
    flows = make_flows(recording)
    found = {p.name: p.value for p in fit(recording, flows, tell(recording, flows)).parameters}
    capacity = found["cabin.air_capacity"]
    assert found["cabin.gain"] / capacity == pytest.approx(0.9 / 60.0, rel=0.25)
    assert found["cabin.mass_conductance"] / capacity == pytest.approx(0.2 / 60.0, rel=0.4)


def test_without_a_thermometer_or_any_sign_of_heating_there_is_no_cabin():
    """Nothing recorded, nothing modelled."""
    for missing in (("AmbientAir",), ("Heater.Main", "IsConditioningRequested")):
        recording, _ = record(Build(), Morning(duration_s=600.0, leave_out=missing))
        flows = make_flows(recording)
        case = make_case(recording, flows, tell(recording, flows), 600.0)
        assert cabin_case(recording, flows, case.grid, case.sources.cabin_kW) is None


def test_a_request_alone_stands_for_an_assumed_heat():
    """Where no power is recorded, a request gives the time and common practice the height."""
    missing = ("Heater.Main", "Current")
    recording, _ = record(
        Build(), Morning(duration_s=900.0, cabin_s=(100.0, 900.0), leave_out=missing)
    )
    flows = make_flows(recording)
    case = make_case(recording, flows, tell(recording, flows), 900.0)
    cabin = cabin_case(recording, flows, case.grid, case.sources.cabin_kW)
    assert cabin is not None
    assert cabin.is_assumed
    assert cabin.grid.inputs[-1, INPUTS.index("cabin")] == 3.0


def test_what_other_powers_leave_while_the_cabin_is_wanted_is_its_heat():
    """Charger less pack, heat and the rest: within a tenth of what the heater takes."""
    morning = Morning(duration_s=900.0, cabin_s=(100.0, 900.0))
    found = []
    for missing in ((), ("Heater.Main",)):
        recording, _ = record(Build(), replace(morning, leave_out=missing))
        flows = make_flows(recording)
        case = make_case(recording, flows, tell(recording, flows), 900.0)
        assert case.sources.cabin_kW is not None
        found.append(float(case.sources.cabin_kW[300:800].mean()))
    assert found[1] == pytest.approx(found[0], rel=0.1)
