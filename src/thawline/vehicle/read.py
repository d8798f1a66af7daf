"""Read a vehicle file."""

from __future__ import annotations

from pathlib import Path

from thawline.vehicle.vehicle import Vehicle


def read_vehicle(path: Path) -> Vehicle:
    """Read a vehicle file.

    Parameters
    ----------
    path : Path
        The TOML file.

    Returns
    -------
    Vehicle
        All that the file says; ``warnings`` holds what was noticed and passed over.

    Raises
    ------
    VehicleFileError
        If the file cannot be read or is not valid; the message lists every error, a line each.
    """
    raise NotImplementedError


def read_vehicle_text(text: str, file: str) -> Vehicle:
    """Read the text of a vehicle file.

    Parameters
    ----------
    text : str
        The TOML text.
    file : str
        The file's name, for messages.

    Returns
    -------
    Vehicle
        All that the text says.

    Raises
    ------
    VehicleFileError
        If the text is not valid; the message lists every error, a line each.
    """
    raise NotImplementedError
