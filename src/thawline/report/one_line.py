"""Words that come from files or people, on one line."""

from __future__ import annotations


def one_line(words: str) -> str:
    """Leave out what would break a line or cannot be written.

    Parameters
    ----------
    words : str
        Words, perhaps of a stranger.

    Returns
    -------
    str
        The same without line breaks and control characters.
    """
    return " ".join("".join(c if c.isprintable() else " " for c in words).split())
