"""Words for what is heard: moments, lengths of time, what comes, what goes wrong."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from thawline.live.heartbeat import Heartbeat
from thawline.live.session import Session
from thawline.report.chronicle import title_of

#: A chance of never is worth saying from here on [1].
NEVER = 0.05
#: A turning point of the story came after a forecast if it is no older than that by this [s].
SINCE_S = 60.0


def span(seconds: float) -> str:
    """Write a length of time.

    Parameters
    ----------
    seconds : float
        The length [s].

    Returns
    -------
    str
        Minutes and seconds, or hours, minutes and seconds.
    """
    whole = max(round(seconds), 0)
    hours, minutes, rest = whole // 3600, whole // 60 % 60, whole % 60
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}"


def clock(since_epoch_s: float) -> str:
    """Write a time of day, as the computer's time zone has it.

    Parameters
    ----------
    since_epoch_s : float
        Since 1970-01-01 UTC [s].

    Returns
    -------
    str
        Such as ``06:12:03``.
    """
    return datetime.fromtimestamp(since_epoch_s).astimezone().strftime("%H:%M:%S")


def until(t_s: float | None, now_s: float) -> str:
    """Say how far off a moment is.

    Parameters
    ----------
    t_s : float or None
        The moment, since the recording's start; None: beyond what can be seen [s].
    now_s : float
        Now, since the recording's start [s].

    Returns
    -------
    str
        Minutes and seconds, ``now`` or ``later``.
    """
    if t_s is None:
        return "later"
    return "now" if t_s <= now_s else span(t_s - now_s)


def still_ahead(told: dict[str, Any]) -> list[dict[str, Any]] | None:
    """Choose the turning points of the last forecast that have not come since.

    Parameters
    ----------
    told : dict
        What the explaining program told.

    Returns
    -------
    list of dict or None
        The points; None before the first forecast.
    """
    ahead = told.get("ahead")
    if ahead is None:
        return None
    since = (ahead["made_at_s"] or 0.0) - SINCE_S
    story = told.get("story") or {}
    come = {p["kind"] for p in story.get("turning_points", []) if p["t_s"] > since}
    return [p for p in ahead["turning_points"] if not p["is_past"] and p["kind"] not in come]


def coming(point: dict[str, Any], now_s: float) -> str:
    """Say when a turning point comes, from now.

    Parameters
    ----------
    point : dict
        One of a forecast's.
    now_s : float
        Now, since the recording's start [s].

    Returns
    -------
    str
        Such as ``10 % 4:10, 50 % 6:10, 90 % 9:30 from now``.
    """
    times = [f"{p} % {until(point[f'p{p}_s'], now_s)}" for p in (10, 50, 90)]
    never = f"; {point['never']:.0%} that it does not come" if point["never"] >= NEVER else ""
    return f"{', '.join(times)} from now{never}"


def name_of(point: dict[str, Any]) -> str:
    """Name a turning point of a forecast.

    Parameters
    ----------
    point : dict
        One of a forecast's.

    Returns
    -------
    str
        Its title, or the power asked for.
    """
    if point.get("level_kW") is not None:
        return f"{point['level_kW']:g} kW of regeneration"
    return title_of(point["kind"])


def head_lines(session: Session, beat: Heartbeat) -> list[str]:
    """Say what is listened to, since when, and how fast.

    Parameters
    ----------
    session : Session
        The session.
    beat : Heartbeat
        How it goes.

    Returns
    -------
    list of str
        Two or more lines.
    """
    lines = [
        f"{session.vehicle}, since {clock(session.started_at)} "
        f"({span(beat.now - session.started_at)})"
    ]
    lines += [f"{bus.name}: {bus.adapter}, {bus.told}" for bus in session.buses]
    kept = f"{beat.frames:,} frames, {beat.frames_per_s:,.0f} a second, {beat.bytes / 1e6:,.1f} MB"
    return [*lines, f"{kept} on disk".replace(",", "\u2009").replace("\u2009 ", ", ")]


def troubles(beat: Heartbeat, disk_told: str = "", fault: str | None = None) -> list[str]:
    """Say what goes wrong now.

    Parameters
    ----------
    beat : Heartbeat
        How it goes.
    disk_told : str
        Why the disk takes nothing; empty if it does.
    fault : str, optional
        Why nothing is explained.

    Returns
    -------
    list of str
        Sentences; none if all is well.
    """
    found = [bus.told for bus in beat.buses if bus.told]
    if beat.state == "disk-full":
        waiting = beat.frames - beat.kept - beat.lost
        found.append(
            f"the disk takes nothing ({disk_told or 'full'}): {waiting:,} frames wait in memory; "
            "make room"
        )
    if fault:
        found.append(f"explaining failed, listening goes on ({fault})")
    if beat.lost:
        found.append(f"{beat.lost:,} frames were lost for want of room")
    return found


def merged(told: dict[str, Any]) -> list[tuple[float, str, str]]:
    """Put turning points and notes in the order of time.

    Parameters
    ----------
    told : dict
        What the explaining program told.

    Returns
    -------
    list of (float, str, str)
        When [s], what, and why.
    """
    story = told.get("story") or {}
    found = [(p["t_s"], title_of(p["kind"]), p["because"]) for p in story.get("turning_points", [])]
    found += [(n["t_s"], "You noted", n["text"]) for n in told.get("notes", [])]
    return sorted(found, key=lambda each: each[0])
