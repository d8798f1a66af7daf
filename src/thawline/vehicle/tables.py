"""Check all tables of a vehicle file but the signals."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from thawline.errors import nearest
from thawline.vehicle.file_model import FileModel
from thawline.vehicle.keys import Key, keys, range_problem
from thawline.vehicle.places import Names, line_of
from thawline.vehicle.problems import Problem
from thawline.vehicle.types_said import type_problems

SIGNALS = "signals"


def known_tables() -> dict[str, list[str]]:
    """List the tables that a vehicle file may have, with their keys.

    Returns
    -------
    dict of str to list of str
        Keys by table; ``signals`` is not among them.
    """
    tables: dict[str, list[str]] = {}
    for table, key in keys():
        tables.setdefault(table, []).append(key)
    return tables


def unknown_keys(data: Mapping[str, Any], places: dict[Names, int]) -> list[Problem]:
    """Find tables and keys that nobody asks for, most likely misspelt.

    Parameters
    ----------
    data : mapping of str to Any
        The file's data.
    places : dict of tuple of str to int
        Lines by names [1].

    Returns
    -------
    list of Problem
        One for each, with the nearest right name.
    """
    found = []
    tables = known_tables()
    for table, content in data.items():
        if table == SIGNALS:
            continue
        if table not in tables:
            near = nearest(table, [*tables, SIGNALS])
            cure = f"did you mean [{near}]?" if near else f"known are {', '.join(tables)}, signals"
            what = f"the table [{table}] is unknown and was passed over"
            found.append(Problem(line_of(places, (table,)), "", what, cure))
        elif isinstance(content, dict):
            for key in content:
                if key not in tables[table]:
                    near = nearest(key, tables[table])
                    known = ", ".join(tables[table])
                    cure = f"did you mean {near!r}?" if near else f"known are {known}"
                    what = f"the key {key!r} is unknown and was passed over"
                    line = line_of(places, (table, key))
                    found.append(Problem(line, f"[{table}]", what, cure))
    return found


def _missing(key: Key, data: Mapping[str, Any], places: dict[Names, int]) -> Problem:
    given = data.get(key.table, {})
    misspelt = nearest(key.key, [k for k in given if k not in known_tables()[key.table]])
    tables = [k for k in data if k not in known_tables() and k != SIGNALS]
    other_table = None if key.table in data else nearest(key.table, tables)
    line = line_of(places, (key.table,))
    cure = f"it is {key.meaning}" + (f", in {key.unit}" if key.unit else "")
    if misspelt:
        line = line_of(places, (key.table, misspelt))
        cure = f"is {misspelt!r} in line {line} meant for it?"
    elif other_table:
        line = line_of(places, (other_table,))
        cure = f"is [{other_table}] in line {line} meant for [{key.table}]?"
    return Problem(line, key.place, "is missing, and nothing can be told without it", cure)


def check_tables(
    data: Mapping[str, Any], places: dict[Names, int]
) -> tuple[FileModel | None, list[Problem]]:
    """Check types and ranges of every key.

    Parameters
    ----------
    data : mapping of str to Any
        The file's data.
    places : dict of tuple of str to int
        Lines by names [1].

    Returns
    -------
    model : FileModel or None
        The checked tables; None if there are problems with types.
    problems : list of Problem
        All that is wrong.
    """
    needed = {key.table: data.get(key.table, {}) for key in keys().values() if key.is_needed}
    model: FileModel | None = None
    problems: list[Problem] = []
    wrong: set[tuple[str, ...]] = set()
    try:
        model = FileModel.model_validate({**data, **needed})
    except ValidationError as error:
        for names, (what, cure, _) in type_problems(error, 2).items():
            wrong.add(names)
            if not what:
                problems.append(_missing(keys()[names[0], names[1]], data, places))
            else:
                problems.append(Problem(line_of(places, names), f"[{names[0]}]", what, cure))
    for key in keys().values():
        content = data.get(key.table)
        value = content.get(key.key) if isinstance(content, dict) else None
        if key.kind == "text" or value is None or (key.table, key.key) in wrong:
            continue
        said = range_problem(key, float(value))
        if said:
            line = line_of(places, (key.table, key.key))
            problems.append(Problem(line, f"[{key.table}]", *said))
    return model, problems
