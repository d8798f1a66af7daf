"""Give random numbers that were drawn before without drawing them again.

A forecast's random numbers start from a fixed seed, so one update needs largely those of the
update before. What a generator gives follows from its state alone, and so does the state that it
is left in: both are remembered for the latest states.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

#: So many arrays are remembered, a few megabytes [1].
REMEMBERED = 24

State = tuple[int, int, int, int]


def standard_normal(
    rng: np.random.Generator, shape: tuple[int, ...], *, is_short: bool = False
) -> NDArray[np.floating]:
    """Draw from the standard normal distribution, as the generator itself would.

    Parameters
    ----------
    rng : Generator
        Random numbers; left in the state in which drawing leaves it.
    shape : tuple of int
        How many [1].
    is_short : bool
        Whether numbers of 32 bits do.

    Returns
    -------
    ndarray of float64 or float32
        The numbers, which cannot be written to [1].
    """
    at = rng.bit_generator.state
    if at["bit_generator"] != "PCG64":
        return rng.standard_normal(shape, dtype=np.float32 if is_short else np.float64)
    inner = at["state"]
    state = (inner["state"], inner["inc"], at["has_uint32"], at["uinteger"])
    values, after = _drawn(state, shape, is_short)
    rng.bit_generator.state = _as_dict(after)
    return values


def _as_dict(state: State) -> Any:
    """Put a state as NumPy takes it; its stubs have no public name for that."""
    return {
        "bit_generator": "PCG64",
        "state": {"state": state[0], "inc": state[1]},
        "has_uint32": state[2],
        "uinteger": state[3],
    }


@lru_cache(maxsize=REMEMBERED)
def _drawn(
    state: State, shape: tuple[int, ...], is_short: bool
) -> tuple[NDArray[np.floating], State]:
    bits = np.random.PCG64()
    bits.state = _as_dict(state)
    values = np.random.Generator(bits).standard_normal(
        shape, dtype=np.float32 if is_short else np.float64
    )
    values.flags.writeable = False
    at = bits.state
    inner = at["state"]
    return values, (inner["state"], inner["inc"], at["has_uint32"], at["uinteger"])
