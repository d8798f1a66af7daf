"""Column headings: tell the name from the unit, and find columns with or without it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache

from thawline.errors import UnitError
from thawline.quantities import converter
from thawline.sources.table import Column

_BRACKETS = re.compile(r"^(.*\S)\s*\[([^\[\]]*)\]$")
_PARENTHESES = re.compile(r"^(.*\S)\s*\(([^()]*)\)$")
_SLASH = re.compile(r"^(.*\S)\s+(?:/|in)\s+(\S+)$")
#: Words that are units to the converter but mean something else behind a name.
_NOT_UNITS = frozenset({"min", "max", "a", "b"})


@cache
def is_unit(text: str) -> bool:
    """Tell whether a text is a unit.

    Parameters
    ----------
    text : str
        A unit, or anything else.

    Returns
    -------
    bool
        True if it can be converted.
    """
    try:
        converter(text, text)
    except UnitError:
        return False
    return True


def split_heading(heading: str) -> tuple[str, str | None]:
    """Split a heading into name and unit.

    Parameters
    ----------
    heading : str
        Such as ``Pack current [A]``, ``Pack_U (V)`` or ``Inlet / °C``.

    Returns
    -------
    tuple of str and (str or None)
        The name, and the unit if the heading states one.
    """
    text = heading.strip()
    match = _BRACKETS.match(text)
    if match and not match[2].strip().isdigit():  # Cell[3] is a number, not a unit
        return match[1], match[2].strip() or None
    match = _PARENTHESES.match(text) or _SLASH.match(text)
    if match and match[2].strip() and match[2].strip().lower() not in _NOT_UNITS:
        unit = match[2].strip()
        if is_unit(unit):
            return match[1], unit
    return text, None


def plain(heading: str) -> str:
    """Write a heading the way it is compared when it is not found as it stands.

    Parameters
    ----------
    heading : str
        A heading.

    Returns
    -------
    str
        In small letters, with single blanks.
    """
    return " ".join(heading.lower().split())


class Columns(Mapping[str, Column]):
    """Columns by heading; a heading is found without its unit, too.

    Iterating gives the headings as the file has them. Asking also works with the name
    alone, with another name that the file gives (a message before the signal), and without
    regard to case and blanks, as long as only one column is meant.

    Parameters
    ----------
    columns : mapping of str to Column
        The columns by heading.
    other_names : mapping of str to sequence of str, optional
        More names of a column, by its heading.
    """

    def __init__(
        self,
        columns: Mapping[str, Column],
        other_names: Mapping[str, tuple[str, ...]] | None = None,
    ) -> None:
        self._columns = dict(columns)
        meant: dict[str, set[str]] = {}
        for heading, column in self._columns.items():
            name, _ = split_heading(heading)
            names = {heading, name, *(other_names or {}).get(heading, ())}
            if column.unit:
                names |= {f"{name} [{column.unit}]", f"{name} ({column.unit})"}
            for one in names:
                meant.setdefault(one, set()).add(heading)
                meant.setdefault(plain(one), set()).add(heading)
        self._meant = {
            name: next(iter(headings)) for name, headings in meant.items() if len(headings) == 1
        }

    def __getitem__(self, name: str) -> Column:
        """Find a column by any of its names."""
        if name in self._columns:
            return self._columns[name]
        heading = self._meant.get(name) or self._meant.get(plain(name))
        if heading is None:
            raise KeyError(name)
        return self._columns[heading]

    def __iter__(self) -> Iterator[str]:
        """Give the headings as the file has them."""
        return iter(self._columns)

    def __len__(self) -> int:
        """Count the columns."""
        return len(self._columns)
