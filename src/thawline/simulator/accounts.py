"""The true accounts of a morning, under the names that a ledger gives its lines.

Electrical: supply + pack-out = charger-loss + drive-unit-heating + cabin-heating +
other-loads + pack-in + unaccounted. Heat: drive-unit-heating + cell-resistance =
stored-in-pack + pack-to-ambient + stored-elsewhere + unaccounted. Nothing is unaccounted in
the electrical one. In the heat account it is what drive units and hoses lose to the air, less
the heat that driving makes in the drive units: the lines have no place for either. A pack
heater's energy stands with the other loads, its heat with that of the drive units.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from thawline.simulator import pack, units
from thawline.simulator.build import Build
from thawline.simulator.car import State
from thawline.simulator.loop import Ring
from thawline.simulator.observed import paths

Array = NDArray[np.float64]
#: Joules in a kilowatt-hour [J].
KWH_J = 3.6e6


def accounts(
    build: Build,
    rings: Ring,
    before: State,
    after: State,
    powers: Mapping[str, Array],
    step_s: float,
) -> tuple[dict[str, float], dict[str, float], dict[str, float]]:
    """Draw up the true accounts.

    Parameters
    ----------
    build : Build
        The vehicle.
    rings : Ring
        The coolant's volumes.
    before, after : State
        The car at the beginning and at the end.
    powers : mapping of str to ndarray of float64
        Powers, each held for a step [W].
    step_s : float
        Length of a step [s].

    Returns
    -------
    electrical, heat, more : dict of str to float
        Lines of both accounts, and what they are made of [kWh].
    """

    def kWh(values: Array) -> float:
        return float(values.sum()) * step_s / KWH_J

    flow = powers["pack"]
    electrical = {
        "supply": kWh(powers["supply"]),
        "charger-loss": kWh(powers["charger-loss"]),
        "drive-unit-heating": kWh(powers["drive-unit-heating"]),
        "cabin-heating": kWh(powers["cabin-heating"]),
        "other-loads": kWh(powers["low-voltage"] + powers["driving"] + powers["pack-heater"]),
        "pack-in": kWh(np.maximum(flow, 0.0)),
        "pack-out": kWh(np.maximum(-flow, 0.0)),
        "unaccounted": 0.0,
    }
    stored = pack.heat_content_J(build.pack, after.pack)
    stored -= pack.heat_content_J(build.pack, before.pack)
    metal = units.heat_content_J(build.drive_units, after.units)
    metal -= units.heat_content_J(build.drive_units, before.units)
    fluid = float(((after.coolant - before.coolant) * rings.volume_m3).sum())
    elsewhere_lost, driven = kWh(powers["elsewhere-to-ambient"]), kWh(powers["driving-loss"])
    heat = {
        "drive-unit-heating": kWh(powers["drive-unit-heating"] + powers["pack-heater"]),
        "cell-resistance": kWh(powers["cells"]),
        "coolant-into-pack": kWh(powers["into-pack"]),
        "stored-in-pack": stored / KWH_J,
        "pack-to-ambient": kWh(powers["pack-to-ambient"]),
        "stored-elsewhere": (metal + fluid) / KWH_J,
        "unaccounted": elsewhere_lost - driven,
    }
    more = {
        "low-voltage": kWh(powers["low-voltage"]),
        "driving": kWh(powers["driving"]),
        "pack-heater": kWh(powers["pack-heater"]),
        "driving-loss": driven,
        "elsewhere-to-ambient": elsewhere_lost,
        "through-the-plates": kWh(powers["plates"]),
        "stored-in-drive-units": metal / KWH_J,
        "stored-in-coolant": fluid / KWH_J,
    }
    return electrical, heat, more


def charge_points(values: Mapping[str, Array]) -> dict[str, float]:
    """Split what the display gained.

    Parameters
    ----------
    values : mapping of str to ndarray of float64
        What the car's computers could know [unit].

    Returns
    -------
    dict of str to float
        ``shown``, ``charged`` and ``warmed-back`` [percent].
    """
    physical, displayed = values[paths()["physical"]], values[paths()["displayed"]]
    shown = float(displayed[-1] - displayed[0])
    charged = float(physical[-1] - physical[0])
    return {"shown": shown, "charged": charged, "warmed-back": shown - charged}
