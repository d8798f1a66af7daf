"""The end of listening: a recording is made, also of what broke off."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from thawline.cli.add import added_json
from thawline.cli.speak import progress, say
from thawline.errors import ThawlineError
from thawline.live.finish import Finished, finish
from thawline.live.lock import hold, let_go
from thawline.live.running import leftover
from thawline.live.session import Session
from thawline.walk import Added

if TYPE_CHECKING:
    from thawline.library.handle import Library


def keep(session: Session, library: Library, *, keep_frames: bool, as_json: bool) -> Finished:
    """Make a recording of a session, and say so.

    Parameters
    ----------
    session : Session
        The session, which has ended.
    library : Library
        The library.
    keep_frames : bool
        Whether its frames stay as a log.
    as_json : bool
        Whether to print a line of JSON.

    Returns
    -------
    Finished
        What it became.

    Raises
    ------
    ThawlineError
        If no recording can be made, or the library cannot be written.
    """
    with progress("keeping what was heard") as told:
        done = finish(session, library, keep_frames=keep_frames, progress=told)
    recording = done.recording
    if recording is None:
        say(f"{session.id}: no frame came, nothing is kept")
        return done
    if as_json:
        print(json.dumps({"recording": added_json(Added(recording, True))}), flush=True)
    say(
        f"{recording.id} kept: {recording.quality.frames} frames, "
        f"{recording.duration_s / 60:.1f} min, {done.notes} notes"
    )
    if done.frames_file is not None:
        say(f"  its frames, for signals that are mapped later: {done.frames_file}")
    say(f"  next: thawline explain {recording.id} --html morning.html")
    return done


def recover_all(library: Library, *, keep_frames: bool, as_json: bool) -> int:
    """Make recordings of all sessions that broke off.

    Parameters
    ----------
    library : Library
        The library.
    keep_frames : bool
        Whether their frames stay as logs.
    as_json : bool
        Whether to print a line of JSON for each.

    Returns
    -------
    int
        How many broke off [1].
    """
    found = leftover(library)
    for session in found:
        handle = hold(session.folder)
        if handle is None:  # another program is at it
            continue
        try:
            say(f"{session.id} broke off; making a recording of it ...")
            keep(session, library, keep_frames=keep_frames, as_json=as_json)
        except ThawlineError as error:  # one that can't be made must not keep others from it
            say(f"thawline: {error}")
        finally:
            let_go(handle)
    return len(found)
