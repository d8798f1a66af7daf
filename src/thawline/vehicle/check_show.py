"""Show a check as text or as plain data."""

from __future__ import annotations

from typing import Any

from thawline.vehicle.check import Check


def check_text(result: Check) -> str:
    """Write a check for a person.

    Parameters
    ----------
    result : Check
        The check.

    Returns
    -------
    str
        Several lines of plain text.
    """
    raise NotImplementedError


def check_json(result: Check) -> dict[str, Any]:
    """Write a check for a program.

    Parameters
    ----------
    result : Check
        The check.

    Returns
    -------
    dict
        ``vehicle``, ``file``, ``can``, ``can_roughly``, ``cannot``, ``findings``.
    """
    raise NotImplementedError
