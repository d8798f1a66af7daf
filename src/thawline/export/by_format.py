"""The one door to every format of export."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from thawline.errors import RequestError, did_you_mean
from thawline.recording.recording import Recording

#: Formats by the suffix of the file.
SUFFIXES = {".mf4": "mdf", ".parquet": "parquet", ".csv": "csv"}
FORMATS = tuple(dict.fromkeys(SUFFIXES.values()))


def format_of(path: Path, asked: str | None = None) -> str:
    """Decide the format of a file.

    Parameters
    ----------
    path : Path
        The file to be written.
    asked : str, optional
        The format asked for; None: the suffix decides.

    Returns
    -------
    str
        ``mdf``, ``parquet`` or ``csv``.

    Raises
    ------
    RequestError
        If there is no such format, or the suffix says nothing.
    """
    if asked is not None:
        form = asked.lower()
        if form in FORMATS:
            return form
        raise RequestError(
            f"there is no format {asked!r}",
            cure=did_you_mean(form, FORMATS) or f"Choose {', '.join(FORMATS)}",
        )
    found = SUFFIXES.get(path.suffix.lower())
    if found is None:
        raise RequestError(
            f"the suffix {path.suffix!r} does not tell the format",
            file=path,
            cure=f"End it in {', '.join(SUFFIXES)}, or add --format {'|'.join(FORMATS)}",
        )
    return found


def write_recording(recording: Recording, path: Path, form: str) -> None:
    """Write a recording as a file.

    Parameters
    ----------
    recording : Recording
        The recording.
    path : Path
        The file; one that is there is replaced.
    form : str
        ``mdf``, ``parquet`` or ``csv``.

    Raises
    ------
    RequestError
        If the recording is empty or the file cannot be written.
    """
    # each writer is imported when it is needed: asammdf alone takes 0.5 s
    write: Callable[[Recording, Path], None]
    if form == "mdf":
        from thawline.export.mdf import write_mdf as write
    elif form == "parquet":
        from thawline.export.parquet import write_parquet as write
    else:
        from thawline.export.csv import write_csv as write
    write(recording, path)
