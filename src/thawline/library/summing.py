"""Sum up content in a thread while the log is read, and stop reading if it is kept already."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from dataclasses import dataclass
from pathlib import Path

from thawline.errors import SourceError
from thawline.library.content import content_key
from thawline.library.handle import Library
from thawline.library.listing import find_content

Progress = Callable[[int, int], None]


class AlreadyKeptError(Exception):
    """Reading was stopped, for the library keeps this content already."""


@dataclass(frozen=True, slots=True)
class Summing:
    """A sum on its way.

    Parameters
    ----------
    library : Library
        Where the content may be kept already.
    key : Future of str
        What ``content_key`` gives.
    """

    library: Library
    key: Future[str]

    def known(self) -> str | None:
        """Wait for the sum and look it up.

        Returns
        -------
        str or None
            Name of the recording with this content; None if there is none, or if a file
            cannot be read, of which whoever reads it tells.
        """
        if isinstance(self.key.exception(), SourceError):
            return None
        return find_content(self.library, self.key.result())

    def watching(self, progress: Progress | None) -> Progress:
        """Give a progress that stops the reading once the content is known to be kept.

        Parameters
        ----------
        progress : callable or None
            What is told of the progress besides.

        Returns
        -------
        callable
            To be called with the bytes done and the bytes in all; raises ``AlreadyKeptError``.
        """
        is_new = False

        def told(done: int, total: int) -> None:
            nonlocal is_new
            if not is_new and self.key.done():
                if self.known() is not None:
                    raise AlreadyKeptError
                is_new = True
            if progress is not None:
                progress(done, total)

        return told


def start_summing(
    library: Library, files: Sequence[Path], vehicle_text: str, databases: Sequence[Path]
) -> Summing:
    """Begin to sum up content in a thread, which ends with the program at the latest.

    Parameters
    ----------
    library : Library
        Where the content may be kept already.
    files, databases : sequence of Path
        As ``content_key`` takes them.
    vehicle_text : str
        The text of the vehicle file.

    Returns
    -------
    Summing
        The sum on its way.
    """
    key: Future[str] = Future()

    def run() -> None:
        try:
            key.set_result(content_key(files, vehicle_text, databases))
        except BaseException as error:  # it is raised where the sum is asked for
            key.set_exception(error)

    threading.Thread(target=run, name="content-sum", daemon=True).start()
    return Summing(library, key)
