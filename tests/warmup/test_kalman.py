"""The filter against plain Gaussian algebra."""

import numpy as np
from statsmodels.tsa.statespace.kalman_filter import KalmanFilter

from thawline.warmup.discretise import Steps
from thawline.warmup.grid import INPUTS, Grid
from thawline.warmup.kalman import run_filter
from thawline.warmup.network import Readout
from thawline.warmup.sensing import Seen

N, T = 2, 6
RNG = np.random.default_rng(4)
F = np.array([[0.95, 0.05], [0.02, 0.97]])
Q = np.array([[0.04, 0.01], [0.01, 0.02]])
H = np.array([1.0, 0.5])
FIRST = np.array([-10.0, -11.0]), np.array([[2.0, 0.5], [0.5, 3.0]])


def grid() -> Grid:
    """Six steps without inputs."""
    return Grid(
        10.0 * np.arange(1, T + 1), 10.0, np.zeros((T, len(INPUTS))), np.zeros(T, dtype=np.intp),
        np.ones(1), False, 1.0, 0.0, False, True,
    )  # fmt: skip


def seen(degC: np.ndarray, low: np.ndarray | None = None, high: np.ndarray | None = None) -> Seen:
    """A thermometer with a standard deviation of 0.3 K."""
    none = np.full(T, np.nan)
    low = none if low is None else low
    high = none if high is None else high
    return Seen("bulk", degC, np.full(T, 0.3), low, high, 1.0)


def run(thermometer: Seen, sets: int = 1):
    """Run the filter for one or more equal sets."""
    steps = Steps(
        np.tile(F, (sets, 1, 1, 1)),
        np.zeros((sets, 1, N, len(INPUTS))),
        np.tile(Q, (sets, 1, 1, 1)),
    )
    readout = Readout(np.tile(H, (sets, 1)), np.zeros((sets, len(INPUTS))))
    return run_filter(steps, grid(), (thermometer,), (readout,), FIRST)


def joint() -> tuple[np.ndarray, np.ndarray]:
    """Mean and covariance of all states at all times, by brute force."""
    mean, P = FIRST
    means, covariances = [], np.zeros((N * T, N * T))
    for k in range(T):
        mean, P = F @ mean, F @ P @ F.T + Q
        means.append(mean)
        for j in range(k, T):
            block = np.linalg.matrix_power(F, j - k) @ P
            covariances[j * N : j * N + N, k * N : k * N + N] = block
            covariances[k * N : k * N + N, j * N : j * N + N] = block.T
    return np.concatenate(means), covariances


def test_filter_equals_conditioning_of_one_large_gaussian():
    """Likelihood and last state equal those of the joint Gaussian of all times."""
    y = np.array([-15.0, np.nan, -14.2, -14.0, np.nan, -13.1])
    found = run(seen(y))
    mean, covariance = joint()
    there = np.flatnonzero(np.isfinite(y))
    pick = np.zeros((len(there), N * T))
    for row, k in enumerate(there):
        pick[row, k * N : k * N + N] = H
    S = pick @ covariance @ pick.T + 0.09 * np.eye(len(there))
    e = y[there] - pick @ mean
    likelihood = -0.5 * (e @ np.linalg.solve(S, e) + np.log(np.linalg.det(2.0 * np.pi * S)))
    gain = covariance @ pick.T @ np.linalg.inv(S)
    assert np.isclose(found.log_likelihood()[0], likelihood)
    assert np.allclose(found.mean[0], (mean + gain @ e)[-N:])
    assert np.allclose(found.covariance[0], (covariance - gain @ pick @ covariance)[-N:, -N:])


def test_sets_do_not_touch_each_other():
    """Equal sets give equal answers, whatever their number."""
    y = np.array([-15.0, -14.8, -14.2, -14.0, -13.5, -13.1])
    one, three = run(seen(y)), run(seen(y), 3)
    assert np.allclose(three.mean, one.mean[0])
    assert np.allclose(three.log_likelihood(), one.log_likelihood()[0])


def test_a_bound_that_holds_changes_nothing_and_one_that_does_not_pulls():
    """Well inside its bounds the state is left alone; outside it is brought to the bound."""
    nothing = np.full(T, np.nan)
    last = nothing.copy()
    wide_low, wide_high = last.copy(), last.copy()
    wide_low[-1], wide_high[-1] = -40.0, 10.0
    free = run(seen(nothing))
    held = run(seen(nothing, wide_low, wide_high))
    assert np.allclose(held.mean, free.mean, atol=1e-6)
    assert np.allclose(held.covariance, free.covariance, atol=1e-6)
    assert abs(held.log_likelihood()[0]) < 1e-9
    tight_low, tight_high = last.copy(), last.copy()
    tight_low[-1], tight_high[-1] = -21.0, -20.0
    pulled = run(seen(nothing, tight_low, tight_high))
    assert abs(H @ pulled.mean[0] - -20.0) < 0.2
    assert pulled.log_likelihood()[0] < -1.0


def test_filter_equals_that_of_a_reference_library():
    """States and likelihood of statsmodels' filter (0.15), for three sets and two thermometers."""
    rng = np.random.default_rng(8)
    sets, count, n = 3, 40, 4
    F = np.eye(n) + rng.normal(0.0, 0.05, (sets, n, n))
    root = rng.normal(0.0, 0.2, (sets, n, n))
    Q, G = root @ np.swapaxes(root, -1, -2), rng.normal(0.0, 0.1, (sets, n, len(INPUTS)))
    inputs = rng.normal(0.0, 1.0, (count, len(INPUTS)))
    steps = Steps(F[:, None], G[:, None], Q[:, None])
    clock = Grid(
        10.0 * np.arange(1, count + 1), 10.0, inputs, np.zeros(count, dtype=np.intp), np.ones(1),
        False, 1.0, 0.0, False, True,
    )  # fmt: skip
    y = rng.normal(0.0, 1.0, (2, count))
    y[1, ::3] = np.nan
    none = np.full(count, np.nan)
    two = tuple(
        Seen(k, v, np.full(count, s), none, none, 0.1)
        for k, v, s in zip("ab", y, (0.3, 0.5), strict=True)
    )
    readouts = tuple(
        Readout(rng.normal(size=(sets, n)), np.zeros((sets, len(INPUTS)))) for _ in two
    )
    first = rng.normal(size=n), 2.0 * np.eye(n)
    found = run_filter(steps, clock, two, readouts, first)
    for k in range(sets):
        model = KalmanFilter(2, n, nobs=count, tolerance=0.0)
        model.bind(np.asfortranarray(y))
        model["design"] = np.stack([r.H[k] for r in readouts])
        model["transition"], model["selection"], model["state_cov"] = F[k], np.eye(n), Q[k]
        model["state_intercept"] = np.column_stack([G[k] @ inputs[1:].T, np.zeros(n)])
        model["obs_cov"] = np.diag([0.09, 0.25])
        # the library's first state stands at the first reading, ours a step before
        model.initialize_known(F[k] @ first[0] + G[k] @ inputs[0], F[k] @ first[1] @ F[k].T + Q[k])
        wanted = model.filter()
        assert np.allclose(found.mean[k], wanted.filtered_state[:, -1])
        assert np.allclose(found.covariance[k], wanted.filtered_state_cov[..., -1])
        assert np.isclose(found.log_likelihood()[k], wanted.llf_obs.sum())
