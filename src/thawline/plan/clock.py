"""The clock of a plan: steps that end at the last leaving time, with what is outside the car."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.errors import RequestError
from thawline.plan.asked import Asked
from thawline.plan.settings import HOUR_S, setting

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Clock:
    """Steps of a plan.

    Parameters
    ----------
    begins_s : ndarray of float64, shape (n,)
        Beginning of each step, since 1970-01-01 UTC [s].
    step_s : float
        Length of a step [s].
    leaves : tuple of int
        How many steps lie before each leaving time [1].
    outside : ndarray of float64, shape (n,)
        Air outside [degC].
    price : ndarray of float64, shape (n,)
        Price [currency/kWh].
    carbon : ndarray of float64, shape (n,)
        Carbon dioxide; 0 where it is not told [g/kWh].
    carbon_price : float
        What it counts [currency/kg].
    """

    begins_s: Array
    step_s: float
    leaves: tuple[int, ...]
    outside: Array
    price: Array
    carbon: Array
    carbon_price: float = 0.0

    @property
    def hours(self) -> float:
        """Length of a step [h]."""
        return self.step_s / HOUR_S

    @property
    def counts(self) -> Array:
        """What a kilowatt-hour counts in the choice, step by step [currency/kWh]."""
        return np.asarray(self.price + self.carbon_price * self.carbon / 1e3)

    @property
    def edges_s(self) -> Array:
        """Both ends of all steps, since 1970-01-01 UTC; shape (n + 1,) [s]."""
        return np.append(self.begins_s, self.begins_s[-1] + self.step_s)


def make_clock(asked: Asked, step_s: float | None = None) -> Clock:
    """Lay out the steps from now to the last leaving time.

    Parameters
    ----------
    asked : Asked
        What is asked for.
    step_s : float, optional
        Length of a step; the usual one if it is not given [s].

    Returns
    -------
    Clock
        The steps.

    Raises
    ------
    RequestError
        If a leaving time has passed, or lies too far ahead.
    """
    step = step_s or setting("step_s")
    leaves = asked.wishes.leave_s
    if not leaves or min(leaves) - asked.now_s < step:
        raise RequestError(
            f"a leaving time must lie at least one step of {step / 60.0:g} min after now",
            cure="give a later --leave",
        )
    last = max(leaves)
    count = int((last - asked.now_s) / step + 1e-9)
    if count * step > setting("most_hours") * HOUR_S:
        raise RequestError(
            f"the leaving time lies {(last - asked.now_s) / HOUR_S:.1f} h ahead; it must be in "
            f"[0, {setting('most_hours'):g}] h",
            cure="plan nearer to it",
        )
    begins = np.asarray(last - step * np.arange(count, 0, -1), dtype=np.float64)
    at = tuple(int(count - round((last - leave) / step)) for leave in sorted(leaves))
    carbon = np.zeros(count) if asked.carbon is None else asked.carbon.mean(begins, step)
    return Clock(
        begins,
        step,
        at,
        asked.outside.mean(begins, step),
        asked.price.mean(begins, step),
        carbon,
        asked.carbon_price,
    )


def joined(clock: Clock, times: int) -> Clock:
    """Join steps to longer ones, counted from the last leaving time.

    Parameters
    ----------
    clock : Clock
        The steps.
    times : int
        How many to join [1].

    Returns
    -------
    Clock
        Longer steps; an odd rest at the beginning is left out.
    """
    whole = len(clock.begins_s) // times
    skip = len(clock.begins_s) - whole * times

    def mean(values: Array) -> Array:
        return np.asarray(values[skip:].reshape(whole, times).mean(axis=1))

    return Clock(
        clock.begins_s[skip::times],
        clock.step_s * times,
        tuple((leave - skip) // times for leave in clock.leaves),
        mean(clock.outside),
        mean(clock.price),
        mean(clock.carbon),
        clock.carbon_price,
    )
