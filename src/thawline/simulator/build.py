"""A vehicle's build: all that its simulation needs."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from thawline.simulator.cabin import Cabin
from thawline.simulator.charger import Charger
from thawline.simulator.conditioning import Conditioning
from thawline.simulator.limits import Display, Limits
from thawline.simulator.loads import Loads
from thawline.simulator.loop import Coolant
from thawline.simulator.pack import Pack
from thawline.simulator.reading import build_from, read_toml
from thawline.simulator.road import Road
from thawline.simulator.units import DriveUnits


@dataclass(frozen=True)
class Build:
    """A vehicle.

    Parameters
    ----------
    name : str
        Its name.
    pack, drive_units : Pack, DriveUnits
        What must be named.
    coolant, cabin, charger, limits, display, conditioning, loads, road : Coolant, Cabin, \
Charger, Limits, Display, Conditioning, Loads, Road
        The rest; usual ones unless told otherwise.
    port : str
        Where the charging port sits.
    """

    name: str
    pack: Pack
    drive_units: DriveUnits
    coolant: Coolant = field(default_factory=Coolant)
    cabin: Cabin = field(default_factory=Cabin)
    charger: Charger = field(default_factory=Charger)
    limits: Limits = field(default_factory=Limits)
    display: Display = field(default_factory=Display)
    conditioning: Conditioning = field(default_factory=Conditioning)
    loads: Loads = field(default_factory=Loads)
    road: Road = field(default_factory=Road)
    port: str = "Rear"


def read_build(path: Path) -> Build:
    """Read a build.

    Parameters
    ----------
    path : Path
        A TOML file.

    Returns
    -------
    Build
        The vehicle.

    Raises
    ------
    RequestError
        If the file is at fault.
    """
    return build_from(Build, read_toml(path), path.name)
