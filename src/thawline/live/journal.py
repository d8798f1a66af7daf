"""The journal: every frame on disk within a second, whatever happens to the program.

It is candump text in gzip members, one for each flush (RFC 1952 lets members follow one another,
and each ends in a sum of its own). A kill can only cut the last member; what is whole before it is
read by any program that reads gzip.
"""

from __future__ import annotations

import os
import threading
import zlib
from collections import deque
from pathlib import Path

from thawline.errors import LibraryError

#: Bytes of text in one member, at most about [byte].
MEMBER_BYTES = 1 << 20
#: Text that waits for room on a full disk, at most [byte]; what comes beyond is lost and counted.
WAITING_BYTES = 64 << 20
#: Level of compression; the fastest is enough, for neighbouring lines are much alike [1].
LEVEL = 1
#: ``wbits`` of zlib for a gzip member [1].
GZIP = 31


class Journal:
    """A journal that is being written; one thread flushes, any may append.

    Parameters
    ----------
    path : Path
        The file; it is made, and must not be there.

    Raises
    ------
    LibraryError
        If it cannot be made.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._lock = threading.Lock()
        self._parts: list[bytes] = []
        self._held = 0
        self._frames = 0
        self._waiting: deque[tuple[bytes, int]] = deque()
        self._waiting_bytes = 0
        self._good = 0
        #: Frames that reached the disk, and frames lost because it was full for long [1].
        self.kept, self.lost = 0, 0
        try:
            self._handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | _BINARY, 0o644)
        except OSError as error:
            raise LibraryError(
                f"{path} cannot be written: {error.strerror}. Make room, or choose another folder "
                "with --library or THAWLINE_LIBRARY."
            ) from error

    @property
    def size(self) -> int:
        """Bytes on disk [byte]."""
        return self._good

    def append(self, text: bytes, frames: int) -> None:
        """Take lines; they are on disk after the next flush.

        Parameters
        ----------
        text : bytes
            Whole lines.
        frames : int
            How many frames they are [1].
        """
        with self._lock:
            self._parts.append(text)
            self._held += len(text)
            self._frames += frames
            if self._held >= MEMBER_BYTES:
                self._seal()

    def _seal(self) -> None:
        """Close a member's text; the lock is held."""
        if not self._parts:
            return
        if self._waiting_bytes + self._held > WAITING_BYTES:
            self.lost += self._frames
        else:
            self._waiting.append((b"".join(self._parts), self._frames))
            self._waiting_bytes += self._held
        self._parts, self._held, self._frames = [], 0, 0

    def flush(self) -> None:
        """Bring all that was appended to the disk.

        Raises
        ------
        OSError
            If the disk is full, or gone. What is on it is whole; the rest is kept for the next
            flush, as far as memory allows.
        """
        with self._lock:
            self._seal()
        while self._waiting:
            text, frames = self._waiting[0]
            packer = zlib.compressobj(LEVEL, zlib.DEFLATED, GZIP)
            self._write(packer.compress(text) + packer.flush())
            with self._lock:
                self._waiting.popleft()
                self._waiting_bytes -= len(text)
                self.kept += frames

    def _write(self, member: bytes) -> None:
        """Write a whole member and make sure of it, or leave the file as it was."""
        view, at = memoryview(member), 0
        try:
            while at < len(view):
                at += os.write(self._handle, view[at:])
            os.fsync(self._handle)
        except OSError:
            os.ftruncate(self._handle, self._good)
            os.lseek(self._handle, self._good, os.SEEK_SET)
            raise
        self._good += len(member)

    def close(self) -> None:
        """Flush and close.

        Raises
        ------
        OSError
            If the last lines cannot be written; the file is closed all the same.
        """
        try:
            self.flush()
        finally:
            os.close(self._handle)


#: Without it Windows would change line ends.
_BINARY = getattr(os, "O_BINARY", 0)
