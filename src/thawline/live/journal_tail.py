"""Read a journal while it grows, or after the program that wrote it was killed."""

from __future__ import annotations

import os
import zlib
from pathlib import Path

from thawline.errors import LibraryError
from thawline.live.journal import GZIP

#: Bytes read at once; a member is smaller [byte].
CHUNK = 4 << 20


class JournalTail:
    """What comes behind the last reading; only whole members count.

    Parameters
    ----------
    path : Path
        The journal.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        #: Where the first member begins that was not read [byte].
        self.at = 0
        self._rest = b""

    def read(self) -> bytes:
        """Read the members that are whole since the last reading, about 4 MB at most.

        Returns
        -------
        bytes
            Whole lines; empty if there is nothing new.

        Raises
        ------
        LibraryError
            If the file is gone or cannot be read.
        """
        try:
            with self.path.open("rb") as file:
                file.seek(self.at + len(self._rest))
                self._rest += file.read(CHUNK)
        except OSError as error:
            raise LibraryError(
                f"the journal {self.path} cannot be read: {error.strerror}. If listening ended "
                "meanwhile, that is why."
            ) from error
        found = []
        while self._rest:
            member = zlib.decompressobj(GZIP)
            try:
                text = member.decompress(self._rest)
            except zlib.error:  # what a crash of the system left: nothing whole stands here
                self._rest = b""
                break
            if not member.eof:
                break
            self.at += len(self._rest) - len(member.unused_data)
            self._rest = member.unused_data
            found.append(text)
        return b"".join(found)


def cut_to_whole(path: Path) -> int:
    """Cut off what a kill left unfinished at a journal's end.

    Parameters
    ----------
    path : Path
        The journal.

    Returns
    -------
    int
        Lines that it holds [1].

    Raises
    ------
    LibraryError
        If it cannot be read or cut.
    """
    tail, lines = JournalTail(path), 0
    while True:
        before = tail.at
        lines += tail.read().count(b"\n")
        if tail.at == before:
            break
    try:
        if path.stat().st_size > tail.at:
            os.truncate(path, tail.at)
    except OSError as error:
        raise LibraryError(f"the journal {path} cannot be cut: {error.strerror}.") from error
    return lines
