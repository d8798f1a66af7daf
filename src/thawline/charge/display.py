r"""The display read between its steps, together with the count of charge.

.. math:: d(t) = s(t) - o - c\,(T_0 - T(t))^+

The display *d* shows the true charge *s* less what the cold hides: *c* points for each kelvin
below :math:`T_0`. At each moment at which the display changes it lies half way between two
readings. For each :math:`T_0` of a grid all unknowns (of the count, *o* and *c*) follow by
least squares with priors; the grid points are weighted by how well they explain the moments
(Bayesian model averaging [1]_), and samples of the whole are kept as far as they agree with
the first and the last reading.

References
----------
.. [1] J. A. Hoeting, D. Madigan, A. E. Raftery, C. T. Volinsky, "Bayesian model averaging: a
   tutorial", Statistical Science 14 (1999) 382 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.charge.counting import Reconciled, moments
from thawline.charge.observed import Observed
from thawline.charge.settings import setting
from thawline.ledger.sensors import step_of
from thawline.recording.recording import Channel

Array = NDArray[np.float64]
#: Samples drawn, the fewest that must agree with the readings, and those that draw the course [1].
SAMPLES, FEWEST, DRAWN = 6000, 40.0, 100
#: Readings are believed to this share of a step beyond their rounding [1].
SOFT = 0.04


@dataclass(frozen=True, slots=True)
class Displayed:
    """What count and display tell together.

    Parameters
    ----------
    shown_pct, shown_sigma_pct : float
        Gain of the display, without its steps, and its standard uncertainty [percent].
    charged_pct, charged_sigma_pct : float
        What went in [percent].
    warmed_pct, warmed_sigma_pct : float
        What came back by warming [percent].
    true_pct, fine_pct : ndarray of float64, shape (n,)
        True and displayed state of charge over the recording [percent].
    moments : int
        Moments at which the display changed [1].
    """

    shown_pct: float
    shown_sigma_pct: float
    charged_pct: float
    charged_sigma_pct: float
    warmed_pct: float
    warmed_sigma_pct: float
    true_pct: Array
    fine_pct: Array
    moments: int


def _temperatures(observed: Observed) -> Array | None:
    known = ~np.isnan(observed.mean_degC)
    if not np.any(known):
        return None
    return np.interp(observed.t, observed.t[known], observed.mean_degC[known])


def _weights(first: Array, last: Array, channel: Channel, step: float) -> Array:
    """Weigh samples by their agreement with the first and the last reading."""
    from scipy.special import ndtr  # loads slowly: only where a display is read

    soft, half = max(SOFT * step, 0.02), step / 2.0
    weight = np.ones(len(first))
    for values, reading in ((first, channel.values[0]), (last, channel.values[-1])):
        off = values - reading
        weight = weight * (ndtr((half - off) / soft) - ndtr((-half - off) / soft))
    return np.asarray(weight)


def _draw(
    rows: Array, degC: Array, levels: Array, sigma: float, found: Reconciled, level_sigma: float
) -> tuple[Array, Array]:
    """Draw the unknowns of count and display, and with each the temperature that ends hiding."""
    rng = np.random.default_rng(0)
    low = float(degC.min()) if len(degC) else 0.0
    grid = np.arange(np.floor(low), setting("hides_until_degC"), setting("hides_grid_K"))
    grid = grid if len(grid) else np.array([low])
    prior = np.concatenate((found.unknowns, (0.0, setting("hides_per_K"))))
    k = len(found.unknowns)
    before = np.zeros((k + 2, k + 2))
    before[:k, :k] = np.linalg.inv(found.covariance)
    before[k, k], before[k + 1, k + 1] = level_sigma**-2, setting("hides_sigma") ** -2
    means, spreads, evidence = [], [], []
    for end in grid:
        a = np.column_stack((rows, -np.ones(len(rows)), -np.maximum(end - degC, 0.0)))
        normal = before + a.T @ a / sigma**2
        spread = np.linalg.inv(normal)
        mean = spread @ (before @ prior + a.T @ levels / sigma**2)
        off, moved = levels - a @ mean, mean - prior
        log_det = np.linalg.slogdet(normal)[1]
        cost = float(off @ off) / sigma**2 + float(moved @ before @ moved) + float(log_det)
        means.append(mean)
        spreads.append(spread)
        evidence.append(-0.5 * cost)
    share = np.exp(np.asarray(evidence) - max(evidence))
    counts = rng.multinomial(SAMPLES, share / share.sum())
    drawn = [
        mean + rng.standard_normal((count, k + 2)) @ np.linalg.cholesky(spread).T
        for mean, spread, count in zip(means, spreads, counts, strict=True)
        if count
    ]
    return np.concatenate(drawn), np.repeat(grid, counts)


def read_display(
    channel: Channel, observed: Observed, found: Reconciled, is_absolute: bool
) -> Displayed | None:
    """Read the display between its steps.

    Parameters
    ----------
    channel : Channel
        The displayed state of charge.
    observed : Observed
        The recording.
    found : Reconciled
        The count of charge.
    is_absolute : bool
        Whether the count's level is known: the physical state of charge is recorded.

    Returns
    -------
    Displayed or None
        None where no temperature of the pack is recorded, or where no line of hidden charge by
        temperature agrees with the readings.
    """
    degC = _temperatures(observed)
    if degC is None or not len(channel.t):
        return None
    t, step = observed.t, step_of(channel)
    times, levels, sigma = moments(channel)
    sigma = float(np.hypot(sigma, setting("display_misfit_pct")))
    known = observed.mean_sigma_K if np.isfinite(observed.mean_sigma_K) else 0.0
    sigma = float(np.hypot(sigma, setting("hides_per_K") * min(known, 1.0) / 2.0))
    rows = np.column_stack([np.interp(times, t, column) for column in found.basis.T])
    level_sigma = setting("display_level_pct") if is_absolute else 1e3
    at_degC = np.interp(times, t, degC)
    if not is_absolute and not len(times):
        return None
    drawn, ends = _draw(rows, at_degC, levels, sigma, found, level_sigma)
    kept = drawn[:, -1] >= 0.0
    drawn, ends = drawn[kept], ends[kept]
    k = len(found.unknowns)

    def hidden(which: float) -> Array:
        return np.asarray(drawn[:, k] + drawn[:, k + 1] * np.maximum(ends - which, 0.0))

    charged = drawn[:, :k] @ found.change
    begins = drawn[:, :k] @ found.basis[0]
    warmed = hidden(float(degC[0])) - hidden(float(degC[-1]))
    noise = np.random.default_rng(1).normal(0.0, setting("display_misfit_pct"), (2, len(drawn)))
    first = begins - hidden(float(degC[0])) + noise[0]
    last = begins + charged - hidden(float(degC[-1])) + noise[1]
    weight = _weights(first, last, channel, step) if step > 0.0 else np.ones(len(drawn))
    total = float(weight.sum())
    if total**2 / max(float(weight @ weight), 1e-300) < FEWEST:
        return None
    weight = weight / total

    def told(values: Array) -> tuple[float, float]:
        mean = float(weight @ values)
        return mean, float(np.sqrt(max(float(weight @ (values - mean) ** 2), 1e-8)))

    shown = last - first
    warmed = warmed + noise[1] - noise[0]
    chosen = np.random.default_rng(2).choice(len(drawn), DRAWN, p=weight)
    true = found.basis @ drawn[chosen, :k].T
    dark = drawn[chosen, k] + drawn[chosen, k + 1] * np.maximum(ends[chosen] - degC[:, None], 0.0)
    return Displayed(
        *told(shown),
        *told(charged),
        *told(warmed),
        true.mean(axis=1),
        (true - dark).mean(axis=1),
        len(times),
    )
