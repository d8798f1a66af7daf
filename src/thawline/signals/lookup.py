"""Look up many identifiers at once."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

#: Slots of a lookup table, as a power of two; it stays in the processor's cache [bit].
SLOT_BITS = 15
#: Multipliers tried before the slower search is used instead [1].
TRIES = 60


def places(identifier: NDArray[np.uint32], known: NDArray[np.uint32]) -> NDArray[np.uint16]:
    """Find identifiers among those that are known.

    Parameters
    ----------
    identifier : ndarray of uint32, shape (n,)
        What is looked up [1].
    known : ndarray of uint32, shape (k,)
        What is known, in order, each once; fewer than 65,535 [1].

    Returns
    -------
    ndarray of uint16, shape (n,)
        The place of each in ``known``; ``k`` for those that are not there [1].
    """
    unknown = np.uint16(len(known))
    if not len(known):
        return np.zeros(len(identifier), np.uint16)
    found = _table(known.tobytes())
    if found is None:
        place = np.minimum(np.searchsorted(known, identifier), len(known) - 1).astype(np.uint16)
    else:
        multiplier, table = found
        place = table[(identifier * multiplier) >> np.uint32(32 - SLOT_BITS)]
    place[known[place] != identifier] = unknown
    return place


@lru_cache(maxsize=16)
def _table(known: bytes) -> tuple[np.uint32, NDArray[np.uint16]] | None:
    """Find a multiplier that gives every known identifier a slot of its own."""
    numbers = np.frombuffer(known, np.uint32)
    for multiplier in np.random.default_rng(1).integers(1, 2**31, TRIES, np.uint32) * 2 + 1:
        slots = (numbers * multiplier) >> np.uint32(32 - SLOT_BITS)
        if len(np.unique(slots)) == len(numbers):
            table = np.zeros(1 << SLOT_BITS, np.uint16)
            table[slots] = np.arange(len(numbers))
            return multiplier, table
    return None
