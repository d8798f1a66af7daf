"""A serial adapter (slcan) over a pseudo-terminal, in a program of its own.

It answers commands as the protocol's manual says, plays frames at a rate once its channel is
open, and writes down every byte that it is given. It ends with its input. Run:
``python -m tests.live.adapter FOLDER RATE [MODE [LOG]]``. In the folder it writes ``tty`` (a link
to the terminal), ``heard`` (all bytes given to it), ``sent.json`` and ``sent_at`` (how many frames
had been taken from it, and when).

Modes: ``plain``; ``deaf`` refuses L; ``mute`` answers nothing; ``silent`` plays nothing. With a
log, its frames are played in their own time, and numbered ones fill up to the rate.
"""

from __future__ import annotations

import json
import os
import select
import sys
import time
import tty
from contextlib import suppress
from pathlib import Path

BELL, OK = b"\a", b"\r"
#: Frames of the log that are played, at most.
LONGEST = 200_000


def numbered(number: int, extended: bool) -> bytes:
    """Make a frame that tells its number."""
    if extended:
        return b"T%08X8%016X\r" % (0x1F000000 + number % 40, number)
    return b"t%03X8%016X\r" % (0x100 + number % 40, number)


def played(line: str) -> tuple[float, bytes]:
    """Turn a line of candump text into a frame and its time."""
    time_, _, text = line.split()
    identifier, payload = text.split("#")
    kind = "T" if len(identifier) > 3 else "t"
    return float(time_.strip("()")), f"{kind}{identifier}{len(payload) // 2}{payload}\r".encode()


def answer(command: bytes, is_open: bool, mode: str) -> tuple[bytes, bool]:
    """Answer a command; say whether the channel is open afterwards."""
    if command[:1] == b"C":
        return (OK if is_open else BELL), False
    if command[:1] == b"S" and not is_open:
        return OK, False
    if (command == b"O" or (command == b"L" and mode != "deaf")) and not is_open:
        return OK, True
    return BELL, is_open


def tell(folder: Path, name: str, text: str) -> None:
    """Write a small file in one step."""
    fresh = folder / f"{name}.new"
    fresh.write_text(text)
    fresh.replace(folder / name)


def main() -> None:
    folder, rate = Path(sys.argv[1]), float(sys.argv[2])
    mode = sys.argv[3] if len(sys.argv) > 3 else "plain"
    log = []
    if len(sys.argv) > 4:
        with Path(sys.argv[4]).open() as file:
            log = [played(line) for line, _ in zip(file, range(LONGEST), strict=False)]
    master, slave = os.openpty()
    tty.setraw(slave)
    link = folder / "tty.new"
    link.symlink_to(os.ttyname(slave))
    os.set_blocking(master, False)
    heard = (folder / "heard").open("ab", buffering=0)
    sent_at = (folder / "sent_at").open("a", buffering=1)
    is_open, begun, given, from_log, number, out = False, 0.0, 0, 0, 0, 0
    command, pending, behind, told = b"", b"", 0.0, 0.0
    link.replace(folder / "tty")
    while True:
        readable, _, _ = select.select([master, sys.stdin], [], [], 0.002)
        if sys.stdin in readable:
            break
        if master in readable:
            data = os.read(master, 4096)
            heard.write(data)
            *commands, command = (command + data).split(b"\r")
            for each in commands:
                was = is_open
                reply, is_open = answer(each, is_open, mode)
                pending += b"" if mode == "mute" else reply
                if is_open and not was:
                    begun, given, from_log = time.monotonic(), 0, 0
        if is_open and mode != "silent":
            elapsed = time.monotonic() - begun
            fresh = []
            while from_log < len(log) and log[from_log][0] - log[0][0] <= elapsed:
                fresh.append(log[from_log][1])
                from_log += 1
            more = max(int(elapsed * rate) - given - len(fresh), 0)
            fresh += [numbered(number + i, bool(log)) for i in range(more)]
            number += more
            given += len(fresh)
            pending += b"".join(fresh)
        if pending:
            with suppress(BlockingIOError):
                done = os.write(master, pending)
                out += pending[:done].count(b"\r")
                pending = pending[done:]
            behind = max(behind, pending.count(b"\r") / max(rate, 1.0))
        now = time.monotonic()
        if now - told > 0.05:
            told = now
            sent_at.write(f"{time.time():.3f} {number - pending.count(OK)}\n")
            tell(folder, "sent.json", json.dumps({"sent": given, "behind_s": behind}))
    tell(folder, "sent.json", json.dumps({"sent": given, "behind_s": behind}))


if __name__ == "__main__":
    main()
