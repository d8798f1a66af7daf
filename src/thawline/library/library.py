"""The library: a folder that holds a catalogue and the samples of recordings."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Library:
    """A handle on an opened library.

    Parameters
    ----------
    folder : Path
        The folder that holds it.
    """

    folder: Path

    @property
    def catalogue(self) -> Path:
        """The SQLite catalogue."""
        return self.folder / "catalogue.sqlite"

    @property
    def recordings(self) -> Path:
        """The folder with one folder of samples per recording."""
        return self.folder / "recordings"

    @property
    def incoming(self) -> Path:
        """The folder in which samples are written before they count."""
        return self.folder / "incoming"


def open_library(path: Path | None = None) -> Library:
    """Open a library; make it if there is none.

    Parameters
    ----------
    path : Path, optional
        Its folder. By default ``THAWLINE_LIBRARY`` says, or else it is the folder in which
        programs of this platform keep a person's data.

    Returns
    -------
    Library
        The handle that every other function takes.

    Raises
    ------
    LibraryError
        If the folder cannot be made or written, or the catalogue is damaged or was made by a
        newer version.
    """
    raise NotImplementedError
