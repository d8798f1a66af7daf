"""The notebook's door: open a library or read a log, and ask; answers show themselves.

files or library -> Morning, ForecastView, ComparisonView (each set as a fragment of a page)
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from thawline.errors import RequestError
from thawline.library import library as shelf
from thawline.library.content import content_key, recording_id
from thawline.library.listing import Entry, find, listing
from thawline.looking import forecast as forecast_kept
from thawline.morning import Morning
from thawline.recording.gather import gather
from thawline.report.fragments import Fragment, set_fragment
from thawline.report.learned_tables import Table
from thawline.report.moments import Moments, duration_text
from thawline.report.one_line import one_line
from thawline.report.views import ComparisonView, ForecastView
from thawline.vehicle.read import read_vehicle
from thawline.walk import explain, explain_kept, matched

if TYPE_CHECKING:  # frames are made when they are asked for
    import polars as pl

Progress = Callable[[int, int], None]
Files = str | os.PathLike[str] | Sequence[str | os.PathLike[str]]


@dataclass(frozen=True, slots=True, repr=False)
class Recordings:
    """What a library keeps, as a list.

    Parameters
    ----------
    entries : tuple of Entry
        In order of their start.
    """

    entries: tuple[Entry, ...]

    def __len__(self) -> int:
        return len(self.entries)

    def __repr__(self) -> str:
        return "\n".join(f"{one.id}  {one_line(one.vehicle)}" for one in self.entries) or "<none>"

    def _repr_html_(self) -> str:
        rows = []
        for one in self.entries:
            moments = Moments(one.starts_at, 0.0, False)
            begin = f"{moments.date}, {moments.clock(0.0)}" if moments.is_dated else "undated"
            rows.append((one.id, one.vehicle, begin, duration_text(one.duration_s), str(one.notes)))
        heads = ("recording", "vehicle", "begins (UTC)", "length", "notes")
        told = () if rows else ("The library keeps no such recording.",)
        return set_fragment(
            Fragment(sentences=told, tables=(Table("Recordings", heads, tuple(rows)),))
        )

    @property
    def ids(self) -> tuple[str, ...]:
        """The recordings' names."""
        return tuple(one.id for one in self.entries)

    @property
    def frame(self) -> pl.DataFrame:
        """One row per recording, with times [s] and counts [1]."""
        import polars as pl

        text = dict.fromkeys(("id", "vehicle"), pl.String)
        times = dict.fromkeys(("starts_at", "duration_s", "added_at"), pl.Float64)
        counts = dict.fromkeys(("frames", "channels", "samples", "notes"), pl.Int64)
        return pl.DataFrame(
            [asdict(one) for one in self.entries], schema={**text, **times, **counts}
        )


@dataclass(frozen=True, slots=True, repr=False)
class OpenLibrary:
    """An opened library, to ask of.

    Parameters
    ----------
    library : Library
        The handle that every other function of Thawline takes.
    """

    library: shelf.Library

    def __repr__(self) -> str:
        return f"<library {self.library.folder}: {len(self.recordings())} recordings>"

    def _repr_html_(self) -> str:
        return self.recordings()._repr_html_()

    def recordings(self, vehicle: str | None = None, text: str | None = None) -> Recordings:
        """List what is kept.

        Parameters
        ----------
        vehicle : str, optional
            Only those of this vehicle.
        text : str, optional
            Only those with these words in name or notes.

        Returns
        -------
        Recordings
            In order of their start.
        """
        return Recordings(tuple(listing(self.library, vehicle=vehicle, text=text)))

    def explain(self, id: str) -> Morning:  # noqa: A002  # what the library calls it
        """Explain a recording, with its notes and what other mornings taught.

        Parameters
        ----------
        id : str
            Its name, or the beginning of it.

        Returns
        -------
        Morning
            Story, ledger, recording.

        Raises
        ------
        RequestError
            If there is no such recording, or several.
        """
        return Morning(explain_kept(self.library, id))

    def forecast(
        self, id: str, at_s: float | None = None, levels_kW: Sequence[float] = ()  # noqa: A002  # see explain
    ) -> ForecastView:  # fmt: skip
        """Forecast from a recording and from earlier mornings of its vehicle.

        Parameters
        ----------
        id : str
            Its name, or the beginning of it.
        at_s : float, optional
            The instant, since the recording's start; by default its end [s].
        levels_kW : sequence of float
            Regenerative powers to wait for [kW].

        Returns
        -------
        ForecastView
            When each turning point comes, from no sample after the instant.

        Raises
        ------
        RequestError
            If there is no such recording, or the instant lies outside it.
        """
        return ForecastView(forecast_kept(self.library, id, at_s, levels_kW))

    def compare(self, a: str, b: str, per_kWh: float | None = None) -> ComparisonView:
        """Hold two mornings against each other.

        Parameters
        ----------
        a, b : str
            Names of recordings, or the beginnings of them; B is told against A.
        per_kWh : float, optional
            Price of a kilowatt-hour from the supply, in any currency [1/kWh].

        Returns
        -------
        ComparisonView
            What differs, and the likely reason.

        Raises
        ------
        RequestError
            If one is not there, both are the same, or the price is none.
        """
        names = find(self.library, a), find(self.library, b)
        if names[0] == names[1]:
            raise RequestError(f"{a!r} and {b!r} are the same recording", cure="name two")
        return self.explain(names[0]).compare(self.explain(names[1]), per_kWh)


def open_library(path: str | os.PathLike[str] | None = None) -> OpenLibrary:
    """Open a library; make it if there is none.

    Parameters
    ----------
    path : str or path, optional
        Its folder; by default the one that the commands use.

    Returns
    -------
    OpenLibrary
        What can be asked.

    Raises
    ------
    LibraryError
        If it cannot be made, read or written.
    """
    return OpenLibrary(shelf.open_library(None if path is None else Path(path)))


def read(
    files: Files,
    database: Files | None,
    vehicle: str | os.PathLike[str],
    *,
    starts_at: float | None = None,
    progress: Progress | None = None,
) -> Morning:
    """Read and explain one recording without keeping it.

    Parameters
    ----------
    files : path or sequence of paths
        Logs or tables of one occasion.
    database : path, sequence of paths or None
        Signal databases; None for tables.
    vehicle : path
        The vehicle file.
    starts_at : float, optional
        When it began, for logs without a date, since 1970-01-01 UTC [s].
    progress : callable, optional
        Called with the bytes done and the bytes in all.

    Returns
    -------
    Morning
        The explained recording, under the name that a library would give it.

    Raises
    ------
    InputError
        If a file, a database or the vehicle file is at fault.
    """
    logs, databases = _paths(files), [] if database is None else _paths(database)
    if not logs:
        raise RequestError("no file is given", cure="name a log or a table")
    described = read_vehicle(Path(vehicle))
    against, layouts = matched(described, databases)
    recording = gather(logs, against, layouts, starts_at=starts_at, progress=progress)
    dated = "" if starts_at is None else f"\n# starts at {starts_at}"
    key = content_key(logs, described.source + dated, databases)
    name = recording_id(described.name, recording.starts_at, key)
    return Morning(explain(replace(recording, id=name)))


def _paths(given: Files) -> list[Path]:
    return [Path(given)] if isinstance(given, str | os.PathLike) else [Path(one) for one in given]
