"""Tell what goes into the pack from what comes out, without turning noise into energy.

Adding up ``max(P, 0)`` would make energy both ways out of noise around zero: for noise of
standard deviation s about a power of zero, 0.4 s on either side. Here, where a tick is too
small to be told from noise, its neighbours decide about it and not itself. Its own noise
has no part in the choice, so it averages out; and since every tick belongs to one side, in
less out is exactly the net energy. Ticks that share a sample with it share its noise: they
have no part in the choice either.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

#: A tick closer to zero than this many standard deviations of its noise is doubtful [1].
DOUBT = 5.0
#: Samples on each side that decide about a doubtful tick [1].
NEIGHBOURS = 7
#: The largest share of second differences is taken for signal, not noise [1].
TRIMMED = 0.1


def noise_at_rest(
    values: NDArray[np.float64], restless: NDArray[np.bool_], ticks_per_sample: int = 1
) -> float:
    """Estimate the noise of a power from sample to sample while nothing much happens.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        The power [kW].
    restless : ndarray of bool, shape (n,)
        Ticks that are left out: there the power itself swings.
    ticks_per_sample : int
        Ticks between two samples of the slowest sensor; at least one [1].

    Returns
    -------
    float
        Standard deviation, from second differences: those of white noise have six times its
        variance; 0 where there are fewer than eight samples at rest [kW].
    """
    # a tick's mean shares its samples with the next tick: every other one is independent
    stride = ticks_per_sample + 1
    seldom, moved = values[::stride], restless[::stride]
    if len(seldom) < 3:
        return 0.0
    calm = ~(moved[:-2] | moved[1:-1] | moved[2:])
    squares = np.sort(np.diff(seldom, 2)[calm] ** 2)
    if len(squares) < 8:
        return 0.0
    kept = squares[: max(1, int(len(squares) * (1.0 - TRIMMED)))]
    return float(np.sqrt(np.mean(kept) / 6.0))


def into_and_out(
    values: NDArray[np.float64], restless: NDArray[np.bool_], ticks_per_sample: int = 1
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Sort the ticks of a power by its sign.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        The power, positive into the pack [kW].
    restless : ndarray of bool, shape (n,)
        Ticks that always keep their own sign, such as those of a drive.
    ticks_per_sample : int
        Ticks between two samples of the slowest sensor; at least one [1].

    Returns
    -------
    into, out : ndarray of bool, shape (n,)
        Ticks of either side; together all of them.
    """
    count = len(values)
    into = values > 0.0
    noise = noise_at_rest(values, restless, ticks_per_sample)
    doubtful = (np.abs(values) < DOUBT * noise) & ~restless
    if np.any(doubtful):
        sums = np.concatenate(([0.0], np.cumsum(values)))

        def within(ticks: int) -> NDArray[np.float64]:
            at = np.arange(count)
            low, high = np.maximum(at - ticks, 0), np.minimum(at + ticks + 1, count)
            return np.asarray(sums[high] - sums[low])

        near, far = ticks_per_sample, (NEIGHBOURS + 1) * ticks_per_sample
        into = np.where(doubtful, within(far) - within(near) > 0.0, into)
    return into, ~into
