"""A morning: the cold, the plug, what is asked for, what goes wrong."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

import numpy as np

from thawline.errors import RequestError, did_you_mean
from thawline.simulator.charger import Supply
from thawline.simulator.events import Fault, Logger, Offer, Wish
from thawline.simulator.reading import build_from, read_toml
from thawline.simulator.tables import table


@dataclass(frozen=True)
class Scenario:
    """A morning.

    Parameters
    ----------
    name : str
        Its name; files are named after it.
    starts : str
        When it begins, as RFC 3339 in UTC.
    duration_s : float
        How long it lasts [s].
    ambient_degC : float
        Air outside [degC].
    soak_degC : float
        Temperature that the car has taken [degC].
    charge_pct : float
        Physical state of charge at the beginning [percent].
    target_pct : float
        State of charge to charge to [percent].
    warming_K_per_h : float
        How fast the air outside warms [K/h].
    plugged_s : tuple of (float, float)
        When the cable is connected [s].
    supply : Supply, optional
        What it leads to.
    lost_s : tuple of (float, float)
        When the supply fails [s].
    offers : tuple of Offer
        Changes of what is offered.
    wishes : tuple of Wish
        What is asked for.
    wind : float
        How much faster the car loses heat to the air outside than in still air [1].
    snow : float
        How deep it stands in snow, 0 to 1 [1].
    doors_s : tuple of (float, float)
        When a door stands open [s].
    drive : tuple of (float, float)
        Speed trace: time [s] and speed [km/h].
    faults : tuple of Fault
        What is broken.
    logger : Logger
        What the logger does.
    seed : int
        Of all chance [1].
    """

    name: str
    starts: str
    duration_s: float
    ambient_degC: float
    soak_degC: float
    charge_pct: float
    target_pct: float = 90.0
    warming_K_per_h: float = 0.4
    plugged_s: tuple[tuple[float, float], ...] = ()
    supply: Supply | None = None
    lost_s: tuple[tuple[float, float], ...] = ()
    offers: tuple[Offer, ...] = ()
    wishes: tuple[Wish, ...] = ()
    wind: float = 1.0
    snow: float = 0.0
    doors_s: tuple[tuple[float, float], ...] = ()
    drive: tuple[tuple[float, float], ...] = ()
    faults: tuple[Fault, ...] = ()
    logger: Logger = field(default_factory=Logger)
    seed: int = 1

    @property
    def starts_at(self) -> float:
        """When it begins, since 1970-01-01 UTC [s]."""
        return datetime.fromisoformat(self.starts).timestamp()

    def wish(self, what: str, t_s: float) -> Wish | None:
        """Find what is asked for at an instant.

        Parameters
        ----------
        what : str
            What may be asked for.
        t_s : float
            The instant [s].

        Returns
        -------
        Wish or None
            The wish, if there is one.
        """
        for wish in self.wishes:
            if wish.what == what and wish.from_s <= t_s < wish.to_s:
                return wish
        return None

    def offered_A(self, t_s: float) -> float:
        """Find the current offered at an instant.

        Parameters
        ----------
        t_s : float
            The instant [s].

        Returns
        -------
        float
            Current per phase; 0 without a supply [A].
        """
        amps = self.supply.amps if self.supply else 0.0
        for offer in self.offers:
            if offer.at_s <= t_s:
                amps = offer.amps
        return amps

    def broken(self, what: str, t_s: float) -> Mapping[str, float]:
        """Find what is broken at an instant.

        Parameters
        ----------
        what : str
            Kind of fault.
        t_s : float
            The instant [s].

        Returns
        -------
        mapping of str to float
            Share that is broken by where it is [1].
        """
        return {f.where: f.share for f in self.faults if f.what == what and f.acts(t_s)}

    @property
    def cuts_s(self) -> tuple[tuple[float, float], ...]:
        """When the supply fails, by plan or by a fault [s]."""
        cut = tuple((f.from_s, f.to_s) for f in self.faults if f.what == "supply-cut")
        return (*self.lost_s, *cut)

    def drives(self, t_s: float) -> bool:
        """Tell whether the car is under way, stops included.

        Parameters
        ----------
        t_s : float
            The instant [s].

        Returns
        -------
        bool
            True between the first and the last point of the speed trace.
        """
        return bool(self.drive) and self.drive[0][0] <= t_s <= self.drive[-1][0]

    def speed_km_per_h(self, t_s: float) -> float:
        """Find the speed at an instant.

        Parameters
        ----------
        t_s : float
            The instant [s].

        Returns
        -------
        float
            Speed [km/h].
        """
        if not self.drives(t_s):
            return 0.0
        return float(np.interp(t_s, [p[0] for p in self.drive], [p[1] for p in self.drive]))


def read_scenario(path: Path) -> Scenario:
    """Read a morning.

    Parameters
    ----------
    path : Path
        A TOML file.

    Returns
    -------
    Scenario
        The morning.

    Raises
    ------
    RequestError
        If the file is at fault.
    """
    return checked(build_from(Scenario, read_toml(path), path.name), path.name)


def checked(scenario: Scenario, file: str) -> Scenario:
    """See that a morning makes sense.

    Parameters
    ----------
    scenario : Scenario
        The morning.
    file : str
        For messages.

    Returns
    -------
    Scenario
        The same morning.

    Raises
    ------
    RequestError
        If it does not.
    """
    wrong = [
        wish.what for wish in scenario.wishes if wish.what not in ("charging", "cabin", "pack")
    ]
    if wrong:
        cure = "ask for charging, cabin or pack"
        raise RequestError(f"wish (={wrong[0]!r}) is not known", file=file, cure=cure)
    known = [row["kind"] for row in table("faults.csv")]
    for fault in scenario.faults:
        if fault.what not in known:
            cure = did_you_mean(fault.what, known) or f"it may be {', '.join(known)}"
            raise RequestError(f"fault (={fault.what!r}) is not known", file=file, cure=cure)
    if scenario.plugged_s and scenario.supply is None:
        raise RequestError("plugged_s is given without a supply", file=file, cure="add [supply]")
    if not 0.0 < scenario.duration_s <= 86_400.0:
        what = f"duration_s (={scenario.duration_s:g}) must be in (0, 86400] s"
        raise RequestError(what, file=file, cure="choose a shorter morning")
    if not 0.0 <= scenario.charge_pct <= 100.0:
        what = f"charge_pct (={scenario.charge_pct:g}) must be in [0, 100] percent"
        raise RequestError(what, file=file, cure="correct it")
    return scenario
