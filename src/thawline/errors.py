"""Every error that Thawline raises on purpose, in one tree.

    ThawlineError
    ├── InputError            what was given to us is at fault (exit code 2)
    │   ├── SourceError       a log, a table: missing, empty, truncated, of the wrong kind
    │   ├── DatabaseError     a signal database that cannot be read or does not fit the log
    │   ├── VehicleFileError  a vehicle file: syntax, unknown path, wrong unit, missing key
    │   ├── UnitError         a unit that is unknown or measures something else
    │   └── RequestError      a recording, a time or an option that does not exist
    └── LibraryError          the library on disk cannot be used (exit code 2)

The wording is always the same: the file, the place in it, the value found, what it must be,
and the cure. Anything else that escapes is our fault and leaves with exit code 1.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from pathlib import Path


class ThawlineError(Exception):
    """Base class of all errors raised on purpose; the message is fit for the person."""


class InputError(ThawlineError):
    """Something given to Thawline is at fault.

    Parameters
    ----------
    what : str
        What is wrong, as a sentence without the file's name.
    file : str or Path, optional
        The file at fault.
    place : str, optional
        Where in the file, for instance ``line 12`` or ``[pack] usable_energy_kWh``.
    cure : str, optional
        What to do about it.
    """

    def __init__(
        self,
        what: str,
        *,
        file: str | Path | None = None,
        place: str | None = None,
        cure: str | None = None,
    ) -> None:
        self.what, self.file, self.place, self.cure = what, file, place, cure
        where = ", ".join(str(part) for part in (file, place) if part)
        text = f"{where}: {what}" if where else what
        if cure:
            text = f"{text.rstrip('.')}. {cure[0].upper()}{cure[1:]}"
        super().__init__(text)


class SourceError(InputError):
    """A log or a table that cannot be read."""


class DatabaseError(InputError):
    """A signal database that cannot be read, or that does not fit the log."""


class VehicleFileError(InputError):
    """A vehicle file that is not valid."""


class UnitError(InputError):
    """A unit that is unknown, or that measures something else than wanted."""


class RequestError(InputError):
    """A recording, time or option that does not exist."""


class LibraryError(ThawlineError):
    """The library on disk cannot be opened or written."""


def nearest(wrong: str, right: Iterable[str]) -> str | None:
    """Find the right name that looks most like a wrong one.

    Parameters
    ----------
    wrong : str
        The name that was given.
    right : iterable of str
        The names that exist.

    Returns
    -------
    str or None
        The nearest, or None if nothing is near.
    """
    names = list(right)
    lowered = {name.lower(): name for name in names}
    found = difflib.get_close_matches(wrong.lower(), list(lowered), n=1, cutoff=0.5)
    return lowered[found[0]] if found else None


def did_you_mean(wrong: str, right: Iterable[str]) -> str | None:
    """Put the nearest right name into a cure.

    Parameters
    ----------
    wrong : str
        The name that was given.
    right : iterable of str
        The names that exist.

    Returns
    -------
    str or None
        ``did you mean 'x'?``, or None if nothing is near.
    """
    found = nearest(wrong, right)
    return f"Did you mean {found!r}?" if found else None
