"""Write numbers in prose."""

from __future__ import annotations


def signed(value: float, digits: int) -> str:
    """Write a number with its sign, a true minus, and no negative zero.

    Parameters
    ----------
    value : float
        The number [1].
    digits : int
        Decimals [1].

    Returns
    -------
    str
        For instance ``+0.30``, ``−1.2`` or ``0.00``.
    """
    text = f"{value:+.{digits}f}"
    if float(text) == 0.0:
        return text.lstrip("+-")
    return text.replace("-", "−")
