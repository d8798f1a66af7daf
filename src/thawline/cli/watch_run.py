"""Listen until the person has heard enough: show, take notes, explain in a second program."""

from __future__ import annotations

import json
import multiprocessing
import signal
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection
from typing import TYPE_CHECKING, Any

from thawline.cli.speak import say, utc
from thawline.cli.watch_end import keep, recover_all
from thawline.cli.watch_explain import explain_on
from thawline.cli.watch_keys import Lines, Notebook, keys
from thawline.cli.watch_page import CAUTION, KEYS, Shown, page
from thawline.cli.watch_plain import PlainTeller
from thawline.cli.watch_words import head_lines
from thawline.errors import LibraryError
from thawline.live.heartbeat import Heartbeat
from thawline.live.listening import Listening

if TYPE_CHECKING:
    from thawline.library.handle import Library

#: Time between two pages [s].
EVERY_S = 1.0
#: The explaining program ends within this time, or is ended [s].
END_S = 3.0


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the person asked for.

    Parameters
    ----------
    for_s : float or None
        How long to listen; None: until it is ended [s].
    levels_kW : tuple of float
        Regenerative powers to wait for [kW].
    as_json : bool
        Whether to print a line of JSON a second.
    keep_frames : bool
        Whether the frames stay as a log.
    """

    for_s: float | None
    levels_kW: tuple[float, ...]
    as_json: bool = False
    keep_frames: bool = True


def line_json(listening: Listening, beat: Heartbeat, told: dict[str, Any]) -> dict[str, Any]:
    """Put a moment into a document.

    Parameters
    ----------
    listening : Listening
        The session.
    beat : Heartbeat
        How it goes.
    told : dict
        What the explaining program told last.

    Returns
    -------
    dict
        The line of that second.
    """
    story = told.get("story")
    return {
        "session": listening.session.id,
        "t_s": None if story is None else round(beat.now - story["starts_at"], 3),
        "at": utc(beat.now),
        "state": beat.state,
        "frames": beat.frames,
        "frames_per_s": beat.frames_per_s,
        "kept": beat.kept,
        "lost": beat.lost,
        "bytes": beat.bytes,
        "buses": [
            {
                "name": bus.name,
                "state": bus.state,
                "frames": bus.frames,
                "unreadable": bus.unreadable,
                "told": bus.told,
            }
            for bus in beat.buses
        ],
        "story": story,
        "ahead": told.get("ahead"),
        "fault": told.get("fault"),
        "notes": told.get("notes", []),
    }


@contextmanager
def explained(listening: Listening, library: Library, wishes: Wishes) -> Iterator[Connection]:
    """Run the explaining program beside.

    Parameters
    ----------
    listening : Listening
        The session.
    library : Library
        Its library.
    wishes : Wishes
        What is asked for.

    Yields
    ------
    Connection
        Where its documents come from.
    """
    fresh = multiprocessing.get_context("spawn")  # not forked: threads listen here
    ours, theirs = fresh.Pipe()
    folders = (listening.session.folder, library.folder)
    other = fresh.Process(
        target=explain_on, args=(theirs, *folders, wishes.levels_kW), daemon=True, name="explain"
    )
    other.start()
    theirs.close()
    try:
        yield ours
    finally:
        ours.close()
        other.join(END_S)
        if other.is_alive():
            other.terminate()
            other.join()


def newest(pipe: Connection, told: dict[str, Any]) -> dict[str, Any]:
    """Take the newest document.

    Parameters
    ----------
    pipe : Connection
        Where documents come from.
    told : dict
        The one before.

    Returns
    -------
    dict
        The newest, or the one before if none came.
    """
    try:
        while pipe.poll():
            told = pipe.recv()
    except (EOFError, OSError):
        return told | {"fault": "the explaining program has ended"}
    return told


def _interrupt(*_: object) -> None:
    raise KeyboardInterrupt


def run(listening: Listening, library: Library, wishes: Wishes) -> None:
    """Listen until the end, then make a recording of it.

    Parameters
    ----------
    listening : Listening
        The session, which listens already.
    library : Library
        Its library.
    wishes : Wishes
        What is asked for.

    Raises
    ------
    ThawlineError
        If no recording can be made, or the library cannot be written.
    """
    signal.signal(signal.SIGTERM, _interrupt)
    if hasattr(signal, "SIGHUP"):
        signal.signal(signal.SIGHUP, _interrupt)
    try:
        with suppress(KeyboardInterrupt), explained(listening, library, wishes) as pipe:
            _show(listening, pipe, wishes)
    finally:
        last = listening.stop()
    try:
        if last.frames > last.kept + last.lost:
            say(
                f"the disk takes nothing: the last {last.frames - last.kept - last.lost} frames "
                "are lost; what came before is safe"
            )
        keep(listening.session, library, keep_frames=wishes.keep_frames, as_json=wishes.as_json)
        recover_all(library, keep_frames=wishes.keep_frames, as_json=False)
    except LibraryError:
        say("what was heard is safe; when there is room: thawline watch --recover")
        raise
    finally:
        listening.let_go()


def _show(listening: Listening, pipe: Connection, wishes: Wishes) -> None:
    """Show and take notes until the end."""
    looked_at = sys.stdout.isatty() and sys.stdin.isatty() and not wishes.as_json
    until = None if wishes.for_s is None else time.monotonic() + wishes.for_s
    notebook = Notebook(KEYS)
    for line in ("", *head_lines(listening.session, listening.beat())[:-1], CAUTION):
        say(line)
    with ExitStack() as stack:
        typing = stack.enter_context(keys()) if looked_at else Lines()
        live = stack.enter_context(_screen()) if looked_at else None
        plain = PlainTeller(listening.session)
        told: dict[str, Any] = {}
        said, due = "", time.monotonic()
        while not (notebook.wants_end or listening.is_done):
            now = time.monotonic()
            if until is not None and now >= until:
                return
            typed = typing.typed(max(0.0, min(due, until or due) - now))
            if typed:
                at = listening.clock()
                made = notebook.press(typed, at) if looked_at else [(at, typed.strip())]
                for moment, text in made:
                    if text:
                        listening.note(text, moment)
                        said = f"noted: {text}"
            elif time.monotonic() < due:
                continue
            if time.monotonic() >= due:
                due = max(due + EVERY_S, time.monotonic())
                told = newest(pipe, told)
                beat = listening.beat()
                if wishes.as_json:
                    print(json.dumps(line_json(listening, beat, told)), flush=True)
                elif live is None:
                    plain.tell(beat, told, listening.disk_told)
            if live is not None:
                shown = Shown(listening.session, beat, told, notebook.typed, said)
                live.update(page(shown, listening.disk_told), refresh=True)


def _screen() -> Any:
    from rich.console import Console  # imported here: help stays quick
    from rich.live import Live

    return Live(console=Console(), auto_refresh=False, screen=True, vertical_overflow="crop")
