"""What a terminal shows while listening: a calm page of sentences, set anew once a second."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from thawline.cli.watch_words import (
    NEVER,
    clock,
    head_lines,
    merged,
    name_of,
    still_ahead,
    troubles,
    until,
)
from thawline.live.heartbeat import Heartbeat
from thawline.live.session import Session

if TYPE_CHECKING:
    from rich.console import Group

#: So many turning points and notes are shown, the latest ones [1].
SHOWN = 4
#: What a key writes down, besides free text.
KEYS = {
    "1": "plugged in",
    "2": "asked for charging",
    "3": "turned on the cabin",
    "4": "turned off the cabin",
    "5": "unplugged",
    "6": "drove off",
}
CAUTION = "Listens only; nothing is sent. Whoever drives does not read this."


@dataclass(frozen=True, slots=True)
class Shown:
    """What is known at this moment.

    Parameters
    ----------
    session : Session
        The session.
    beat : Heartbeat
        How listening goes.
    told : dict
        What the explaining program told last; empty at first.
    typed : str or None
        The note that is being typed; None if none is.
    said : str
        The last thing to say to the person.
    """

    session: Session
    beat: Heartbeat
    told: dict[str, Any]
    typed: str | None = None
    said: str = ""


def page(shown: Shown, disk_told: str = "") -> Group:
    """Set the page.

    Parameters
    ----------
    shown : Shown
        What is known.
    disk_told : str
        Why the disk takes nothing; empty if it does.

    Returns
    -------
    rich.console.Group
        To be shown.
    """
    from rich.console import Group  # imported here: help stays quick
    from rich.padding import Padding
    from rich.rule import Rule
    from rich.text import Text

    beat, told = shown.beat, shown.told
    head, *more = head_lines(shown.session, beat)
    parts: list[Any] = [Text(head, style="bold"), *(Text(line, style="dim") for line in more)]
    parts += [
        Text(f"! {text}", style="bold yellow")
        for text in troubles(beat, disk_told, told.get("fault"))
    ]
    parts += _foot(shown)
    story = told.get("story")
    if story is None:
        return Group(*parts, Text("\nNothing to tell yet: no mapped signal has come."))
    zero = story["starts_at"]

    def section(title: str, lines: Sequence[Any]) -> None:
        if lines:
            parts.append(Text(""))
            parts.append(Rule(Text(title), align="left", style="dim"))
            parts.extend(Padding(line, (0, 0, 0, 2)) for line in lines)

    section("What comes, from now", [_coming_table(told, beat.now - zero)])
    section(
        "What holds it back now",
        [
            Text.assemble((f"{each['what'].replace('-', ' ')}: ", "bold"), each["because"])
            for each in story["refused"]
        ],
    )
    section(
        "What it did, and why",
        [
            Text.assemble((f"{clock(zero + t)}  ", "dim"), (f"{what}. ", "bold"), why)
            for t, what, why in merged(told)[-SHOWN:]
        ],
    )
    section("What goes on", [Text(each["because"]) for each in story["now"]])
    gaps = [
        f"{clock(zero + gap['from_s'])} to {clock(zero + gap['to_s'])}"
        for gap in story["gaps"][-SHOWN:]
    ]
    section("Nothing was recorded", [Text(", ".join(gaps))] if gaps else [])
    return Group(*parts)


def _foot(shown: Shown) -> list[Any]:
    """Set the keys, or the note that is being typed, and the last thing to say."""
    from rich.text import Text

    if shown.typed is not None:
        line = Text.assemble(("note: ", "bold"), shown.typed, ("▏", "bold"), "   Enter keeps it")
    else:
        keys = " · ".join(
            f"{key}\u00a0{text.replace(' ', chr(0xA0))}" for key, text in KEYS.items()
        )
        line = Text(f"{keys} · n\u00a0note\u00a0in\u00a0words · q\u00a0end", style="dim")
    return [line, Text(shown.said or CAUTION, style="" if shown.said else "dim")]


def _coming_table(told: dict[str, Any], now_s: float) -> Any:
    from rich.table import Table
    from rich.text import Text

    points = still_ahead(told)
    if points is None:
        return Text("looking ahead …", style="dim")
    if not points:
        return Text("nothing that can be foretold")
    table = Table.grid(padding=(0, 3))
    for side in ("left", "right", "right", "right", "left"):
        table.add_column(justify=side)
    table.add_row(*(Text(text, style="dim") for text in ("", "10 %", "50 %", "90 %", "")))
    for point in points:
        never = f"{point['never']:.0%} that it does not come" if point["never"] >= NEVER else ""
        times = [until(point[key], now_s) for key in ("p10_s", "p50_s", "p90_s")]
        table.add_row(Text(name_of(point), style="bold"), *times, Text(never, style="dim"))
    return table
