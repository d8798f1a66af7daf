"""The view of a recording for a notebook: its channels as frames and arrays."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from thawline.errors import RequestError, did_you_mean
from thawline.recording.recording import Channel, Recording
from thawline.report.fragments import recording_fragment, set_fragment
from thawline.report.one_line import one_line

if TYPE_CHECKING:  # frames are made when they are asked for
    import polars as pl


@dataclass(frozen=True, slots=True, repr=False)
class RecordingView:
    """What was recorded.

    Parameters
    ----------
    recording : Recording
        The product.
    """

    recording: Recording

    def __repr__(self) -> str:
        one = self.recording
        name = one_line(one.vehicle.name)
        minutes = one.duration_s / 60.0
        return f"<recording {one.id}: {name}, {minutes:.1f} min, {len(one.channels)} channels>"

    def _repr_html_(self) -> str:
        return set_fragment(recording_fragment(self.recording))

    @property
    def channels(self) -> pl.DataFrame:
        """One row per channel: path, unit, samples, period [s], resolution, noise, source."""
        import polars as pl

        kept = self.recording.channels.items()
        return pl.DataFrame(
            [
                {
                    "path": path, "unit": one.unit, "is_state": one.is_state,
                    "samples": len(one.t), "period_s": one.period_s,
                    "resolution": one.resolution, "noise": one.noise, "source": one.source,
                }
                for path, one in kept
            ],
            schema={
                "path": pl.String, "unit": pl.String, "is_state": pl.Boolean, "samples": pl.Int64,
                "period_s": pl.Float64, "resolution": pl.Float64, "noise": pl.Float64,
                "source": pl.String,
            },
        )  # fmt: skip

    def channel(self, path: str) -> pl.DataFrame:
        """Give a channel on its own clock.

        Parameters
        ----------
        path : str
            Its path, as ``channels`` lists it.

        Returns
        -------
        DataFrame
            Columns ``t_s`` [s] and ``value``, in the unit that ``channels`` names.

        Raises
        ------
        RequestError
            If there is no such channel.
        """
        import polars as pl

        found = self._find(path)
        return pl.DataFrame({"t_s": found.t, "value": found.values})

    def arrays(self, path: str) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Give a channel on its own clock, as arrays that cannot be written to.

        Parameters
        ----------
        path : str
            Its path, as ``channels`` lists it.

        Returns
        -------
        t, values : ndarray of float64, shape (n,)
            Time since the recording's start [s], and values in the catalogue's unit.

        Raises
        ------
        RequestError
            If there is no such channel.
        """
        found = self._find(path)
        t, values = found.t.view(), found.values.view()
        t.flags.writeable = values.flags.writeable = False
        return t, values

    def _find(self, path: str) -> Channel:
        channels = self.recording.channels
        if path not in channels:
            cure = did_you_mean(path, channels) or "``.channels`` lists what there is"
            raise RequestError(f"{self.recording.id} has no channel {path!r}", cure=cure)
        return channels[path]
