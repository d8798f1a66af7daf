"""A handle on the library: a folder that holds a catalogue and the samples of recordings."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Library:
    """A handle on an opened library.

    Parameters
    ----------
    folder : Path
        The folder that holds it, absolute.
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
