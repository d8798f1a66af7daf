"""What a listening program says of itself, once a second."""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path

from thawline.live.session import Session

BEAT = "heartbeat.json"
#: States of a bus, the worst last; that of a session is the worst of them.
STATES = ("ended", "listening", "silent", "lost", "disk-full")


@dataclass(frozen=True, slots=True)
class BusBeat:
    """One bus at this moment.

    Parameters
    ----------
    name : str
        Its name.
    state : str
        One of ``STATES``.
    frames : int
        Frames that came [1].
    unreadable : int
        Pieces that were no frame [1].
    told : str
        What a person should know, in plain words; empty if all is well.
    """

    name: str
    state: str
    frames: int
    unreadable: int
    told: str


@dataclass(frozen=True, slots=True)
class Heartbeat:
    """A session at this moment.

    Parameters
    ----------
    at : float
        When this was written, by the computer's clock, since 1970-01-01 UTC [s].
    now : float
        The same moment by the session's own clock, since 1970-01-01 UTC [s].
    speed : float
        How much faster than time the session's clock runs [1].
    state : str
        One of ``STATES``.
    frames : int
        Frames that came [1].
    frames_per_s : float
        Frames that came in the last second [1/s].
    kept : int
        Frames that are on disk [1].
    lost : int
        Frames that were lost because the disk was full for long [1].
    bytes : int
        Size of the journal [byte].
    buses : tuple of BusBeat
        Each bus.
    """

    at: float
    now: float
    speed: float
    state: str
    frames: int
    frames_per_s: float
    kept: int
    lost: int
    bytes: int
    buses: tuple[BusBeat, ...]

    def clock(self, wall: float) -> float:
        """Turn a time of the computer's clock into one of the session's.

        Parameters
        ----------
        wall : float
            Since 1970-01-01 UTC [s].

        Returns
        -------
        float
            Since 1970-01-01 UTC [s].
        """
        return self.now + (wall - self.at) * (self.speed if self.state != "ended" else 0.0)


def worst(states: tuple[str, ...]) -> str:
    """Give the worst of several states.

    Parameters
    ----------
    states : tuple of str
        States.

    Returns
    -------
    str
        The worst; ``ended`` if there is none.
    """
    return max(states, key=STATES.index, default="ended")


def write_heartbeat(folder: Path, beat: Heartbeat) -> None:
    """Write a heartbeat in one step; on a full disk the last one stays.

    Parameters
    ----------
    folder : Path
        The session's folder.
    beat : Heartbeat
        What to write.
    """
    fresh = folder / f"{BEAT}.new"
    with suppress(OSError):
        fresh.write_text(json.dumps(asdict(beat)), encoding="utf-8")
        fresh.replace(folder / BEAT)


def heartbeat(session: Session) -> Heartbeat | None:
    """Read the last heartbeat.

    Parameters
    ----------
    session : Session
        The session.

    Returns
    -------
    Heartbeat or None
        The last; None before the first, and when the session is gone.
    """
    try:
        told = json.loads((session.folder / BEAT).read_text("utf-8"))
        return Heartbeat(**(told | {"buses": tuple(BusBeat(**bus) for bus in told["buses"])}))
    except (OSError, ValueError, KeyError, TypeError):
        return None
