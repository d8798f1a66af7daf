"""Where the model's steps end.

A fit counts its steps back from its end. A clock that is to grow with a recording counts them
from where it begins, so that steps once made stay as they are; the last one is shorter and ends
now. What hangs on all readings (a usual heat, a noise) is then taken from as many of the first
ones as make a round number, and stays until there are half as many more.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.warmup.settings import setting

Array = NDArray[np.float64]


def lengths_of(count: int, step_s: float, last_s: float | None) -> Array:
    """Give the length of each step.

    Parameters
    ----------
    count : int
        Steps [1].
    step_s : float
        Length of a step [s].
    last_s : float or None
        Length of the last one, if it differs [s].

    Returns
    -------
    ndarray of float64, shape (count,)
        Lengths [s].
    """
    lengths = np.full(count, step_s)
    if last_s is not None:
        lengths[-1] = last_s
    return lengths


def round_number(count: int) -> int:
    """Give the last of 1, 2, 2.8, 4, 5.7, 8, ... that has been reached.

    Parameters
    ----------
    count : int
        What was counted [1].

    Returns
    -------
    int
        The largest whole part of a power of the root of two that is no larger [1].
    """
    if count < 1:
        return 0
    whole = 1 << (count.bit_length() - 1)
    half = int(whole * np.sqrt(2.0))
    return half if half <= count else whole


def back_from(until_s: float, begin_s: float) -> tuple[Array, float, None]:
    """Count whole steps back from an end, as a fit does.

    Parameters
    ----------
    until_s : float
        End of the last step [s].
    begin_s : float
        No step begins before [s].

    Returns
    -------
    tuple of ndarray of float64, float and None
        Ends of the steps and their length; the last is as long as the others [s].
    """
    span = until_s - begin_s
    base, most = setting("step_s"), setting("most_steps")
    step_s = min(base * max(1.0, float(np.ceil(span / most / base))), span)
    count = int(span / step_s + 1e-9)
    return until_s - step_s * np.arange(count - 1, -1, -1.0), step_s, None


def on_from(begin_s: float, until_s: float, most_steps: int) -> tuple[Array, float, float]:
    """Count steps from a beginning, and let the last one end where it must.

    Parameters
    ----------
    begin_s : float
        The first step begins then, or up to a minute before [s].
    until_s : float
        End of the last step [s].
    most_steps : int
        Steps at most [1].

    Returns
    -------
    tuple of ndarray of float64, float and float
        Ends of the steps, the length of all but the last, the length of the last [s].
    """
    every = setting("grows_from_s")
    begin_s = every * float(np.floor(begin_s / every))
    span, base = until_s - begin_s, setting("step_s")
    step_s = base * max(1.0, float(np.ceil(span / most_steps / base)))
    ends = begin_s + step_s * np.arange(1.0, np.ceil(span / step_s - 1e-9) + 1.0)
    before = begin_s if len(ends) == 1 else float(ends[-2])
    ends[-1] = until_s
    return ends, step_s, until_s - before
