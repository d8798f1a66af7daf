"""The table of what can be told about a morning, and from what."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any


@dataclass(frozen=True, slots=True)
class Way:
    """One way to find something.

    Parameters
    ----------
    needs : tuple of str
        Names of signals, quantities, or keys of the vehicle file, all of them needed.
    how : str
        How it works.
    because : str
        Why the answer is only rough; empty if it is not.
    is_special : bool
        Whether few cars have it: it is used where it is there, but not advised.
    """

    needs: tuple[str, ...]
    how: str
    because: str = ""
    is_special: bool = False


@dataclass(frozen=True, slots=True)
class Told:
    """Something that a person is told.

    Parameters
    ----------
    group : str
        Its group.
    name : str
        Its name within the group.
    ways : tuple of Way
        How it can be found, best first.
    """

    group: str
    name: str
    ways: tuple[Way, ...]


@dataclass(frozen=True, slots=True)
class Capabilities:
    """The whole table.

    Parameters
    ----------
    signals : dict of str to tuple of str
        Catalogue paths by short name; any of them will do.
    quantities : dict of str to tuple of Way
        Ways to find what is worked out on the way.
    meanings : dict of str to str
        What each quantity is, in words.
    told : tuple of Told
        What a person is told, in groups.
    """

    signals: dict[str, tuple[str, ...]]
    quantities: dict[str, tuple[Way, ...]]
    meanings: dict[str, str]
    told: tuple[Told, ...]


def _ways(rows: list[dict[str, Any]]) -> tuple[Way, ...]:
    return tuple(
        Way(tuple(row["needs"]), row["how"], row.get("because", ""), row.get("special", False))
        for row in rows
    )


@cache
def capabilities() -> Capabilities:
    """Read the table.

    Returns
    -------
    Capabilities
        The table.
    """
    text = files("thawline.vehicle").joinpath("capabilities.toml").read_text("utf-8")
    table = tomllib.loads(text)
    return Capabilities(
        signals={name: tuple(paths) for name, paths in table["signals"].items()},
        quantities={name: _ways(row["ways"]) for name, row in table["quantities"].items()},
        meanings={name: row["means"] for name, row in table["quantities"].items()},
        told=tuple(
            Told(row["group"], row["name"], _ways(row["ways"])) for row in table["capabilities"]
        ),
    )
