"""Say in plain words what is wrong with the type of a value in a vehicle file."""

from __future__ import annotations

import re
from typing import Any

from pydantic import ValidationError

_WANTED = {
    "string_type": "must be a text in quotes",
    "string_too_short": "must not be empty",
    "float_type": "must be a number without quotes",
    "int_type": "must be a whole number without quotes",
    "int_from_float": "must be a whole number without quotes",
    "model_type": "must be a table",
    "dict_type": "must be a table",
}
_CODES = "must be a code, a label in quotes, or a list of them"
_LEADING = re.compile(r"\s*([-+]?\d+(?:[.,]\d+)?)")


def as_written(value: object) -> str:
    """Write a value the way a TOML file has it.

    Parameters
    ----------
    value : object
        The value.

    Returns
    -------
    str
        The text, shortened if it is long.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    text = repr(value) if isinstance(value, (str, int, float, list, dict)) else str(value)
    return text if len(text) <= 60 else f"{text[:57]}..."


def _cure(kind: str, value: object, key: str) -> str | None:
    leading = _LEADING.match(value) if isinstance(value, str) else None
    if kind in ("float_type", "int_type", "int_from_float"):
        if leading:
            return f"write {key} = {leading[1].replace(',', '.')}"
        if isinstance(value, float) and value.is_integer():
            return f"write {key} = {int(value)}"
    if kind == "string_type" and key == "accuracy":
        return f'write it with its unit, for instance {key} = "{as_written(value)} %"'
    if kind == "string_type" and isinstance(value, (int, float)):
        return f'write {key} = "{as_written(value)}"'
    return None


def type_problems(
    error: ValidationError, depth: int
) -> dict[tuple[str, ...], tuple[str, str | None, Any]]:
    """Translate what pydantic found.

    Parameters
    ----------
    error : ValidationError
        What pydantic raised.
    depth : int
        So many names lead to a key [1].

    Returns
    -------
    dict of tuple of str to tuple
        By the names of the key: what is wrong, the cure, and the value; None for what is wrong
        means that the key is missing.
    """
    found: dict[tuple[str, ...], tuple[str, str | None, Any]] = {}
    for detail in error.errors():
        names = tuple(str(name) for name in detail["loc"][:depth])
        kind, value = detail["type"], detail["input"]
        if kind == "missing":
            found.setdefault(names, ("", None, None))
            continue
        key = names[-1]
        wanted = _CODES if key == "true_when" else _WANTED.get(kind, detail["msg"].lower())
        what = f"{key} (={as_written(value)}) {wanted}"
        found.setdefault(names, (what, _cure(kind, value, key), value))
    return found
