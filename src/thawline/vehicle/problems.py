"""Gather all that is wrong with a vehicle file, and say it at once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from thawline.errors import VehicleFileError


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong, or only odd.

    Parameters
    ----------
    line : int
        Line of the file; 0 if it concerns no single line [1].
    place : str
        The table and key.
    what : str
        What is wrong, with the value.
    cure : str or None
        What to do about it.
    """

    line: int
    place: str
    what: str
    cure: str | None = None

    def as_error(self, file: str) -> VehicleFileError:
        """Make an error of it.

        Parameters
        ----------
        file : str
            The file's name.

        Returns
        -------
        VehicleFileError
            The error, not yet raised.
        """
        place = ", ".join(
            part for part in (f"line {self.line}" * (self.line > 0), self.place) if part
        )
        return VehicleFileError(self.what, file=file, place=place or None, cure=self.cure)


def errors_of(problems: Iterable[Problem], file: str) -> VehicleFileError:
    """Make one error of several problems, a line each, in the order of the file.

    Parameters
    ----------
    problems : iterable of Problem
        The problems, one at least.
    file : str
        The file's name.

    Returns
    -------
    VehicleFileError
        The error, not yet raised.
    """
    errors = [p.as_error(file) for p in sorted(problems, key=lambda problem: problem.line)]
    if len(errors) == 1:
        return errors[0]
    whole = VehicleFileError("\n".join(str(error) for error in errors))
    whole.file = file
    return whole
