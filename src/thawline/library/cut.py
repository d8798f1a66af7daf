"""Cut a recording down to what was known at a time."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from thawline.errors import RequestError
from thawline.recording.recording import Channel, Gap, Recording
from thawline.recording.sensor import noise, period, resolution, stale_after


def _anew(
    told: float, estimate: Callable[..., float], whole: NDArray[np.float64], part: int
) -> float:
    """Estimate anew what was estimated from all samples; leave what was known otherwise."""
    return estimate(whole[:part]) if told == estimate(whole) else told


def _cut_channel(channel: Channel, before_s: float, gaps: tuple[Gap, ...]) -> Channel | None:
    part = int(np.searchsorted(channel.t, before_s, side="right"))
    if part == len(channel.t):
        return channel
    if part == 0:
        return None
    spans = tuple((gap.from_s, gap.to_s) for gap in gaps)

    def stale(t: NDArray[np.float64]) -> float:
        return stale_after(t, spans, is_state=channel.is_state)

    return replace(
        channel,
        t=channel.t[:part],
        values=channel.values[:part],
        resolution=_anew(channel.resolution, resolution, channel.values, part),
        noise=_anew(channel.noise, noise, channel.values, part),
        period_s=_anew(channel.period_s, period, channel.t, part),
        stale_after_s=_anew(channel.stale_after_s, stale, channel.t, part),
    )


class CutOthers(Mapping[str, Channel]):
    """What no path is mapped to, cut when it is asked for.

    Parameters
    ----------
    others : mapping of str to Channel
        The channels.
    before_s : float
        The last moment that counts, since the recording's start [s].
    gaps : tuple of Gap
        Times in which nothing was recorded.
    """

    def __init__(
        self, others: Mapping[str, Channel], before_s: float, gaps: tuple[Gap, ...]
    ) -> None:
        self._others, self._before_s, self._gaps = others, before_s, gaps

    def __getitem__(self, path: str) -> Channel:
        """Cut one channel; one without a sample until then is not there."""
        channel = _cut_channel(self._others[path], self._before_s, self._gaps)
        if channel is None:
            raise KeyError(path)
        return channel

    def __iter__(self) -> Iterator[str]:
        """Go through the names of those that have a sample until then."""
        return (path for path in self._others if path in self)

    def __len__(self) -> int:
        """Count them."""
        return sum(1 for _ in self)


def cut_at(recording: Recording, before_s: float) -> Recording:
    """Leave out all that came after a time.

    Parameters
    ----------
    recording : Recording
        The recording.
    before_s : float
        The last moment that counts, since the recording's start [s].

    Returns
    -------
    Recording
        The recording as it was at that moment. Channels without a sample until then are left
        out; a gap that was still open ends at that moment; resolution, noise, period and
        staleness are estimated anew where they were estimated from the samples.

    Raises
    ------
    RequestError
        If the moment is before the recording's start, or no number.
    """
    if not before_s >= 0.0:
        raise RequestError(
            f"the moment (={before_s:g} s) must be at or after the recording's start",
            cure=f"give one in [0, {recording.duration_s:.0f}] s",
        )
    channels = {
        path: _cut_channel(channel, before_s, recording.gaps)
        for path, channel in recording.channels.items()
    }
    return replace(
        recording,
        duration_s=min(recording.duration_s, before_s),
        channels={path: channel for path, channel in channels.items() if channel is not None},
        gaps=tuple(
            Gap(gap.from_s, min(gap.to_s, before_s))
            for gap in recording.gaps
            if gap.from_s < before_s
        ),
        others=CutOthers(recording.others, before_s, recording.gaps) if recording.others else {},
        quality=replace(
            recording.quality,
            clock_steps=tuple(s for s in recording.quality.clock_steps if s.at_s <= before_s),
        ),
    )
