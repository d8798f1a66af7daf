"""Something that a check noticed and that a person should know."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was noticed.

    Parameters
    ----------
    kind : str
        ``unit-differs``, ``unit-missing``, ``not-in-log``, ``implausible`` or ``file``.
    line : int
        Line of the vehicle file; 0 where it concerns no single line [1].
    what : str
        What was noticed, with the values, in one sentence.
    cure : str
        What to do about it; empty where nothing need be done.
    """

    kind: str
    line: int
    what: str
    cure: str = ""

    def __str__(self) -> str:
        """Put the finding into one line of text, without the file's name."""
        where = f"line {self.line}: " if self.line else ""
        return f"{where}{self.what}" + (f" {self.cure}" if self.cure else "")

    def sentence(self, file: str) -> str:
        """Put the finding into one line of text.

        Parameters
        ----------
        file : str
            Name of the vehicle file.

        Returns
        -------
        str
            File, line, what and cure.
        """
        return f"{file}, {self}" if self.line else f"{file}: {self}"
