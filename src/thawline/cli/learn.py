"""``thawline learn``: what a vehicle's cells allow, from all of its recordings."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from thawline.cli.options import AsJson, Library
from thawline.cli.speak import answer, answer_json, say, write_page
from thawline.errors import RequestError, did_you_mean

if TYPE_CHECKING:
    from thawline.charge.learn import Seen
    from thawline.charge.learned import Learned
    from thawline.library.handle import Library as Opened
    from thawline.plating.plating import KeptDistance, PlatingMap

#: The margin as it is told: the map, own charging on it, and why there is none.
Margin = tuple["PlatingMap | None", tuple["KeptDistance", ...], str]


def names_of(library: Opened, vehicle: str) -> list[str]:
    """Find the recordings of a vehicle.

    Parameters
    ----------
    library : Library
        The opened library.
    vehicle : str
        The vehicle's name.

    Returns
    -------
    list of str
        Their names, in the order of their start.

    Raises
    ------
    RequestError
        If there are none; the message names the nearest vehicle.
    """
    from thawline.library.listing import listing  # imported here: help stays quick

    found = [entry.id for entry in listing(library, vehicle=vehicle)]
    if found:
        return found
    known = sorted({entry.vehicle for entry in listing(library)})
    cure = did_you_mean(vehicle, known) or (
        f"there are recordings of {', '.join(known)}" if known else "add a log first"
    )
    raise RequestError(f"there is no recording of a vehicle {vehicle!r}", cure=cure)


def margin_of(seen: Seen, found: Learned, is_wanted: bool) -> Margin:
    """Compute the plating margin of a textbook cell, if it is wanted and installed.

    Parameters
    ----------
    seen : Seen
        The recordings on their clocks.
    found : Learned
        What was learned: its capacity turns amperes into C-rates.
    is_wanted : bool
        False: it is not computed.

    Returns
    -------
    tuple
        The map or None, own charging on it, and why there is no map.
    """
    if not is_wanted:
        return None, (), "Not computed: --no-margin."
    # imported here: the cell model takes seconds to load
    import numpy as np

    from thawline.charge.capacity import prior_Ah
    from thawline.plating.cache import plating_map
    from thawline.plating.own import kept_distance

    try:
        margin = plating_map(progress=_said())
    except RequestError as error:
        return None, (), f"{error}."
    known = [float(np.nanmedian(one.volts)) for one in seen.observed if np.any(one.volts > 0.0)]
    volts = float(np.median(known)) if known else 1.0
    capacity = found.capacity.Ah or prior_Ah(seen.vehicle, volts)[0]
    each = (kept_distance(margin, one, capacity) for one in seen.observed)
    return margin, tuple(one for one in each if one is not None), ""


def _said() -> Callable[[int, int], None]:
    """Say once that a map is being computed."""
    told: list[int] = []

    def hear(done: int, total: int) -> None:
        if not told:
            say(f"computing the textbook cell's margin at {total} points; it is kept afterwards")
            told.append(done)

    return hear


def learn(
    vehicle: Annotated[str, typer.Argument(help="The vehicle's name, as its file gives it.")],
    library: Library = None,
    html: Annotated[
        Path | None, typer.Option("--html", help="Write one self-contained page there.")
    ] = None,
    margin: Annotated[
        bool,
        typer.Option(
            "--margin/--no-margin",
            help="Compute the plating margin of a textbook cell (needs the extra 'cell').",
        ),
    ] = True,
    as_json: AsJson = False,
) -> None:
    """Learn what a vehicle's cells allow, from all of its recordings."""
    # imported here: help stays quick
    from thawline.charge.learn import learn_from, look_at
    from thawline.library.library import open_library
    from thawline.library.load import load

    opened = open_library(library)
    seen = look_at(load(opened, name) for name in names_of(opened, vehicle))
    found = learn_from(seen)
    told = margin_of(seen, found, margin)
    if html is not None:
        from thawline.report.learned_page import learned_page

        write_page(learned_page(found, *told), html)
    if as_json:
        from thawline.report.learned_document import learned_document

        answer_json(learned_document(found, *told))
    else:
        from thawline.report.learned_text import learned_text

        answer(learned_text(found, *told))
