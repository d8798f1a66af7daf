"""The cabin's model."""

from dataclasses import replace

import numpy as np
import pytest

from tests.forecast.cabin_car import Cabin, record_cabin
from tests.warmup.proving_car import Build, Morning, record
from thawline.forecast.cut import cut_at
from thawline.recording.flows import make_flows
from thawline.story.tell import tell
from thawline.warmup.cabin import (
    PARAMETERS,
    STATES,
    cabin_case,
    cabin_prior,
    cabin_steps,
    lagged_steps,
    run_cabin,
)
from thawline.warmup.case import make_case
from thawline.warmup.fit import fit
from thawline.warmup.grid import INPUTS
from thawline.warmup.prior import Prior, to_values


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


def test_glass_and_a_slow_heater_change_the_way_and_not_the_end():
    """With both the air ends where heat and loss are equal, and rises later at first."""
    mean, _ = cabin_prior(None)
    p = to_values(PARAMETERS, mean[None])
    bare, whole = cabin_steps(p, 3.0, 20.0), lagged_steps(p, 3.0, 20.0)
    u = np.zeros(len(INPUTS))
    u[INPUTS.index("cabin")], u[INPUTS.index("outside")] = 4.0, -10.0
    x, y = np.array([-10.0, -10.0, 0.0]), np.array([-10.0, -10.0, 0.0, 0.0, -10.0])
    for step in range(3000):
        x, y = bare.F[0, 0] @ x + bare.G[0, 0] @ u, whole.F[0, 0] @ y + whole.G[0, 0] @ u
        if step == 1:
            assert -10.0 < y[0] < x[0]
    assert y[0] == pytest.approx(x[0], abs=0.05)
    assert u[INPUTS.index("outside")] < y[STATES.index("glass")] < y[0]


def cased(cabin, now, morning):
    """Prepare a cabin as it is seen at an instant, on the clock of a look ahead."""
    recording, _ = record_cabin(cabin, morning)
    part = cut_at(recording, now)
    flows = make_flows(part)
    case = make_case(part, flows, tell(part, flows), now, 180)
    return cabin_case(part, flows, case.grid, case.sources.cabin_kW)


def test_a_cabin_has_a_clock_of_its_own():
    """It begins two or three minutes before the cabin's first heat and not before the pack's."""
    morning = Morning(duration_s=1700.0, request_s=90.0)
    case = cased(Cabin(on_s=((1200.0, 1700.0),)), 1600.0, morning)
    begins = case.grid.ends[0] - case.grid.step_s
    assert 1200.0 - 180.0 <= begins <= 1200.0 - 120.0
    assert case.grid.ends[-1] == 1600.0
    assert case.grid.step_s == 10.0
    heated = float(np.sum(case.grid.inputs[:, INPUTS.index("cabin")] * case.grid.lengths))
    assert heated == pytest.approx(float(case.kW.sum()), rel=0.01)
    assert 0.8 * 5.0 * 400.0 < heated < 5.0 * 400.0


def test_coarse_air_is_read_at_its_edges_and_fine_air_twice_a_minute():
    """Whole degrees bound the air between edges; tenths give a value each half minute."""
    morning = Morning(duration_s=1000.0)
    coarse, fine = (
        cased(Cabin(sensor_step_K=step, sensor_noise_K=0.0), 900.0, morning).seen
        for step in (1.0, 0.1)
    )
    assert np.isfinite(coarse.low).any()
    values = coarse.degC[np.isfinite(coarse.degC)][1:]
    assert len(values) > 20
    assert np.median(np.abs(values - np.floor(values) - 0.5)) < 0.2  # moved to a step's end
    assert not np.isfinite(fine.low).any()
    assert np.isfinite(fine.degC).sum() == pytest.approx(len(fine.degC) / 3, abs=1.5)


def test_a_cabin_that_was_warm_when_the_log_began_has_a_mass_of_unknown_warmth():
    """Heated from the first second: the mass may be as cold as outside or as warm as the air."""
    morning = Morning(duration_s=700.0, start_degC=10.0, outside_degC=-10.0)
    case = cased(Cabin(on_s=((0.0, 700.0),), ramp_s=1.0), 600.0, morning)
    mean, _ = cabin_prior(None, case)
    spread = np.sqrt(run_cabin(case, mean[None]).covariance[0, 1, 1])
    soaked = cased(Cabin(on_s=((300.0, 700.0),)), 600.0, morning)
    assert spread > 1.5 * np.sqrt(run_cabin(soaked, mean[None]).covariance[0, 1, 1])


def test_what_earlier_mornings_taught_of_some_parameters_is_taken():
    """Fits of an older kind knew no lag: the rest of them counts all the same."""
    learned = Prior(("cabin.loss", "cabin.gain"), np.log([0.05, 0.8]), np.diag([0.01, 0.02]))
    mean, covariance = cabin_prior(learned)
    assert np.exp(mean[PARAMETERS.index("cabin.loss")]) == pytest.approx(0.05)
    assert covariance[PARAMETERS.index("cabin.gain"), PARAMETERS.index("cabin.gain")] == 0.02
    assert np.exp(mean[PARAMETERS.index("cabin.slowness")]) == pytest.approx(0.28)
    assert np.all(np.linalg.eigvalsh(covariance) > 0.0)


def test_the_loss_that_is_believed_follows_the_heater():
    """A heater twice as strong is in a cabin that loses twice as much: 65 K over the outside."""
    found = []
    for kW in (2.0, 4.0):
        case = cased(Cabin(heater_kW=kW, set_degC=30.0), 900.0, Morning(duration_s=1000.0))
        mean, _ = cabin_prior(None, case)
        gain, loss = (mean[PARAMETERS.index(f"cabin.{name}")] for name in ("gain", "loss"))
        assert np.exp(gain - loss) * kW == pytest.approx(65.0, rel=0.03)
        found.append(np.exp(loss))
    assert found[1] == pytest.approx(2.0 * found[0], rel=0.03)


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
