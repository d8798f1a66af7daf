"""The suggestion: what each path is proposed to come from, and why."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Proposal:
    """One path and the signal that it is proposed to come from.

    Parameters
    ----------
    path : str
        Concrete catalogue path.
    from_ : str
        ``Message.Signal`` of the database, or a column of a table.
    unit : str
        Unit of the source's values; empty for states.
    sign : int
        +1 or -1: what turns the source's sign into the catalogue's [1].
    confidence : float
        How sure it is. On made cars without names, 98 of 100 proposals were right at 0.95 and
        above, 95 at 0.85 to 0.95, 65 below [1].
    because : tuple of str
        What speaks for it, strongest first.
    evidence : tuple of str
        The figures behind it: values seen, what was fitted.
    true_when : tuple of float
        For states: codes that mean true, where that is not every code but zero [1].
    meaning : str
        What the path means, in words.
    """

    path: str
    from_: str
    unit: str
    sign: int
    confidence: float
    because: tuple[str, ...]
    evidence: tuple[str, ...] = ()
    true_when: tuple[float, ...] = ()
    meaning: str = ""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A signal that was proposed for nothing.

    Parameters
    ----------
    from_ : str
        ``Message.Signal``, or the column.
    why : str
        Why, in plain words.
    nearest : str
        Path that it might be; empty if none is near.
    """

    from_: str
    why: str
    nearest: str = ""


@dataclass(frozen=True, slots=True)
class Suggestion:
    """All that was found.

    Parameters
    ----------
    proposals : tuple of Proposal
        In the order of the catalogue.
    left_out : tuple of LeftOut
        Signals that were proposed for nothing.
    usable_energy_kWh : float, optional
        Energy between empty and full, from what was counted; None: cannot be told [kWh].
    usable_energy_plus_minus_kWh : float
        Its standard uncertainty [kWh].
    cells_in_series : int, optional
        Cells in series, where pack and cell voltages tell [1].
    drive_units : int, optional
        Drive units that were seen [1].
    seconds : int
        Seconds of the log that held anything [s].
    warnings : tuple of str
        What a reader should know, in plain words.
    """

    proposals: tuple[Proposal, ...]
    left_out: tuple[LeftOut, ...] = ()
    usable_energy_kWh: float | None = None
    usable_energy_plus_minus_kWh: float = 0.0
    cells_in_series: int | None = None
    drive_units: int | None = None
    seconds: int = 0
    warnings: tuple[str, ...] = ()
