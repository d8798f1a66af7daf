"""Keep a signal that no catalogue path is mapped to, as its source has it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thawline.recording.recording import Channel, Gap
from thawline.recording.samples import Raw
from thawline.recording.sensor import noise, period, resolution, stale_after


def plain_channel(name: str, raw: Raw, gaps: Sequence[Gap]) -> Channel | None:
    """Make a channel of samples as they are.

    Parameters
    ----------
    name : str
        ``Message.Signal`` or the column.
    raw : Raw
        The samples.
    gaps : sequence of Gap
        Times in which the whole log is silent.

    Returns
    -------
    Channel or None
        The channel under its own name, in the source's unit, all codes kept as numbers; it is a
        state if the source labels its codes. None if there is no sample.
    """
    there = np.isfinite(raw.values)
    t, values = (raw.t, raw.values) if there.all() else (raw.t[there], raw.values[there])
    if not len(t):
        return None
    is_state = bool(raw.labels)
    return Channel(
        path=name,
        unit=raw.unit or "",
        t=t,
        values=values,
        is_state=is_state,
        resolution=0.0 if is_state else resolution(values),
        noise=0.0 if is_state else noise(values),
        period_s=period(t),
        stale_after_s=stale_after(
            t, tuple((gap.from_s, gap.to_s) for gap in gaps), is_state=is_state
        ),
        source=name,
    )
