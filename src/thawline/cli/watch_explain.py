"""Explain a session while it grows, in a program of its own, so that listening never waits."""

from __future__ import annotations

import math
import os
import signal
import threading
import time
from contextlib import suppress
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from thawline.errors import ThawlineError
from thawline.forecast.follow import follow
from thawline.forecast.forecast import Forecast
from thawline.forecast.look_ahead import look_ahead
from thawline.library.handle import Library
from thawline.live.follow import Follower
from thawline.live.session import Session, read_session
from thawline.looking import Earlier, learn_earlier
from thawline.recording.flows import Flows, make_flows
from thawline.recording.recording import Recording
from thawline.story.story import Story
from thawline.story.tell import find_acts, tell
from thawline.story.why_not import why_not
from thawline.warmup.warmup import WarmUp

#: The story is told anew this often [s], or after so many times the time that it took [1].
STORY_EVERY_S, STORY_REST = 1.0, 6.0
#: A forecast is made this often [s], or after so many times the time that it took [1].
AHEAD_EVERY_S, AHEAD_REST = 10.0, 9.0
#: What is asked about now.
ASKED = ("charging", "regeneration", "pack-heating")
#: How much less than others this program asks for of the processor [1].
NICENESS = 5
#: The end of the recording is this near to a span that still goes on [s].
ONGOING_S = 5.0
#: After a fault, explaining begins anew after this time [s].
AGAIN_S = 5.0

Told = dict[str, Any]
#: A forecast that could not be made; its verdict says why.
NOT_FORETOLD: Told = {
    "recording": None,
    "made_at_s": None,
    "until_s": None,
    "turning_points": [],
    "assumes": [],
}
#: What is told as long as nothing is known.
NOTHING: Told = {"story": None, "ahead": None, "notes": []}


def story_told(recording: Recording, flows: Flows, story: Story) -> Told:
    """Put what is known now into a document.

    Parameters
    ----------
    recording : Recording
        The snapshot.
    flows : Flows
        Its powers.
    story : Story
        Its story.

    Returns
    -------
    dict
        ``until_s``, ``turning_points``, ``now`` (spans that go on), ``refused`` and ``gaps``.
    """
    until = recording.duration_s
    refused = []
    for what in ASKED:
        with suppress(ThawlineError):
            found = why_not(recording, flows, story, what, until)
            if found.limit != "nothing-known":
                refused.append(
                    {
                        "what": what,
                        "limit": found.limit,
                        "now_kW": _finite(found.now_kW),
                        "because": found.because,
                    }
                )
    return {
        "starts_at": recording.starts_at,
        "until_s": until,
        "turning_points": [
            {"kind": point.kind, "t_s": point.t_s, "because": point.because}
            for point in story.turning_points
        ],
        "now": [
            {"lane": span.lane, "from_s": span.from_s, "because": span.because}
            for span in story.spans
            if span.to_s > until - ONGOING_S and span.lane != "no-data"
        ],
        "refused": refused,
        "gaps": [{"from_s": gap.from_s, "to_s": gap.to_s} for gap in recording.gaps],
        "warnings": list(recording.quality.warnings),
    }


def _finite(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else float(value)


class Ahead:
    """Forecasts of a growing recording; a fit is kept for as long as it serves.

    Parameters
    ----------
    library : Library
        Where earlier mornings are kept.
    levels_kW : tuple of float
        Regenerative powers to wait for [kW].
    """

    def __init__(self, library: Library, levels_kW: tuple[float, ...] = ()) -> None:
        self._library, self._levels = library, levels_kW
        self._earlier: Earlier | None = None
        self._warmup: WarmUp | None = None
        self._before: Forecast | None = None

    def look(self, recording: Recording) -> Forecast:
        """Look ahead from a snapshot's end.

        Parameters
        ----------
        recording : Recording
            The snapshot.

        Returns
        -------
        Forecast
            When each turning point comes.

        Raises
        ------
        ThawlineError
            If nothing can be foretold.
        """
        if self._earlier is None:
            self._earlier = learn_earlier(self._library, recording)
        flows = make_flows(recording)
        acts = find_acts(recording, flows)
        story = tell(recording, flows, acts)
        now_s = recording.duration_s
        self._warmup = follow(
            recording, flows, story, self._warmup, self._earlier.prior, now_s,
            needs_fit=self._before is not None and self._before.needs_fit,
            keeps_fit=self._before is not None and self._before.keeps_fit,
        )  # fmt: skip
        found = look_ahead(
            recording,
            flows,
            story,
            self._warmup,
            self._earlier.limits,
            now_s,
            self._levels,
            acts,
            self._before,
        )
        self._before = found
        return found.alone()


class Explainer:
    """Tells the story of a session again and again, and looks ahead beside it.

    Parameters
    ----------
    session : Session
        The session.
    library : Library
        Its library.
    levels_kW : tuple of float
        Regenerative powers to wait for [kW].
    """

    def __init__(self, session: Session, library: Library, levels_kW: tuple[float, ...]) -> None:
        self._follower = Follower(session)
        self._ahead = Ahead(library, levels_kW)
        self._latest: Recording | None = None
        self._foretold: Told | None = None
        self._looker = threading.Thread(target=self._look_on, name="ahead", daemon=True)
        self._looker.start()

    def _look_on(self) -> None:
        from thawline.cli.forecast import forecast_json

        while True:
            recording, began = self._latest, time.monotonic()
            if recording is not None:
                try:
                    self._foretold = forecast_json(self._ahead.look(recording))
                except Exception as error:  # nothing foretold is no reason to end; it is told
                    self._foretold = NOT_FORETOLD | {"verdict": f"{type(error).__name__}: {error}"}
            took = time.monotonic() - began
            time.sleep(max(AHEAD_EVERY_S if recording else STORY_EVERY_S, AHEAD_REST * took))

    def tell(self) -> Told:
        """Take in what came, and tell it.

        Returns
        -------
        dict
            ``story``, ``ahead`` and ``notes``; each None or empty as long as nothing is known.

        Raises
        ------
        ThawlineError
            If the session is gone.
        """
        self._follower.update()
        recording = self._follower.recording()
        notes = [{"t_s": note.at_s, "text": note.text} for note in self._follower.notes()]
        if recording is None:
            return NOTHING | {"notes": notes}
        self._latest = recording
        flows = make_flows(recording)
        story = story_told(recording, flows, tell(recording, flows))
        return {"story": story, "ahead": self._foretold, "notes": notes}


def explain_on(
    pipe: Connection, session_folder: Path, library_folder: Path, levels_kW: tuple[float, ...]
) -> None:
    """Explain until the other end of the pipe is closed; the body of the second program.

    Parameters
    ----------
    pipe : Connection
        Where each document goes.
    session_folder : Path
        The session.
    library_folder : Path
        Its library.
    levels_kW : tuple of float
        Regenerative powers to wait for [kW].
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the first program ends this one
    if hasattr(os, "nice"):
        os.nice(NICENESS)
    session, library = read_session(session_folder), Library(library_folder)
    with suppress(EOFError, OSError):  # the first program is gone
        pause = 0.0
        while not pipe.poll(pause):
            try:
                _tell_on(pipe, Explainer(session, library, levels_kW))
                return
            except (EOFError, OSError):
                return
            except Exception as error:  # our fault must not end the listening; it is told
                if not session.folder.is_dir():
                    return
                pipe.send(NOTHING | {"fault": f"{type(error).__name__}: {error}"})
                pause = AGAIN_S


def _tell_on(pipe: Connection, explainer: Explainer) -> None:
    """Tell again and again, until the pipe is closed."""
    while True:
        began = time.monotonic()
        pipe.send(explainer.tell())
        took = time.monotonic() - began
        if pipe.poll(max(STORY_EVERY_S - took, STORY_REST * took)):
            return
