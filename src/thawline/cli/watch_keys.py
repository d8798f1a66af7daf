"""Hear what the person types: single keys on a terminal, else a line for each note."""

from __future__ import annotations

import queue
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Protocol


class Typing(Protocol):
    """Gives what was typed since the last time."""

    def typed(self, wait_s: float) -> str:
        """Wait for keys.

        Parameters
        ----------
        wait_s : float
            How long, at most [s].

        Returns
        -------
        str
            The keys, or a line with its end; empty if nothing was typed.
        """
        ...


class Lines:
    """Lines of standard input, which need no terminal."""

    def __init__(self) -> None:
        self._lines: queue.SimpleQueue[str] = queue.SimpleQueue()
        threading.Thread(target=self._read, name="input", daemon=True).start()

    def _read(self) -> None:
        try:
            for line in sys.stdin:
                self._lines.put(line)
        except (OSError, ValueError):  # there is no input
            return

    def typed(self, wait_s: float) -> str:
        """Wait for a line.

        Parameters
        ----------
        wait_s : float
            How long, at most [s].

        Returns
        -------
        str
            The line with its end; empty if none came.
        """
        try:
            return self._lines.get(timeout=wait_s)
        except queue.Empty:
            return ""


class _Keys:
    def typed(self, wait_s: float) -> str:
        import os
        import select

        handle = sys.stdin.fileno()
        readable, _, _ = select.select([handle], [], [], wait_s)
        return os.read(handle, 1024).decode("utf-8", "replace") if readable else ""


class _WindowsKeys:
    def typed(self, wait_s: float) -> str:
        import time

        until = time.monotonic() + wait_s
        if sys.platform == "win32":
            import msvcrt

            while time.monotonic() < until:
                if msvcrt.kbhit():
                    return msvcrt.getwch()
                time.sleep(0.02)
        return ""


@contextmanager
def keys() -> Iterator[Typing]:
    """Hear single keys of the terminal, which is put back as it was afterwards.

    Yields
    ------
    Typing
        What gives them.
    """
    if sys.platform == "win32":
        yield _WindowsKeys()
        return
    import termios
    import tty

    handle = sys.stdin.fileno()
    before = termios.tcgetattr(handle)
    try:
        tty.setcbreak(handle)
        yield _Keys()
    finally:
        termios.tcsetattr(handle, termios.TCSADRAIN, before)


class Notebook:
    """Turns keys into notes: a digit is a note, ``n`` begins one in words, Enter ends it.

    The moment of a note in words is that of the ``n``.

    Parameters
    ----------
    ready : dict of str to str
        Keys and what they write down.
    """

    def __init__(self, ready: dict[str, str]) -> None:
        self._ready = ready
        #: What is being typed; None if nothing is.
        self.typed: str | None = None
        self._began = 0.0
        #: Whether the person asked to end.
        self.wants_end = False

    def press(self, keys_pressed: str, now: float) -> list[tuple[float, str]]:
        """Take keys.

        Parameters
        ----------
        keys_pressed : str
            The keys.
        now : float
            When they were pressed, by the session's clock [s].

        Returns
        -------
        list of (float, str)
            Notes that are complete: their moment [s] and text.
        """
        done = []
        for key in keys_pressed:
            if self.typed is None:
                if key in self._ready:
                    done.append((now, self._ready[key]))
                elif key in "nN":
                    self.typed, self._began = "", now
                elif key in "qQ":
                    self.wants_end = True
            elif key in "\r\n":
                if self.typed.strip():
                    done.append((self._began, self.typed.strip()))
                self.typed = None
            elif key == "\x1b":
                self.typed = None
                break  # an arrow or another long key: what follows belongs to it
            elif key in "\x7f\b":
                self.typed = self.typed[:-1]
            elif key.isprintable():
                self.typed += key
        return done
