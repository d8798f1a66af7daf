"""Hold a vehicle file against the signal database that it names signals of."""

from __future__ import annotations

from thawline.vehicle.finding import Finding
from thawline.vehicle.vehicle import Vehicle


def check_against_database(vehicle: Vehicle, database: object) -> list[Finding]:
    """Look for every signal of the vehicle file in the database.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle.
    database : Database
        The signal database.

    Returns
    -------
    list of Finding
        Units that differ or are missing, in the order of the vehicle file.

    Raises
    ------
    VehicleFileError
        If a signal or a label is not in the database, or the database's unit measures
        something else than the path; the message lists every error, a line each.
    """
    raise NotImplementedError
