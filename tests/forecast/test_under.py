"""Runs under a given programme, against algebra and a solver of its own kind."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tests.warmup.proving_car import Build, Morning, record
from thawline.errors import RequestError
from thawline.forecast.under import Programme, Soaked, run_under, steady
from thawline.recording.flows import make_flows
from thawline.story.tell import tell
from thawline.warmup.fit import fit
from thawline.warmup.grid import INPUTS
from thawline.warmup.network import continuous
from thawline.warmup.prior import to_values


@pytest.fixture(scope="module")
def warmup():
    """A fit of a plain morning with a conditioned cabin."""
    recording, _ = record(Build(), Morning(duration_s=1500.0, cabin_s=(200.0, 1500.0)))
    flows = make_flows(recording)
    return fit(recording, flows, tell(recording, flows))


def test_a_steady_programme_runs_as_a_solver_would_have_it(warmup):
    """The most probable car without noise follows solve_ivp (SciPy) to a thousandth of a kelvin."""
    programme = steady(60.0, 40, outside_degC=-12.0, drive_kW=5.0, flow_share=0.9)
    course = run_under(warmup, programme, Soaked(-10.0), sets=1, with_noise=False)
    p = to_values(warmup.pack.names, np.array(warmup.pack.mean)[None, :])
    A, B, _ = continuous(warmup.structure, p, np.array([0.9]), 5.0)
    inputs = np.zeros(len(INPUTS))
    inputs[INPUTS.index("drive")], inputs[INPUTS.index("outside")] = 5.0, -12.0
    first = np.zeros(len(warmup.structure.states))
    first[: len(warmup.structure.lumps)] = -10.0
    solved = solve_ivp(
        lambda _, x: A[0, 0] @ x + B[0, 0] @ inputs,
        (0.0, 2400.0),
        first,
        method="LSODA",
        t_eval=course.t,
        rtol=1e-9,
        atol=1e-9,
    )
    rows = [warmup.structure.states.index(lump) for lump in warmup.structure.pack]
    assert np.allclose(course.pack[:, 0], solved.y[rows].mean(axis=0), atol=1e-3)


def test_nothing_done_leaves_a_soaked_car_where_it_is(warmup):
    """No heat, air outside as cold as the car: all stays put."""
    course = run_under(
        warmup, steady(60.0, 30, outside_degC=-8.0), Soaked(-8.0), with_noise=False, sets=8
    )
    assert np.allclose(course.coldest, -8.0)
    assert course.cabin is not None
    assert np.allclose(course.cabin, -8.0)


def test_a_pump_that_stands_leaves_the_pack_cold_and_the_coolant_hot(warmup):
    """The same heat without flow: the pack warms by less than a third, the coolant by more."""
    runs, stands = (
        run_under(
            warmup,
            steady(60.0, 20, outside_degC=-8.0, drive_kW=6.0, flow_share=share),
            Soaked(-8.0),
            with_noise=False,
        )
        for share in (1.0, 0.0)
    )
    gained = [float(np.median(c.pack[-1])) + 8.0 for c in (runs, stands)]
    assert gained[1] < gained[0] / 3.0


def test_more_of_what_warms_makes_it_warmer(warmup):
    """Heat, pack power and milder air each raise the coldest cell; the cabin's heat its air."""

    def end(**given):
        programme = steady(60.0, 30, **({"outside_degC": -8.0} | given))
        return run_under(warmup, programme, Soaked(-8.0), cell_heat_per_kW2=1e-3, with_noise=False)

    plain = end(drive_kW=3.0)
    for more in ({"drive_kW": 4.0}, {"drive_kW": 3.0, "pack_kW": 20.0},
                 {"drive_kW": 3.0, "outside_degC": 0.0}):  # fmt: skip
        assert np.all(end(**more).coldest[-1] > plain.coldest[-1])
    assert np.all(end(drive_kW=3.0, cabin_kW=3.0).cabin[-1] > plain.cabin[-1] + 3.0)


def test_the_same_question_has_the_same_answer_and_members_differ(warmup):
    """The seed is fixed; the sample spreads; rows may differ member by member."""
    programme = steady(60.0, 20, outside_degC=-8.0, drive_kW=np.full((20, 16), 4.0))
    one, other = (run_under(warmup, programme, Soaked(-8.0), sets=16) for _ in range(2))
    assert np.array_equal(one.coldest, other.coldest)
    assert np.std(one.coldest[-1]) > 0.0


def test_a_programme_that_cannot_be_is_refused():
    """Rows of different lengths, and holes."""
    row = np.zeros(5)
    uneven = Programme(60.0, row, row, row, row, row, np.ones(4))
    holed = steady(60.0, 5, outside_degC=np.array([0.0, np.nan, 0.0, 0.0, 0.0]))
    recording, _ = record(Build(), Morning(duration_s=200.0))
    flows = make_flows(recording)
    warmup = fit(recording, flows, tell(recording, flows))
    with pytest.raises(RequestError, match="equally long"):
        run_under(warmup, uneven, Soaked(-8.0))
    with pytest.raises(RequestError, match="outside_degC"):
        run_under(warmup, holed, Soaked(-8.0))
