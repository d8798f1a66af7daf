"""The equations of the lumps."""

from dataclasses import replace

import numpy as np
import pytest

from thawline.vehicle.vehicle import DriveUnits, Pack, Vehicle
from thawline.warmup.grid import INPUTS
from thawline.warmup.network import continuous, flow_factor, readout, steps_of
from thawline.warmup.prior import prior_for, to_values
from thawline.warmup.structure import Structure, expected, smallest

CAR = Vehicle("Gannet", Pack(72.0, heat_capacity_kJ_per_K=500.0), DriveUnits(count=2))
ALL = ("metal", "coolant", "outlet", "warmest", "bulk", "coldest")
DRIVE, HEATER, OUTSIDE = (INPUTS.index(name) for name in ("drive", "heater", "outside"))


def values(structure: Structure) -> dict[str, np.ndarray]:
    """Prior medians of a structure."""
    return to_values(structure.parameters, prior_for(structure, CAR)[0][None])


def test_one_lump_answers_a_step_as_the_textbook_says():
    """T(t) = T_a + P/UA (1 - e^(-t UA/C)) for one lump (Incropera, lumped capacitance)."""
    structure = Structure(("bulk",), ("bulk",))
    p = values(structure)
    C, UA = p["pack.heat_capacity"][0], p["pack.loss"][0]
    steps = steps_of(structure, p, np.ones(1), 1.0, 40.0)
    x = np.array([-10.0, 0.0])
    u = np.zeros(len(INPUTS))
    u[DRIVE], u[OUTSIDE] = 5.0, -10.0
    for k in range(1, 200):
        x = steps.F[0, 0] @ x + steps.G[0, 0] @ u
        wanted = -10.0 + 5.0 / UA * (1.0 - np.exp(-40.0 * k * UA / C))
        assert np.isclose(x[0], wanted, rtol=1e-9)


@pytest.mark.parametrize("seen", [("coldest",), ("coolant", "bulk"), ALL])
def test_heat_is_kept(seen):
    """What lumps gain is what heaters give less what goes to the air outside."""
    structure = expected(smallest(seen, has_flow=True, heat="measured"))
    p = values(structure)
    A, B, _ = continuous(structure, p, np.array([0.0, 1.0, 2.5]), 5.0)
    capacity = np.zeros(len(structure.states))
    for lump in structure.lumps:
        i = structure.states.index(lump)
        if lump in structure.pack:
            capacity[i] = p["pack.heat_capacity"][0] / len(structure.pack)
        elif lump != "coldest":
            capacity[i] = p[f"{lump}.heat_capacity"][0]
    rng = np.random.default_rng(1)
    for flow in range(3):
        x = rng.normal(0.0, 20.0, len(capacity))
        u = np.zeros(len(INPUTS))
        u[DRIVE], u[HEATER], u[OUTSIDE] = 3.0, 2.0, -15.0
        gained = capacity @ (A[0, flow] @ x + B[0, flow] @ u)
        lost = sum(
            p["pack.loss"][0] / len(structure.pack) * (x[structure.states.index(row)] + 15.0)
            for row in structure.pack
        )
        first = structure.hot[0]
        lost += p[f"{first}.loss"][0] * (x[structure.states.index(first)] + 15.0)
        wandered = 0.0 if structure.hot else x[-1]
        assert np.isclose(gained, 5.0 - lost + wandered, rtol=1e-9)


def test_everything_at_one_temperature_stays_there():
    """A car as cold as the air around it, without heat, does not change."""
    structure = expected(smallest(ALL, has_flow=True, heat="measured"))
    A, B, _ = continuous(structure, values(structure), np.array([1.0]), 5.0)
    x = np.full(len(structure.states), -12.0)
    x[len(structure.lumps) :] = 0.0
    u = np.zeros(len(INPUTS))
    u[OUTSIDE] = -12.0
    assert np.allclose(A[0, 0] @ x + B[0, 0] @ u, 0.0, atol=1e-15)


def test_coolant_fades_as_a_heat_exchanger_does():
    """Past a pack of one temperature the coolant keeps e^(-NTU) of its excess (Kays, London)."""
    structure = expected(smallest(ALL, has_flow=True, heat="measured"))
    p = values(structure)
    seen = readout(structure, p, "outlet")
    x = np.zeros(len(structure.states))
    x[structure.states.index("coolant")] = 10.0
    assert np.isclose(float(seen.H[0] @ x), 10.0 * np.exp(-p["pack.fade"][0]))
    assert np.isclose(seen.H[0].sum(), 1.0)


def test_without_flow_only_a_leak_is_left():
    """A pump that stands cuts the pack off, but not to nothing; more flow carries more."""
    low, high = flow_factor(np.array([0.0, 1.0]), 0.5)
    assert 0.0 < low < 0.1
    assert high == 1.0
    shares = np.linspace(0.0, 3.0, 20)
    assert np.all(np.diff(flow_factor(shares, 0.5)) > 0.0)


def test_windings_are_seen_above_their_metal():
    """The winding's thermometer reads the metal plus its rise per kilowatt."""
    structure = expected(smallest(ALL, has_flow=True, heat="measured"))
    p = values(structure)
    seen = readout(structure, p, "metal")
    assert seen.D[0, DRIVE] == p["winding.rise"][0]
    assert readout(structure, p, "bulk").D.sum() == 0.0


def test_cabin_takes_its_share_out_of_the_coolant():
    """With a share the cabin's heating cools the coolant's lump, and no other."""
    plain = expected(smallest(ALL, has_flow=True, heat="measured"))
    shared = replace(plain, cabin_share=True)
    p = values(shared) | {"cabin.share": np.array([0.4])}
    _, B, _ = continuous(shared, p, np.ones(1), 5.0)
    column = B[0, 0, :, INPUTS.index("cabin")]
    i = shared.states.index("coolant")
    assert np.isclose(column[i], -0.4 / p["coolant.heat_capacity"][0])
    assert np.count_nonzero(column) == 1
