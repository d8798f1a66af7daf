"""Exact steps of linear stochastic equations."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad_vec, solve_ivp
from scipy.linalg import expm

from thawline.warmup.discretise import discretise

RNG = np.random.default_rng(5)


def stable(n: int, seed: int) -> np.ndarray:
    """A made-up stable matrix with time constants from 20 s to 20 000 s."""
    rng = np.random.default_rng(seed)
    conductance = rng.uniform(0.0, 0.02, (n, n))
    A = conductance.copy()
    np.fill_diagonal(A, 0.0)
    np.fill_diagonal(A, -A.sum(axis=1) - rng.uniform(5e-5, 1e-3, n))
    return A


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 1000), st.sampled_from([1.0, 10.0, 60.0, 600.0]))
def test_steps_equal_an_ode_solver(seed, step_s):
    """Transition and input effect equal scipy's solve_ivp with tight tolerances."""
    A, rng = stable(4, seed), np.random.default_rng(seed)
    B, u, x0 = rng.normal(size=(4, 2)), rng.normal(size=2), rng.normal(0.0, 10.0, 4)
    steps = discretise(A, B, np.zeros((4, 4)), step_s)
    solved = solve_ivp(
        lambda _, x: A @ x + B @ u, (0.0, step_s), x0, rtol=1e-10, atol=1e-12, method="LSODA"
    )
    assert np.allclose(steps.F @ x0 + steps.G @ u, solved.y[:, -1], rtol=1e-6, atol=1e-6)


def test_transition_is_the_matrix_exponential():
    """The transition is scipy's expm, also for a batch of models at once."""
    A = np.stack([stable(3, seed) for seed in range(5)])[:, None]
    steps = discretise(A, np.zeros((5, 1, 3, 1)), np.zeros((5, 1, 3, 3)), 30.0)
    assert np.allclose(steps.F, expm(A * 30.0), atol=1e-13)


def test_noise_of_one_lump_is_known_in_closed_form():
    """An Ornstein-Uhlenbeck process adds s² (1 - e^(-2h/tau)) (textbook, e.g. Gardiner)."""
    tau, sigma, h = 600.0, 0.4, 45.0
    steps = discretise(
        np.array([[-1.0 / tau]]), np.zeros((1, 1)), np.array([[2.0 * sigma**2 / tau]]), h
    )
    assert np.isclose(steps.Q[0, 0], sigma**2 * (1.0 - np.exp(-2.0 * h / tau)), rtol=1e-12)


def test_noise_equals_the_integral_it_stands_for():
    """Van Loan's blocks and doubling equal a numerical integral of e^(As) Q e^(A's)."""
    A = stable(3, 7)
    root = np.diag([0.1, 0.02, 0.3])
    steps = discretise(A, np.zeros((3, 1)), root @ root.T, 250.0)
    found, _ = quad_vec(lambda s: expm(A * s) @ root @ root.T @ expm(A * s).T, 0.0, 250.0)
    assert np.allclose(steps.Q, found, rtol=1e-7, atol=1e-12)
    assert np.array_equal(steps.Q, steps.Q.T)


def test_two_steps_are_one_of_twice_the_length():
    """Halving a step changes nothing: F, G and Q compose."""
    A, B, Q = stable(4, 3), RNG.normal(size=(4, 2)), np.diag([1e-3, 2e-3, 0.0, 1e-4])
    short, long = discretise(A, B, Q, 15.0), discretise(A, B, Q, 30.0)
    assert np.allclose(short.F @ short.F, long.F)
    assert np.allclose(short.F @ short.G + short.G, long.G)
    assert np.allclose(short.F @ short.Q @ short.F.T + short.Q, long.Q)


def test_a_very_fast_lump_does_not_blow_up():
    """A time constant of a second under a step of an hour stays finite and settles."""
    A, B = np.array([[-1.0]]), np.array([[2.0]])
    steps = discretise(A, B, np.array([[0.5]]), 3600.0)
    assert abs(steps.F[0, 0]) < 1e-12
    assert np.isclose(steps.G[0, 0], 2.0)
    assert np.isclose(steps.Q[0, 0], 0.25)
