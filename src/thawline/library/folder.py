"""One recording's folder: ``samples.parquet`` and ``recording.json``, there whole or not at all.

Where all signals were kept, those that no path is mapped to are in ``others.parquet``.

A folder is written under ``incoming``, flushed to the disk and moved in one step. While it holds
the file ``unsettled``, the catalogue decides whether it counts; without that file it stands for
itself, and a catalogue that was lost is made anew from such folders.
"""

from __future__ import annotations

import io
import json
import os
import shutil
import uuid
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from thawline.errors import LibraryError
from thawline.library.document import document, plain
from thawline.library.handle import Library
from thawline.library.samples import CHUNK, check_sum, lay_out, to_parquet
from thawline.recording.recording import Channel, Recording

#: Layout of ``recording.json`` and ``samples.parquet`` [1].
LAYOUT = 1
SAMPLES = "samples.parquet"
OTHERS = "others.parquet"
DOCUMENT = "recording.json"
UNSETTLED = "unsettled"


@dataclass(frozen=True, slots=True)
class Packed:
    """A recording, ready to be written.

    Parameters
    ----------
    samples : mapping of str to file
        The Parquet files, by name; in memory, or vanishing when they are closed.
    document : bytes
        The JSON file.
    """

    samples: Mapping[str, IO[bytes]]
    document: bytes

    @property
    def size(self) -> int:
        """Bytes of all files together [byte]."""
        return len(self.document) + sum(file.seek(0, 2) for file in self.samples.values())

    def close(self) -> None:
        """Let the files go."""
        for file in self.samples.values():
            file.close()


def pack(
    recording: Recording, content_key: str, added_at: float, scratch: Path | None = None
) -> Packed:
    """Turn a recording into the files of its folder.

    Parameters
    ----------
    recording : Recording
        The recording.
    content_key : str
        Sum of the content that it was made from.
    added_at : float
        When it is added, since 1970-01-01 UTC [s].
    scratch : Path, optional
        Where large files are made; None: where the system has temporary files.

    Returns
    -------
    Packed
        The files' contents.

    Raises
    ------
    LibraryError
        If a large file cannot be made, for instance because the disk is full.
    """
    kept = {
        "layout": LAYOUT,
        "content_key": content_key,
        "added_at": added_at,
        "recording": document(recording),
    }
    files = {}
    try:
        files[SAMPLES], told = _packed(recording.channels.values(), scratch)
        kept |= told
        if recording.others:
            files[OTHERS], kept["others"] = _packed(recording.others.values(), scratch)
    except OSError as error:
        raise LibraryError(
            f"the library cannot be written: {error.strerror or error}. Nothing was added. Make "
            "room, or choose another folder with --library or THAWLINE_LIBRARY."
        ) from error
    return Packed(files, json.dumps(kept, default=plain).encode("ascii"))


def _packed(
    channels: Iterable[Channel], scratch: Path | None
) -> tuple[IO[bytes], dict[str, object]]:
    """Write the samples of channels, and tell where each stands."""
    series, places = lay_out(channels)
    file = to_parquet(series, scratch)
    samples = {"sum": check_sum(file), "lengths": [len(s) for s in series]}
    return file, {"samples": samples, "places": places}


def _flush_folder(path: Path) -> None:
    if os.name == "nt":  # there a folder cannot be opened, and its entries need no flush
        return
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _write(path: Path, content: IO[bytes]) -> None:
    content.seek(0)
    with path.open("xb") as file:
        shutil.copyfileobj(content, file, CHUNK)
        file.flush()
        os.fsync(file.fileno())


def put(library: Library, packed: Packed) -> Path:
    """Write a recording's folder; it is unsettled until the catalogue knows it.

    Parameters
    ----------
    library : Library
        The library.
    packed : Packed
        The files' contents.

    Returns
    -------
    Path
        The folder.

    Raises
    ------
    LibraryError
        If it cannot be written, for instance because the disk is full; nothing is left then.
    """
    name = uuid.uuid4().hex
    written, folder = library.incoming / name, library.recordings / name
    try:
        written.mkdir()
        _write(written / UNSETTLED, io.BytesIO())
        for file, content in packed.samples.items():
            _write(written / file, content)
        _write(written / DOCUMENT, io.BytesIO(packed.document))
        _flush_folder(written)
        written.rename(folder)
        _flush_folder(library.recordings)
    except OSError as error:
        shutil.rmtree(written, ignore_errors=True)
        shutil.rmtree(folder, ignore_errors=True)
        needed = packed.size / 1e6
        raise LibraryError(
            f"the library {library.folder} cannot be written: {error.strerror or error}. Nothing "
            f"was added. The recording needs {needed:.1f} MB; make room, or choose another "
            "folder with --library or THAWLINE_LIBRARY."
        ) from error
    return folder


def settle(folder: Path) -> None:
    """Mark a folder as known to the catalogue.

    Parameters
    ----------
    folder : Path
        The recording's folder.
    """
    with suppress(OSError):  # the next opening of the library tries again
        (folder / UNSETTLED).unlink()


def unsettle(folder: Path) -> None:
    """Let the catalogue decide whether a folder counts.

    Parameters
    ----------
    folder : Path
        The recording's folder; nothing is done if it is gone.

    Raises
    ------
    LibraryError
        If the folder cannot be written.
    """
    try:
        if folder.is_dir():
            (folder / UNSETTLED).touch()
            _flush_folder(folder)
    except OSError as error:
        raise LibraryError(f"{folder} cannot be changed: {error.strerror}.") from error


def discard(library: Library, folder: Path) -> None:
    """Delete a folder; what a kill leaves of it is under ``incoming``.

    Parameters
    ----------
    library : Library
        The library.
    folder : Path
        The recording's folder.
    """
    leaving = library.incoming / folder.name
    try:
        folder.rename(leaving)
    except OSError:  # gone already, or held open: the next opening of the library tries again
        return
    shutil.rmtree(leaving, ignore_errors=True)


def read_document(folder: Path) -> dict[str, Any]:
    """Read what a recording says of itself.

    Parameters
    ----------
    folder : Path
        The recording's folder.

    Returns
    -------
    dict of str to Any
        What ``pack`` wrote.

    Raises
    ------
    LibraryError
        If it is missing, damaged or of a newer layout.
    """
    path = folder / DOCUMENT
    try:
        kept = json.loads(path.read_text("ascii"))
        layout = int(kept["layout"])
    except OSError as error:
        raise LibraryError(
            f"{path} cannot be read: {error.strerror}. If another program removed the recording "
            "meanwhile, that is why; else add its log again."
        ) from error
    except (ValueError, KeyError, TypeError) as error:
        raise LibraryError(
            f"{path} is damaged. Remove the recording and add its log again."
        ) from error
    if layout > LAYOUT:
        raise LibraryError(
            f"{path} was made by a newer version of Thawline (its layout is {layout}, this version "
            f"knows up to {LAYOUT}). Bring Thawline up to date."
        )
    found: dict[str, Any] = kept
    return found
