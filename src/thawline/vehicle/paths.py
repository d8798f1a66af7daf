"""Take the paths that a vehicle file names, or say which right one is nearest."""

from __future__ import annotations

import re

from thawline.errors import nearest
from thawline.signals.catalogue import SignalName, catalogue, find_signal

_PLACEHOLDER = re.compile(r"<(\w+)>")


def short_path(path: str) -> str:
    """Drop the leading ``Vehicle.`` that the standard writes.

    Parameters
    ----------
    path : str
        A path as the file has it.

    Returns
    -------
    str
        The path as the catalogue has it.
    """
    return path.strip().removeprefix("Vehicle.")


def _made_concrete(right: str, wrong: str) -> str:
    """Put the words of a wrong path where the catalogue's path leaves a choice."""
    rights, wrongs = right.split("."), wrong.split(".")
    if len(rights) != len(wrongs):
        return right
    return ".".join(
        w if _PLACEHOLDER.fullmatch(r) and re.fullmatch(r"\w+", w) else r
        for r, w in zip(rights, wrongs, strict=True)
    )


def nearest_right_path(wrong: str) -> str | None:
    """Find the right path that looks most like a wrong one.

    Parameters
    ----------
    wrong : str
        The path that was given; its last words alone are enough.

    Returns
    -------
    str or None
        The nearest, or None if nothing is near.
    """
    ending = f".{wrong.casefold()}"
    ends_so = [path for path in catalogue() if path.casefold().endswith(ending)]
    if len(ends_so) == 1:
        return ends_so[0]
    return nearest(wrong, [_made_concrete(path, wrong) for path in catalogue()])


def path_problem(path: str) -> tuple[str, str] | None:
    """Tell what is wrong with a path.

    Parameters
    ----------
    path : str
        A path without ``Vehicle.``.

    Returns
    -------
    tuple of str, or None
        What is wrong and the cure; None if the catalogue has the path.
    """
    choice = _PLACEHOLDER.search(path)
    if choice:
        return (
            f"the path {path!r} leaves {choice[0]} open",
            f"write a word of your choice for it, for instance {_PLACEHOLDER.sub('Rear', path)!r}",
        )
    if find_signal(path) is not None:
        return None
    near = nearest_right_path(path)
    return (
        f"the path {path!r} is unknown",
        f"did you mean {near!r}?" if near else "the catalogue of signal names lists all",
    )


def known_signal(path: str) -> SignalName:
    """Give the catalogue's row of a path that was checked.

    Parameters
    ----------
    path : str
        A path that the catalogue has.

    Returns
    -------
    SignalName
        Its row.

    Raises
    ------
    KeyError
        If the catalogue has no such path.
    """
    row = find_signal(path)
    if row is None:
        raise KeyError(path)
    return row
