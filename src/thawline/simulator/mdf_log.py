"""Write frames as an MDF 4 bus log.

References
----------
.. [1] ASAM MDF 4.1, bus logging: the group ``CAN_DataFrame`` and its members.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from thawline.simulator.encode import EXTENDED, Sent

#: Members of a data frame [1].
MEMBERS = (
    ("BusChannel", "<u1"),
    ("ID", "<u4"),
    ("IDE", "<u1"),
    ("DLC", "<u1"),
    ("DataLength", "<u1"),
    ("DataBytes", "(8,)u1"),
    ("Dir", "<u1"),
    ("EDL", "<u1"),
    ("BRS", "<u1"),
    ("ESI", "<u1"),
)


def write_mdf_log(sent: Sent, path: Path, starts_at: float) -> None:
    """Write frames as an MDF 4 bus log.

    Parameters
    ----------
    sent : Sent
        The frames, in order of time.
    path : Path
        The log.
    starts_at : float
        Time zero of the frames, since 1970-01-01 UTC [s].
    """
    from asammdf import MDF, Signal, Source  # heavy, and few ask for it
    from asammdf.blocks.v4_constants import BUS_TYPE_CAN, SOURCE_BUS

    frames = np.zeros(
        len(sent.t), dtype=[(f"CAN_DataFrame.{name}", kind) for name, kind in MEMBERS]
    )
    frames["CAN_DataFrame.BusChannel"] = 1
    frames["CAN_DataFrame.ID"] = sent.identifier & np.uint32(EXTENDED - 1)
    frames["CAN_DataFrame.IDE"] = sent.identifier >> np.uint32(31)
    frames["CAN_DataFrame.DLC"] = sent.size
    frames["CAN_DataFrame.DataLength"] = sent.size
    frames["CAN_DataFrame.DataBytes"] = sent.data
    with MDF(version="4.10") as mdf:
        mdf.header.start_time = datetime.fromtimestamp(starts_at, UTC)
        source = Source("Car", "Car", "", SOURCE_BUS, BUS_TYPE_CAN)
        signal = Signal(frames, sent.t, name="CAN_DataFrame", source=source)
        mdf.append(signal, acq_source=source, common_timebase=True)
        mdf.save(path, overwrite=True)
