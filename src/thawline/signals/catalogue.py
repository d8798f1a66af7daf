"""The catalogue of signal names: the open vehicle signal standard's, and our overlay's.

References
----------
.. [1] COVESA Vehicle Signal Specification 6.0. Paths without ``Vehicle.``; adding an
   overlay is the standard's own way to name what it lacks.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from thawline.errors import nearest


@dataclass(frozen=True, slots=True)
class SignalName:
    """One row of the catalogue.

    Parameters
    ----------
    path : str
        The path; ``<Position>`` and ``<Name>`` stand for a word of the vehicle file's choice.
    unit : str
        The unit that values are kept in; empty for states.
    is_state : bool
        True for on/off signals, which hold until the next sample.
    low, high : float
        What lies outside is not believed [unit].
    origin : str
        ``VSS 6.0`` or ``overlay``.
    meaning : str
        What it is, in words.
    """

    path: str
    unit: str
    is_state: bool
    low: float
    high: float
    origin: str
    meaning: str

    @property
    def pattern(self) -> re.Pattern[str]:
        """The path as a pattern that concrete paths match."""
        escaped = re.escape(self.path).replace("<Position>", r"\w+").replace("<Name>", r"\w+")
        return re.compile(f"^{escaped}$")


@cache
def catalogue() -> dict[str, SignalName]:
    """Read the catalogue.

    Returns
    -------
    dict of str to SignalName
        Every signal name by its path, in the order of the file.
    """
    text = files("thawline.signals").joinpath("catalogue.csv").read_text("utf-8")
    return {
        row["path"]: SignalName(
            path=row["path"],
            unit=row["unit"],
            is_state=row["kind"] == "state",
            low=float(row["low"]),
            high=float(row["high"]),
            origin=row["origin"],
            meaning=row["meaning"],
        )
        for row in csv.DictReader(text.splitlines())
    }


def find_signal(path: str) -> SignalName | None:
    """Find the catalogue's row for a concrete path.

    Parameters
    ----------
    path : str
        A path such as ``Powertrain.ElectricMotor.Rear.Temperature``; a leading
        ``Vehicle.`` is ignored.

    Returns
    -------
    SignalName or None
        The row, or None if the catalogue has no such path.
    """
    short = path.removeprefix("Vehicle.")
    exact = catalogue().get(short)
    if exact is not None:
        return exact
    return next((row for row in catalogue().values() if row.pattern.match(short)), None)


def nearest_path(path: str) -> str | None:
    """Find the catalogue's path that looks most like a wrong one.

    Parameters
    ----------
    path : str
        The path that was given.

    Returns
    -------
    str or None
        The nearest path, or None if nothing is near.
    """
    return nearest(path, catalogue())
