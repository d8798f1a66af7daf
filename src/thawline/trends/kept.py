"""Studies of a library's recordings, each made once and kept in the library's table."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from contextlib import suppress
from dataclasses import replace

from thawline.errors import LibraryError, ThawlineError
from thawline.library.catalogue import writing
from thawline.library.derived import derived, derived_with, keep_derived
from thawline.library.handle import Library
from thawline.library.listing import listing
from thawline.library.load import load
from thawline.library.stale import mark_stale
from thawline.trends.morning import Morning
from thawline.trends.study import (
    Study,
    before,
    derived_from,
    find_beside,
    look_at,
    study_from,
)
from thawline.trends.version import code_version

Progress = Callable[[int, int], None]


def known_studies(
    library: Library, vehicle: str | None = None, names: Collection[str] | None = None
) -> dict[str, Study]:
    """Read the studies that this version made.

    Parameters
    ----------
    library : Library
        The library.
    vehicle : str, optional
        Only those of this vehicle.
    names : collection of str, optional
        Only these recordings.

    Returns
    -------
    dict of str to Study
        By name of the recording, in order of their start.

    Raises
    ------
    LibraryError
        If the catalogue cannot be read.
    """
    found = {}
    for name, row in derived(library, code_version(), vehicle, names).items():
        with suppress(KeyError, TypeError, ValueError):  # what is not as it should be counts not
            found[name] = study_from(dict(row.told))
    return found


def keep_studies(
    library: Library, studies: Collection[Study], listed: Collection[str] | None = None
) -> None:
    """Keep studies; where the library cannot be written they are made again next time.

    Parameters
    ----------
    library : Library
        The library.
    studies : collection of Study
        What is kept.
    listed : collection of str, optional
        Recordings that were known when the studies began: beside those that came since, findings
        are told anew.
    """
    with suppress(LibraryError):
        keep_derived(library, code_version(), map(derived_from, studies))
        if listed is None:
            return
        came = [entry for entry in listing(library) if entry.id not in listed]
        with writing(library) as rows:
            for entry in came:
                mark_stale(rows, entry.vehicle, entry.starts_at)


def latest_looked_at(library: Library, names: Sequence[str], most: int) -> tuple[Study, ...]:
    """Look at the latest recordings by themselves, or read what is kept of them.

    Parameters
    ----------
    library : Library
        The library.
    names : sequence of str
        The recordings, the latest last.
    most : int
        So many of them; one that is damaged is passed over [1].

    Returns
    -------
    tuple of Study
        One for each, in the same order.

    Raises
    ------
    LibraryError
        If the catalogue cannot be read.
    """
    known = known_studies(library, names=names) if names else {}
    found: list[Study] = []
    for name in reversed(names):
        if len(found) == most:
            break
        if name not in known:
            try:
                known[name] = Study(look_at(load(library, name)))
            except LibraryError:
                continue
            keep_studies(library, (known[name],))
        found.append(known[name])
    return tuple(reversed(found))


def is_all_studied(library: Library, vehicle: str | None = None) -> bool:
    """Tell whether nothing is left to study, at little cost.

    Parameters
    ----------
    library : Library
        The library.
    vehicle : str, optional
        Only recordings of this vehicle.

    Returns
    -------
    bool
        True if every recording has its figures and findings.

    Raises
    ------
    LibraryError
        If the catalogue cannot be read.
    """
    known = derived_with(library, code_version(), "findings")
    return all(entry.id in known for entry in listing(library, vehicle=vehicle))


def study_all(
    library: Library, vehicle: str | None = None, progress: Progress | None = None
) -> tuple[dict[str, Study], dict[str, str]]:
    """Study all recordings of a library, or of one vehicle, beside earlier ones.

    A recording that cannot be studied is passed over and told.

    Parameters
    ----------
    library : Library
        The library.
    vehicle : str, optional
        Only those of this vehicle.
    progress : callable, optional
        Called with the recordings done and the recordings in all.

    Returns
    -------
    studies : dict of str to Study
        By name of the recording, in order of their start.
    errors : dict of str to str
        By name of the recording, what is wrong with it.

    Raises
    ------
    LibraryError
        If the catalogue cannot be read.
    """
    entries = listing(library, vehicle=vehicle)
    known = known_studies(library, vehicle)
    todo = [e for e in entries if e.id not in known or known[e.id].findings is None]
    errors: dict[str, str] = {}
    done, total = 0, 2 * len(todo)

    def told() -> None:
        nonlocal done
        done += 1
        if progress is not None:
            progress(done, total)

    for entry in todo:
        if entry.id not in known:
            try:
                known[entry.id] = Study(look_at(load(library, entry.id)))
                keep_studies(library, (known[entry.id],))
            except (ThawlineError, ArithmeticError, ValueError, LookupError, TypeError) as error:
                errors[entry.id] = f"{type(error).__name__}: {error}"
        told()
    by_vehicle: dict[str, list[Morning]] = {}
    for entry in entries:  # in the order of their start
        if entry.id in known:
            by_vehicle.setdefault(entry.vehicle.casefold(), []).append(known[entry.id].morning)
    for entry in todo:
        if entry.id in known:
            mine = known[entry.id]
            mornings = by_vehicle[entry.vehicle.casefold()]
            try:
                found = find_beside(load(library, entry.id), before(mornings, mine.morning))
                known[entry.id] = replace(mine, findings=found)
                keep_studies(library, (known[entry.id],))
            except (ThawlineError, ArithmeticError, ValueError, LookupError, TypeError) as error:
                errors[entry.id] = f"{type(error).__name__}: {error}"
        told()
    return {e.id: known[e.id] for e in entries if e.id in known}, errors
