"""A fleet for a terminal, and as one JSON document."""

from __future__ import annotations

import textwrap
from collections import Counter
from typing import Any

from thawline.findings.kinds import kinds
from thawline.fleet.fleet import Fleet
from thawline.fleet.tables import tables

#: Width of the page, and errors that are shown [1].
WIDTH, MOST = 98, 12


def title_of(kind: str) -> str:
    """Name a kind of finding for people.

    Parameters
    ----------
    kind : str
        The kind.

    Returns
    -------
    str
        Its title.
    """
    known = kinds().get(kind)
    return known.title if known is not None else kind


def found_by_vehicle(fleet: Fleet) -> dict[str, Counter[str]]:
    """Count findings.

    Parameters
    ----------
    fleet : Fleet
        The fleet.

    Returns
    -------
    dict of str to Counter
        By vehicle, recordings with each kind.
    """
    found: dict[str, Counter[str]] = {each.vehicle: Counter() for each in fleet.trends}
    for study in fleet.studies.values():
        for kind in {one.kind for one in study.findings or ()}:
            found.setdefault(study.morning.vehicle, Counter())[kind] += 1
    return found


def in_short(fleet: Fleet) -> str:
    """Say the whole in a sentence.

    Parameters
    ----------
    fleet : Fleet
        The fleet.

    Returns
    -------
    str
        Recordings, vehicles, what changed, what failed.
    """
    changed = sum(any(one.is_change for one in each.trends) for each in fleet.trends)
    with_findings = sum(bool(study.findings) for study in fleet.studies.values())
    bad = len({name for name, _, _ in fleet.errors})
    return (
        f"{len(fleet.studies)} of {len(fleet.entries)} recordings of {len(fleet.trends)} vehicles "
        f"were studied; {with_findings} recordings have findings, {changed} vehicles changed, "
        f"{bad} could not be studied wholly."
    )


def fleet_text(fleet: Fleet) -> str:
    """Set a fleet for a terminal.

    Parameters
    ----------
    fleet : Fleet
        The fleet.

    Returns
    -------
    str
        Lines of at most a hundred columns.
    """
    lines = [*textwrap.wrap(in_short(fleet), WIDTH), "=" * WIDTH]
    found = found_by_vehicle(fleet)
    for each in fleet.trends:
        changes = [one for one in each.trends if one.is_change]
        told = [f"{title_of(kind)} ({n})" for kind, n in sorted(found[each.vehicle].items())]
        if not changes and not told:
            continue
        lines += ["", f"{each.vehicle} ({each.model}), {each.mornings} recordings"]
        for words in [f"found: {', '.join(told)}"] * bool(told):
            lines += textwrap.wrap(words, WIDTH, initial_indent="  ", subsequent_indent="    ")
        for one in changes:
            words = f"{one.title}: {one.sentence}"
            lines += textwrap.wrap(words, WIDTH, initial_indent="  ", subsequent_indent="    ")
    for name, stage, error in fleet.errors[:MOST]:
        words = f"not studied ({stage}): {name}: {error}"
        lines += textwrap.wrap(words, WIDTH, subsequent_indent="  ")
    if len(fleet.errors) > MOST:
        lines.append(f"and {len(fleet.errors) - MOST} more in errors.parquet")
    return "\n".join(lines)


def fleet_document(fleet: Fleet, files: list[str]) -> dict[str, Any]:
    """Turn a fleet to what ``--json`` prints.

    Parameters
    ----------
    fleet : Fleet
        The fleet.
    files : list of str
        The files that were written.

    Returns
    -------
    dict
        The document; see ``docs/json.md``.
    """
    told = tables(fleet)
    return {
        "library": fleet.address,
        "code": fleet.code,
        "recordings": len(fleet.entries),
        "studied": len(fleet.studies),
        "vehicles": len(fleet.trends),
        "computed": fleet.computed,
        "reused": fleet.reused,
        "findings": told["findings"],
        "trends": told["trends"],
        "learned": told["learned"],
        "errors": told["errors"],
        "files": files,
    }
