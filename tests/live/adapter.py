"""A serial adapter (slcan) over a pseudo-terminal, in a program of its own.

It answers commands as the protocol's manual says, plays frames at a rate once its channel is
open, and writes down every byte that it is given. Run:
``python -m tests.live.adapter FOLDER RATE [MODE]``; it writes ``port`` (the terminal's name),
``heard`` (bytes given to it) and ``sent.json`` into the folder, and ends with its input.
Modes: ``plain``; ``deaf`` refuses L; ``mute`` answers nothing.
"""

from __future__ import annotations

import json
import os
import select
import sys
import time
import tty
from pathlib import Path

#: Each command's answer, by its first letter.
BELL, OK = b"\a", b"\r"


def frame(number: int) -> bytes:
    """Make a frame that tells its number: identifiers go round, the payload counts."""
    identifier = 0x100 + number % 40
    return b"t%03X8%016X\r" % (identifier, number)


def answer(command: bytes, is_open: bool, mode: str) -> tuple[bytes, bool]:
    """Answer a command; say whether the channel is open afterwards."""
    if command[:1] == b"C":
        return (OK if is_open else BELL), False
    if command[:1] == b"S" and not is_open:
        return OK, False
    if command == b"L" and not is_open and mode != "deaf":
        return OK, True
    if command == b"O" and not is_open:
        return OK, True
    return BELL, is_open


def tell(folder: Path, name: str, text: str) -> None:
    """Write a small file in one step."""
    fresh = folder / f"{name}.new"
    fresh.write_text(text)
    fresh.replace(folder / name)


def main() -> None:
    folder, rate, mode = Path(sys.argv[1]), float(sys.argv[2]), (sys.argv[3:] or ["plain"])[0]
    master, slave = os.openpty()
    tty.setraw(slave)
    tell(folder, "port", os.ttyname(slave))
    os.set_blocking(master, False)
    heard = (folder / "heard").open("ab", buffering=0)
    is_open, begun, sent, given, command = False, 0.0, 0, 0, b""
    pending, slowest, told = b"", 0.0, 0.0
    log = (folder / "sent_at").open("w")
    while True:
        readable, _, _ = select.select([master, sys.stdin], [], [], 0.002)
        if sys.stdin in readable and not os.read(sys.stdin.fileno(), 1):
            break
        if master in readable:
            data = os.read(master, 4096)
            heard.write(data)
            for byte in data:
                command += bytes([byte])
                if command.endswith(b"\r"):
                    was = is_open
                    reply, is_open = answer(command[:-1], is_open, mode)
                    if mode != "mute":
                        pending += reply
                    command = b""
                    if is_open and not was:
                        begun, given = time.monotonic(), 0
        if is_open:
            due = int((time.monotonic() - begun) * rate) - given
            pending += b"".join(frame(sent + i) for i in range(due))
            given += due
            sent += due
        if pending:
            try:
                pending = pending[os.write(master, pending) :]
            except BlockingIOError:
                pass
            slowest = max(slowest, len(pending) / 22.0 / max(rate, 1.0))
        now = time.monotonic()
        if now - told > 0.1:
            told = now
            out = sent - pending.count(b"\r")
            tell(folder, "sent.json", json.dumps({"sent": out, "behind_s": slowest}))
            log.write(f"{time.time():.3f} {out}\n")
            log.flush()
    tell(folder, "sent.json", json.dumps({"sent": sent, "behind_s": slowest}))


if __name__ == "__main__":
    main()
