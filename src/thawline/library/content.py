"""Tell whether two recordings come from the same content."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path


def content_key(files: Sequence[Path], vehicle_text: str, databases: Sequence[Path]) -> str:
    """Sum up what a recording is made from.

    Compressed files count by what is in them, so a log and its compressed copy are the same.

    Parameters
    ----------
    files : sequence of Path
        The logs and tables, in the order in which they are read.
    vehicle_text : str
        The text of the vehicle file.
    databases : sequence of Path
        The signal databases, in order.

    Returns
    -------
    str
        A SHA-256 sum, 64 hexadecimal digits.

    Raises
    ------
    SourceError
        If a file cannot be read.
    """
    raise NotImplementedError


def recording_id(vehicle_name: str, starts_at: float, key: str) -> str:
    """Name a recording so that a person can read the name.

    Parameters
    ----------
    vehicle_name : str
        The vehicle's name.
    starts_at : float
        First sample, since 1970-01-01 UTC [s].
    key : str
        The sum that ``content_key`` gave.

    Returns
    -------
    str
        For instance ``gannet-20260117-0612-3f9a1c``.
    """
    raise NotImplementedError
