"""Load a recording from a library."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from pathlib import Path
from typing import Any

from thawline.errors import LibraryError, RequestError
from thawline.library.catalogue import reading
from thawline.library.cut import cut_at
from thawline.library.document import channel_from, gaps_from, quality_from, vehicle_from
from thawline.library.folder import OTHERS, SAMPLES, read_document
from thawline.library.handle import Library
from thawline.library.listing import find
from thawline.library.samples import check, from_parquet
from thawline.recording.recording import Channel, Recording


def _folder(library: Library, name: str) -> Path:
    with reading(library) as rows:
        row = rows.execute("SELECT folder FROM recordings WHERE id = ?", (name,)).fetchone()
    if row is None:
        raise RequestError(f"the recording {name!r} was removed a moment ago")
    return library.recordings / str(row["folder"])


def _channels(
    folder: Path, kept: dict[str, Any], paths: Collection[str] | None
) -> dict[str, Channel]:
    told = [c for c in kept["recording"]["channels"] if paths is None or c["path"] in paths]
    places = {c["path"]: kept["places"][c["path"]] for c in told}
    lengths = dict(enumerate(kept["samples"]["lengths"]))
    wanted = {number for pair in places.values() for number in pair}
    check(folder / SAMPLES, kept["samples"]["sum"])
    series = from_parquet(folder / SAMPLES, lengths, wanted)
    return {
        path: channel_from(channel, t=series[clock], values=series[values])
        for channel, (path, (clock, values)) in zip(told, places.items(), strict=True)
    }


class KeptOthers(Mapping[str, Channel]):
    """What no path is mapped to, each channel read when it is asked for.

    Parameters
    ----------
    folder : Path
        The recording's folder.
    told : list of dict
        What ``document`` made of the channels.
    kept : dict
        Where their samples are.
    """

    def __init__(self, folder: Path, told: list[dict[str, Any]], kept: dict[str, Any]) -> None:
        self._file, self._sum = folder / OTHERS, int(kept["samples"]["sum"])
        self._told = {channel["path"]: channel for channel in told}
        self._lengths = dict(enumerate(kept["samples"]["lengths"]))
        self._places = {path: tuple(kept["places"][path]) for path in self._told}
        self._is_checked = False

    def __getitem__(self, path: str) -> Channel:
        """Read one channel."""
        clock, values = self._places[path]
        if not self._is_checked:
            check(self._file, self._sum)
            self._is_checked = True
        series = from_parquet(self._file, self._lengths, {clock, values})
        return channel_from(self._told[path], t=series[clock], values=series[values])

    def __iter__(self) -> Iterator[str]:
        """Go through the names; nothing is read."""
        return iter(self._told)

    def __len__(self) -> int:
        """Count the channels."""
        return len(self._told)


def _others(folder: Path, kept: dict[str, Any]) -> Mapping[str, Channel]:
    told = kept["recording"].get("others", [])
    return KeptOthers(folder, told, kept["others"]) if told else {}


def load(
    library: Library,
    id_or_prefix: str,
    before_s: float | None = None,
    paths: Collection[str] | None = None,
) -> Recording:
    """Load a recording, all of it or what was known at a time.

    Parameters
    ----------
    library : Library
        The library.
    id_or_prefix : str
        Its name, or the beginning of it if no other begins so.
    before_s : float, optional
        No sample after this time since the recording's start; duration, gaps, clock steps and
        what was estimated from samples are cut or estimated anew likewise. Counts of frames
        and warnings stay those of the whole log [s].
    paths : collection of str, optional
        Read these channels only; a path that was not recorded is left out.

    Returns
    -------
    Recording
        Equal to the one that was added. Its arrays cannot be written to. Samples of ``others``
        are read when they are asked for.

    Raises
    ------
    RequestError
        If there is no such recording, or several, or ``before_s`` is before its start.
    LibraryError
        If the catalogue or the samples cannot be read.
    """
    recording = load_folder(_folder(library, find(library, id_or_prefix)), paths)
    return recording if before_s is None else cut_at(recording, before_s)


def load_folder(folder: Path, paths: Collection[str] | None = None) -> Recording:
    """Load a recording from its own folder, wherever that lies.

    Parameters
    ----------
    folder : Path
        The folder with its document and its samples.
    paths : collection of str, optional
        Read these channels only; a path that was not recorded is left out.

    Returns
    -------
    Recording
        Equal to the one that was added. Its arrays cannot be written to.

    Raises
    ------
    LibraryError
        If the samples cannot be read.
    """
    kept = read_document(folder)
    try:
        told = kept["recording"]
        return Recording(
            id=told["id"],
            vehicle=vehicle_from(told["vehicle"]),
            starts_at=told["starts_at"],
            duration_s=told["duration_s"],
            channels=_channels(folder, kept, paths),
            gaps=gaps_from(told["gaps"]),
            quality=quality_from(told["quality"]),
            others=_others(folder, kept),
        )
    except (KeyError, TypeError, IndexError, AttributeError, ValueError) as error:
        raise LibraryError(
            f"{folder} is damaged ({error}). Remove the recording and add its log again."
        ) from error
