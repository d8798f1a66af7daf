"""A line of an account while it is being worked out."""

from __future__ import annotations

from dataclasses import dataclass

from thawline.ledger.ledger import Line
from thawline.ledger.uncertain import NOTHING, UFloat, cause, deviation, nominal


@dataclass(frozen=True, slots=True)
class Entry:
    """A line with its causes of error still attached.

    Parameters
    ----------
    line : str
        Its name.
    kWh : UFloat or None
        Energy; None where it cannot be told [kWh].
    origin : str
        ``measured``, ``derived``, ``assumed`` or ``unknown``.
    note : str
        How it was found, or why not.
    bridged_kWh : float
        The part that stands for times without data [kWh].
    could_be_kWh : float
        How large it may be although it cannot be told: standard uncertainty about zero
        [kWh].
    """

    line: str
    kWh: UFloat | None
    origin: str = "measured"
    note: str = ""
    bridged_kWh: float = 0.0
    could_be_kWh: float = 0.0

    def in_sums(self) -> UFloat:
        """Give what the line adds to a sum.

        Returns
        -------
        UFloat
            Its energy; where that cannot be told, zero with the width that it may have.
        """
        if self.kWh is not None:
            return self.kWh
        return cause(self.could_be_kWh) if self.could_be_kWh > 0.0 else NOTHING

    def as_line(self) -> Line:
        """Turn the entry into a line of the ledger.

        Returns
        -------
        Line
            The line with plain numbers.
        """
        if self.kWh is None:
            return Line(self.line, None, None, "unknown", self.note, 0.0)
        return Line(
            self.line,
            nominal(self.kWh) + 0.0,  # turns a negative zero into zero
            deviation(self.kWh),
            self.origin,
            self.note,
            self.bridged_kWh + 0.0,
        )


def unknown(line: str, note: str, could_be_kWh: float = 0.0) -> Entry:
    """Make the entry of a line that cannot be told.

    Parameters
    ----------
    line : str
        Its name.
    note : str
        Why not.
    could_be_kWh : float
        How large it may be: standard uncertainty about zero [kWh].

    Returns
    -------
    Entry
        The entry.
    """
    return Entry(line, None, "unknown", note, could_be_kWh=could_be_kWh)
