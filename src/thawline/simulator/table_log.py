"""Write a morning as a table, one row a tick, as an engineer exports it."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import numpy as np
import polars as pl

from thawline.signals.catalogue import find_signal
from thawline.simulator.layout import BusLayout, BusSignal
from thawline.simulator.morning import Morning
from thawline.simulator.sense import sensed

#: Digits kept behind the point [1].
DIGITS = 4
#: Heading of the column of times.
TIME = "Time [s]"


def columns(layout: BusLayout) -> dict[str, BusSignal]:
    """Name a column for every signal that carries something known.

    Parameters
    ----------
    layout : BusLayout
        The bus.

    Returns
    -------
    dict of str to BusSignal
        Signals by the name of their column, without its unit.
    """
    known = [
        (message.name, signal)
        for message in layout.messages
        for signal in message.signals
        if signal.is_mapped and find_signal(signal.path) is not None
    ]
    counted = Counter(signal.name for _, signal in known)
    return {
        signal.name if counted[signal.name] == 1 else f"{message} {signal.name}": signal
        for message, signal in known
    }


def write_table_log(
    morning: Morning, layout: BusLayout, path: Path, period_s: float, separator: str
) -> int:
    """Write a morning as a table.

    Parameters
    ----------
    morning : Morning
        The morning.
    layout : BusLayout
        Its signals and sensors.
    path : Path
        The file.
    period_s : float
        Time between two rows [s].
    separator : str
        What stands between cells.

    Returns
    -------
    int
        Rows [1].
    """
    rng = np.random.default_rng([morning.scenario.seed, 8])
    at = np.arange(0.0, morning.scenario.duration_s, period_s)
    for begin, end in morning.scenario.logger.gaps:
        at = at[(at < begin) | (at >= end)]
    cells = {TIME: at}
    for name, signal in columns(layout).items():
        values = sensed(morning, signal, at, rng)
        if not signal.sensor.step and signal.codes is None:
            values = np.round(values / signal.scale) * signal.scale
        heading = f"{name} [{signal.unit}]" if signal.unit else name
        cells[heading] = np.where(at < signal.sensor.ready_s, np.nan, np.round(values, DIGITS))
    frame = pl.DataFrame(cells).with_columns(pl.all().fill_nan(None))
    frame.write_csv(path, separator=separator)
    return len(frame)
