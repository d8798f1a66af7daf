"""Turn a TOML table into a frozen dataclass, and say what is wrong with it."""

from __future__ import annotations

import tomllib
import types
from collections.abc import Mapping
from dataclasses import MISSING, fields, is_dataclass
from pathlib import Path
from typing import Any, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from thawline.errors import RequestError, did_you_mean

T = TypeVar("T")


def read_toml(path: Path) -> dict[str, Any]:
    """Read a TOML file.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    dict
        Its tables.

    Raises
    ------
    RequestError
        If the file cannot be read or is not valid TOML.
    """
    try:
        return tomllib.loads(path.read_text("utf-8"))
    except OSError as error:
        what = f"the file cannot be read ({error.strerror})"
        raise RequestError(what, file=path, cure="name a file that exists") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        what = f"the file is not valid TOML ({error})"
        raise RequestError(what, file=path, cure="correct it there") from error


def build_from(kind: type[T], given: Any, file: str, place: str = "") -> T:
    """Make a dataclass of a table, and of the tables in it.

    Parameters
    ----------
    kind : type
        The dataclass.
    given : object
        The table.
    file : str
        The file, for messages.
    place : str
        Where the table stands in the file.

    Returns
    -------
    object
        The dataclass.

    Raises
    ------
    RequestError
        If a key is unknown or missing, or a value is of the wrong type.
    """
    if not isinstance(given, Mapping):
        raise RequestError(f"must be a table, not {given!r}", file=file, place=place or None)
    hints = get_type_hints(kind)
    known = {field.name: field for field in fields(cast(Any, kind))}
    for key in given:
        if key not in known:
            raise RequestError(
                f"unknown key {key!r}",
                file=file,
                place=place or None,
                cure=did_you_mean(key, known) or f"it may be {', '.join(known)}",
            )
    made = {}
    for name, field in known.items():
        where = f"{place}.{name}" if place else name
        if name in given:
            made[name] = _value(hints[name], given[name], file, where)
        elif field.default is MISSING and field.default_factory is MISSING:
            raise RequestError(f"{name} is missing", file=file, place=place or None, cure="add it")
    return kind(**made)


def _value(kind: Any, given: Any, file: str, place: str) -> Any:
    origin, args = get_origin(kind), get_args(kind)
    if is_dataclass(kind):
        return build_from(cast(type[Any], kind), given, file, place)
    if origin in (Union, types.UnionType):
        inner = next(arg for arg in args if arg is not type(None))
        return _value(inner, given, file, place)
    if origin is tuple and isinstance(given, list):
        kinds = [args[0]] * len(given) if args[-1] is Ellipsis else list(args)
        if len(kinds) == len(given):
            pairs = enumerate(zip(kinds, given, strict=True))
            return tuple(_value(k, v, file, f"{place}[{i}]") for i, (k, v) in pairs)
    if origin is not None and isinstance(given, Mapping) and issubclass(origin, Mapping):
        return {str(k): _value(args[1], v, file, f"{place}.{k}") for k, v in given.items()}
    if kind is float and isinstance(given, int | float) and not isinstance(given, bool):
        return float(given)
    if isinstance(kind, type) and isinstance(given, kind):
        if kind is int and isinstance(given, bool):
            raise RequestError(f"must be a number, not {given!r}", file=file, place=place)
        return given
    wanted = getattr(kind, "__name__", str(kind))
    raise RequestError(f"must be {wanted}, not {given!r}", file=file, place=place)
