"""A library on a disk or an object store, as the folders of its recordings."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from thawline.errors import LibraryError, RequestError
from thawline.library.catalogue import reading
from thawline.library.folder import DOCUMENT, SAMPLES, UNSETTLED
from thawline.library.library import Library, open_library
from thawline.library.load import load_folder
from thawline.recording.recording import Recording

if TYPE_CHECKING:
    from fsspec import AbstractFileSystem

Progress = Callable[[int, int], None]
#: Documents that are asked for side by side [1].
AT_ONCE = 100
MISSING = "pip install 'thawline[fleet]'"


@dataclass(frozen=True, slots=True)
class Entry:
    """One recording of a fleet.

    Parameters
    ----------
    id : str
        Its name.
    vehicle : str
        The vehicle's name.
    starts_at : float
        First sample, since 1970-01-01 UTC [s].
    content_key : str
        Sum of its content.
    folder : str
        Where it lies: a path, or an address such as ``s3://bucket/library/recordings/…``.
    """

    id: str
    vehicle: str
    starts_at: float
    content_key: str
    folder: str


@dataclass(frozen=True, slots=True)
class Source:
    """A listed library.

    Parameters
    ----------
    address : str
        Where it lies.
    entries : tuple of Entry
        Its recordings, in the order of their start.
    errors : tuple of (str, str)
        Folders that cannot be listed, and why.
    library : Library or None
        The library, if it lies on a disk.
    """

    address: str
    entries: tuple[Entry, ...]
    errors: tuple[tuple[str, str], ...] = ()
    library: Library | None = None


def is_remote(address: str) -> bool:
    """Tell whether an address is more than a path.

    Parameters
    ----------
    address : str
        A path, or an address with a protocol.

    Returns
    -------
    bool
        True for what fsspec must open.
    """
    return "://" in address


def open_source(address: str, progress: Progress | None = None) -> Source:
    """List a library.

    Parameters
    ----------
    address : str
        Its folder, or its address on an object store.
    progress : callable, optional
        Called with the recordings listed and the recordings in all.

    Returns
    -------
    Source
        Its recordings.

    Raises
    ------
    RequestError
        If there is no library, or what opens such addresses is not installed.
    """
    if is_remote(address):
        return _listed(address, progress)
    path = Path(address)
    if not path.is_dir():
        raise RequestError(f"there is no library {address!r}", cure="give its folder or address")
    library = open_library(path)
    with reading(library) as rows:
        found = rows.execute(
            "SELECT id, vehicle, starts_at, content_key, folder FROM recordings "
            "ORDER BY starts_at, id"
        ).fetchall()
    entries = tuple(
        Entry(row["id"], row["vehicle"], row["starts_at"], row["content_key"],
              str(library.recordings / row["folder"]))
        for row in found
    )  # fmt: skip
    return Source(address, entries, (), library)


def _opened(address: str) -> tuple[AbstractFileSystem, str]:
    try:
        import fsspec
    except ImportError as error:
        raise RequestError(
            f"{address}: addresses need the extra 'fleet', which is not installed", cure=MISSING
        ) from error
    try:
        files, root = fsspec.core.url_to_fs(address)
    except ImportError as error:
        raise RequestError(
            f"{address}: {error}", cure="install what opens such addresses, for instance s3fs"
        ) from error
    except ValueError as error:
        raise RequestError(f"{address} is no address: {error}") from error
    return files, str(root).rstrip("/")


@contextmanager
def _asking() -> Iterator[None]:
    """Turn whatever a store's client raises to an OSError: asking again may help."""
    try:
        yield
    except (OSError, LibraryError):
        raise
    except Exception as error:  # each store's client has errors of its own
        raise OSError(f"{type(error).__name__}: {error}") from error


def _listed(address: str, progress: Progress | None) -> Source:
    files, root = _opened(address)
    try:
        with _asking():
            # one listing of everything: a store answers that a thousand names at a time
            every = {str(path) for path in files.find(f"{root}/recordings")}
    except OSError as error:
        raise RequestError(
            f"{address} cannot be listed: {error}", cure="see that it answers, and may be read"
        ) from error
    folders = sorted(path.rpartition("/")[0] for path in every if path.endswith(f"/{DOCUMENT}"))
    settled = [folder for folder in folders if f"{folder}/{UNSETTLED}" not in every]
    if not settled:
        raise RequestError(
            f"there is no recording under {address}/recordings",
            cure="give the address of a library's folder",
        )
    entries, errors = list[Entry](), list[tuple[str, str]]()
    for begin in range(0, len(settled), AT_ONCE):
        some = settled[begin : begin + AT_ONCE]
        for folder, told in zip(some, _documents(files, some), strict=True):
            try:
                if isinstance(told, Exception):
                    raise told
                entries.append(_entry(json.loads(told), files, folder))
            except Exception as error:  # each store's client has errors of its own
                errors.append((folder, f"{type(error).__name__}: {error}"))
        if progress is not None:
            progress(begin + len(some), len(settled))
    entries.sort(key=lambda one: (one.starts_at, one.id))
    return Source(address, tuple(entries), tuple(errors))


def _documents(files: AbstractFileSystem, folders: Sequence[str]) -> list[bytes | Exception]:
    """Read what recordings say of themselves, side by side where the store can."""
    paths = [f"{folder}/{DOCUMENT}" for folder in folders]
    told = files.cat(paths, on_error="return")
    return [told.get(path, FileNotFoundError(path)) for path in paths]


def _entry(kept: dict[str, Any], files: AbstractFileSystem, folder: str) -> Entry:
    told = kept["recording"]
    return Entry(
        str(told["id"]),
        str(told["vehicle"]["name"]),
        float(told["starts_at"]),
        str(kept["content_key"]),
        str(files.unstrip_protocol(folder)),
    )


def fetch(folder: str) -> Recording:
    """Read a recording from where it lies; what is not on a disk is copied first.

    Parameters
    ----------
    folder : str
        A path, or an address.

    Returns
    -------
    Recording
        The recording.

    Raises
    ------
    LibraryError
        If it is missing or damaged.
    OSError
        If the store does not answer; asking again may help.
    """
    if not is_remote(folder):
        return load_folder(Path(folder))
    files, root = _opened(folder)
    with tempfile.TemporaryDirectory(prefix="thawline-") as scratch:
        try:
            with _asking():
                for name in (DOCUMENT, SAMPLES):
                    files.get_file(f"{root}/{name}", str(Path(scratch) / name))
        except FileNotFoundError as error:
            raise LibraryError(f"{folder} is not whole: {error}. Copy it there again.") from error
        try:
            return load_folder(Path(scratch))
        except LibraryError as error:
            raise LibraryError(str(error).replace(scratch, folder)) from error
