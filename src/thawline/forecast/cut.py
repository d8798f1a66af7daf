"""Cut a recording at an instant, as if it had ended there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thawline.recording.recording import Channel, Recording
from thawline.recording.sensor import noise, period, resolution, stale_after


def _part(channel: Channel, at_s: float, gaps: tuple[tuple[float, float], ...]) -> Channel | None:
    count = int(np.searchsorted(channel.t, at_s, side="right"))
    if count == 0:
        return None
    if count == len(channel.t):
        return channel
    t, values = channel.t[:count], channel.values[:count]
    return replace(
        channel,
        t=t,
        values=values,
        resolution=resolution(values),
        noise=noise(values),
        period_s=period(t),
        stale_after_s=stale_after(t, gaps, is_state=channel.is_state),
    )


def cut_at(recording: Recording, at_s: float) -> Recording:
    """Cut a recording, so that nothing of it knows what came after.

    Parameters
    ----------
    recording : Recording
        The recording.
    at_s : float
        Its new end [s].

    Returns
    -------
    Recording
        Samples until then; steps, noise and periods of the sensors as these tell them. Warnings
        and counts of the whole log are left out.
    """
    gaps = tuple(gap for gap in recording.gaps if gap.to_s <= at_s)
    spans = tuple((gap.from_s, gap.to_s) for gap in gaps)
    parts = {path: _part(channel, at_s, spans) for path, channel in recording.channels.items()}
    return Recording(
        recording.id,
        recording.vehicle,
        recording.starts_at,
        min(at_s, recording.duration_s),
        {path: channel for path, channel in parts.items() if channel is not None},
        gaps,
    )
