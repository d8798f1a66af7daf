"""A batch of bus frames, as columns."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

#: Set in ``Frames.identifier`` for extended (29-bit) identifiers, as SocketCAN does.
EXTENDED = np.uint32(0x8000_0000)


@dataclass(frozen=True, slots=True)
class Frames:
    """A batch of frames in the order of the log.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Time of each frame [s], since the epoch if ``is_epoch`` else since the log's own zero.
    identifier : ndarray of uint32, shape (n,)
        Identifier; bit 31 is set for extended ones [1].
    bus : ndarray of uint8, shape (n,)
        Index into ``buses`` [1].
    buses : tuple of str
        Names of the buses in the log.
    length : ndarray of uint8, shape (n,)
        Number of payload bytes present [byte].
    data : ndarray of uint8, shape (n, 8) or (n, 64)
        Payload; bytes past ``length`` are zero. 64 wide only if a frame of the batch has
        more than eight bytes [1].
    left_out : mapping of str to int
        Lines or objects of this batch that are not data frames, by reason: ``remote``,
        ``error``, ``unreadable`` [1].
    is_epoch : bool
        Whether ``t`` counts from 1970-01-01 UTC.
    """

    t: NDArray[np.float64]
    identifier: NDArray[np.uint32]
    bus: NDArray[np.uint8]
    buses: tuple[str, ...]
    length: NDArray[np.uint8]
    data: NDArray[np.uint8]
    left_out: Mapping[str, int] = field(default_factory=dict)
    is_epoch: bool = True

    def __len__(self) -> int:
        """Count the frames."""
        return len(self.t)
