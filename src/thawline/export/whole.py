"""Write a file whole or not at all: beside its place first, then moved there in one step."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from thawline.errors import RequestError
from thawline.recording.recording import Recording


def check_not_empty(recording: Recording) -> None:
    """Refuse a recording without a channel.

    Parameters
    ----------
    recording : Recording
        The recording.

    Raises
    ------
    RequestError
        If it has none.
    """
    if not any(len(channel.t) for channel in recording.channels.values()):
        raise RequestError(
            f"the recording {recording.id!r} holds no sample, so there is nothing to export",
            cure="Choose another; `thawline recordings` lists them",
        )


@contextmanager
def written_whole(path: Path) -> Iterator[Path]:
    """Give a place to write to; what is there in the end is moved to ``path`` in one step.

    Parameters
    ----------
    path : Path
        Where the file belongs; one that is there already is replaced.

    Yields
    ------
    Path
        A place in the same folder, with the same suffix.

    Raises
    ------
    RequestError
        If the folder does not exist or cannot be written, or the disk is full.
    """
    if path.is_dir():
        raise RequestError("this is a folder", file=path, cure="Name a file in it")
    if not path.parent.is_dir():
        raise RequestError(
            "the file cannot be written: its folder does not exist",
            file=path,
            cure=f"Make the folder {str(path.parent)!r} first, or name another",
        )
    place = path.with_name(f".{path.stem[:40]}-{secrets.token_hex(4)}{path.suffix}")
    try:
        yield place
        with place.open("rb+") as written:
            os.fsync(written.fileno())
        place.replace(path)
    except OSError as error:
        raise RequestError(
            f"the file cannot be written ({error.strerror or error})",
            file=path,
            cure="Choose a folder that you may write to, with room on its disk",
        ) from error
    finally:
        with suppress(OSError):
            place.unlink(missing_ok=True)
