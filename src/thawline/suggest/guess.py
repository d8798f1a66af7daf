"""A unit that was guessed, and what guesses rest on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.candidate import Candidate, Scene
from thawline.suggest.kinds import Reading, is_state, kind_of_unit

Floats = NDArray[np.float64]
#: Milliamperes, watts: above such values with such steps, no amperes and kilowatts [1].
LARGE, LARGE_STEP = 400.0, 1.0


@dataclass(frozen=True, slots=True)
class Guess:
    """A unit that was guessed.

    Parameters
    ----------
    unit : str
        The unit.
    because : str
        Why.
    """

    unit: str
    because: str


def needs_unit(candidate: Candidate) -> bool:
    """Tell whether a candidate is a number whose unit nothing states.

    Parameters
    ----------
    candidate : Candidate
        The candidate.

    Returns
    -------
    bool
        True if it is.
    """
    return kind_of_unit(candidate.unit) == "" and not is_state(candidate)


def with_units(scene: Scene, guesses: Mapping[str, Guess]) -> Scene:
    """Give candidates the units that were guessed.

    Parameters
    ----------
    scene : Scene
        The scene.
    guesses : mapping of str to Guess
        Guesses by key.

    Returns
    -------
    Scene
        The same with more units.
    """
    made = tuple(
        replace(one, unit=guesses[one.key].unit) if one.key in guesses else one
        for one in scene.candidates
    )
    return replace(scene, candidates=made)


def values_of(one: Candidate) -> Floats:
    """Give the values that are there.

    Parameters
    ----------
    one : Candidate
        The candidate.

    Returns
    -------
    ndarray of float64, shape (m,)
        Values but NaN [unit].
    """
    return one.values[np.isfinite(one.values)]


def taken_as(one: Candidate, kind: str, unit: str) -> Reading:
    """Take a candidate's values as they are as some kind.

    Parameters
    ----------
    one : Candidate
        The candidate.
    kind : str
        Kind of quantity.
    unit : str
        Its unit, that in which values of the kind are compared.

    Returns
    -------
    Reading
        A reading whose unit is a guess.
    """
    return Reading(one.key, kind, unit, one.values, one.step, False, one.order)


def is_large(one: Candidate) -> bool:
    """Tell whether a number is one of milliamperes or watts rather than amperes or kilowatts.

    Parameters
    ----------
    one : Candidate
        The candidate.

    Returns
    -------
    bool
        True if its values are large and its steps are no fractions.
    """
    there = values_of(one)
    return bool(len(there) and np.max(np.abs(there)) > LARGE and one.step >= LARGE_STEP)
