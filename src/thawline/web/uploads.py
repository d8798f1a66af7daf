"""Receive files from a form, piece by piece onto the disk, and never more than was allowed."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import mkdtemp
from typing import IO

from python_multipart.multipart import MultipartParser, parse_options_header
from starlette.requests import Request

from thawline.errors import InputError, RequestError
from thawline.library.library import Library

#: Files and fields in one form [1], characters of a field [1], and of a file's name [1].
MOST_PARTS, LONGEST_FIELD, LONGEST_NAME = 200, 4096, 120
#: Uploads that a kill left are cleared once they are this old [s].
LEFT_S = 86400.0


class TooLargeError(RequestError):
    """An upload that is larger than was allowed."""


@dataclass(frozen=True, slots=True)
class Received:
    """What a form brought.

    Parameters
    ----------
    folder : Path
        Where the files are; whoever received them removes it.
    fields : dict of str to str
        What was typed or chosen.
    files : dict of str to list of Path
        The files by the name of their field, in order.
    """

    folder: Path
    fields: dict[str, str] = field(default_factory=dict)
    files: dict[str, list[Path]] = field(default_factory=dict)


def too_large(size: int, limit: int) -> TooLargeError:
    """Say that an upload is too large.

    Parameters
    ----------
    size : int
        Its size, as far as is known [byte].
    limit : int
        The largest that is taken [byte].

    Returns
    -------
    TooLargeError
        To be raised.
    """
    return TooLargeError(
        f"the upload (={size / 1e6:.1f} MB) must be at most {limit / 1e6:.1f} MB; nothing was kept",
        cure="add it with `thawline add`, or start the pages with a larger --upload-limit",
    )


def safe_name(name: str) -> str:
    """Make a file's name fit for the disk, and leave it as it is where it already is.

    Parameters
    ----------
    name : str
        The name as the browser gave it.

    Returns
    -------
    str
        A plain name: no folder, no control character, not hidden, not too long.
    """
    plain = name.replace("\\", "/").rsplit("/", 1)[-1]
    plain = "".join(letter for letter in plain if letter.isprintable()).strip().lstrip(".")
    plain = plain.encode("utf-8", "ignore").decode()
    while len(plain.encode()) > LONGEST_NAME:  # the ending tells the format: keep it
        plain = plain[1:]
    return plain.lstrip(".") or "file"


def folder_for(library: Library) -> Path:
    """Make a folder for one upload, on the library's disk.

    Parameters
    ----------
    library : Library
        The library.

    Returns
    -------
    Path
        A new folder that only this account can read.
    """
    uploads = library.folder / "uploads"
    uploads.mkdir(exist_ok=True)
    for old in uploads.iterdir():
        with suppress(OSError):
            if time.time() - old.stat().st_mtime > LEFT_S:
                shutil.rmtree(old, ignore_errors=True)
    return Path(mkdtemp(prefix="upload-", dir=uploads))


def without_folder(text: str, folder: Path) -> str:
    """Take the folder of an upload out of a message, so that it names the person's own file.

    Parameters
    ----------
    text : str
        The message.
    folder : Path
        The folder.

    Returns
    -------
    str
        The message as the command would have given it.
    """
    for place in sorted(folder.glob("*/"), reverse=True):
        text = text.replace(f"{place}/", "")
    return text.replace(f"{folder}/", "")


class _Form:
    """Writes parts of a form as they come."""

    def __init__(self, folder: Path, limit: int) -> None:
        self.received = Received(folder)
        self._limit, self._written, self._parts = limit, 0, 0
        self._header, self._value, self._headers = b"", b"", dict[str, bytes]()
        self._name, self._text = "", bytearray()
        self._file: IO[bytes] | None = None

    def callbacks(self) -> dict[str, Callable[..., None]]:
        return {
            "on_part_begin": self._begin,
            "on_header_field": self._field,
            "on_header_value": self._more_value,
            "on_header_end": self._end_header,
            "on_headers_finished": self._open,
            "on_part_data": self._data,
            "on_part_end": self.end,
        }

    def _begin(self) -> None:
        self._parts += 1
        if self._parts > MOST_PARTS:
            raise RequestError(f"the form has more than {MOST_PARTS} parts")
        self._headers, self._name, self._text = {}, "", bytearray()

    def _field(self, data: bytes, start: int, end: int) -> None:
        self._header += data[start:end]

    def _more_value(self, data: bytes, start: int, end: int) -> None:
        self._value += data[start:end]

    def _end_header(self) -> None:
        self._headers[self._header.decode("latin-1").lower()] = self._value
        self._header = self._value = b""

    def _open(self) -> None:
        _, told = parse_options_header(self._headers.get("content-disposition", b""))
        self._name = told.get(b"name", b"").decode("utf-8", "replace")
        file = told.get(b"filename")
        if not file:
            self._file = None
            if file is not None:  # a file field in which nothing was chosen
                self._name = ""
            return
        listed = self.received.files.setdefault(self._name, [])
        place = self.received.folder / f"{self._parts:03d}"
        place.mkdir()
        path = place / safe_name(file.decode("utf-8", "replace"))
        self._file = path.open("wb")
        listed.append(path)

    def _data(self, data: bytes, start: int, end: int) -> None:
        if self._file is None:
            self._text += data[start:end]
            if len(self._text) > LONGEST_FIELD:
                raise RequestError(f"the field {self._name!r} is too long")
            return
        self._written += end - start
        if self._written > self._limit:
            raise too_large(self._written, self._limit)
        self._file.write(data[start:end])

    def end(self) -> None:
        if self._file is not None:
            self._file.close()
            self._file = None
        elif self._name:
            self.received.fields[self._name] = self._text.decode("utf-8", "replace")
            self._name = ""


async def receive(request: Request, library: Library, limit: int) -> Received:
    """Receive a form with files.

    Parameters
    ----------
    request : Request
        The request.
    library : Library
        On whose disk the files are put.
    limit : int
        Bytes that are taken at most [byte].

    Returns
    -------
    Received
        Fields, and files in a folder of their own.

    Raises
    ------
    TooLargeError
        If there is more than is allowed; nothing is kept.
    RequestError
        If it is no form with files, or it was cut off; nothing is kept.
    """
    kind, told = parse_options_header(request.headers.get("content-type", ""))
    boundary = told.get(b"boundary")
    if kind != b"multipart/form-data" or not boundary:
        raise RequestError("this is no form with files", cure="use the form on the page")
    size = request.headers.get("content-length", "")
    if size.isdigit() and int(size) > limit + MOST_PARTS * LONGEST_FIELD:
        raise too_large(int(size), limit)
    folder = folder_for(library)
    form = _Form(folder, limit)
    try:
        parser = MultipartParser(boundary, form.callbacks())  # type: ignore[arg-type]  # typed dict
        async for piece in request.stream():
            parser.write(piece)
        parser.finalize()
    except BaseException as error:
        form.end()
        shutil.rmtree(folder, ignore_errors=True)
        if isinstance(error, InputError) or not isinstance(error, Exception):
            raise
        if isinstance(error, OSError):
            raise RequestError(
                f"the upload cannot be written ({error.strerror}); nothing was kept",
                cure="make room on the disk, then add it again",
            ) from error
        raise RequestError(
            "the upload was cut off or is damaged; nothing was kept", cure="add it again"
        ) from error
    return form.received
