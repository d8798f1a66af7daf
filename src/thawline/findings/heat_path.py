"""The heat path on blocks: electrical heat, what the coolant carries, temperatures along it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.findings.case import Array, Case, blocks
from thawline.findings.settings import setting
from thawline.physics.glycol import coolant_heat_kW
from thawline.recording.powers import BATTERY, MOTOR

INLET = BATTERY + "Coolant.InletTemperature"
OUTLET = BATTERY + "Coolant.OutletTemperature"
FLOW = BATTERY + "Coolant.Flow"
AT_MOTOR = MOTOR + "EngineCoolant.Temperature"
OUTSIDE = "Exterior.AirTemperature"
#: Air that has the night's temperature in the morning.
AIR = ("Cabin.HVAC.AmbientAirTemperature", OUTSIDE)


@dataclass(frozen=True, slots=True)
class HeatPath:
    """The heat path, block by block; NaN where something is not known.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Beginnings of the blocks [s].
    heat_kW : ndarray of float64, shape (n,)
        Electrical heat [kW].
    flow, inlet, outlet, bulk, winding, outside : ndarray of float64, shape (n,)
        Flow [l/min]; temperatures of coolant, pack, drive units and air [degC].
    carried_kW : ndarray of float64, shape (n,)
        Heat that the coolant carries into the pack [kW].
    is_heated : ndarray of bool, shape (n,)
        Whether the pack is heated while the car stands.
    is_steady : ndarray of bool, shape (n,)
        Whether heat and coolant have run for some minutes.
    """

    t: Array
    heat_kW: Array
    flow: Array
    inlet: Array
    outlet: Array
    bulk: Array
    winding: Array
    outside: Array
    carried_kW: Array
    is_heated: NDArray[np.bool_]
    is_steady: NDArray[np.bool_]


def heat_path(case: Case) -> HeatPath:
    """Lay the heat path on blocks.

    Parameters
    ----------
    case : Case
        The recording.

    Returns
    -------
    HeatPath
        The heat path.
    """
    width = int(setting("block_s"))

    def laid(path: str) -> Array:
        return blocks(case.lay(path), width)

    heat = case.heat_kW()
    stands = blocks(np.where(case.standing(), 1.0, 0.0), width)
    means = blocks(heat, width)
    heated = (means > setting("heat_least_kW")) & (stands > 0.99)
    windings = case.windings()
    winding = means * np.nan
    if windings:
        winding = np.asarray(np.mean([laid(p) for p in windings], axis=0), dtype=np.float64)
    bulk = case.bulk()
    outside = laid(OUTSIDE)
    first = laid(bulk) if bulk else means * np.nan
    soaked = first[~np.isnan(first)][:1]
    outside = np.where(np.isnan(outside), soaked[0] if len(soaked) else np.nan, outside)
    inlet, outlet, flow = laid(INLET), laid(OUTLET), laid(FLOW)
    steady: NDArray[np.bool_] = heated.copy()
    for back in range(1, 6):
        steady[back:] &= heated[:-back]
        steady[:back] = False
    return HeatPath(
        np.asarray(np.arange(len(means)) * float(width), dtype=np.float64),
        means, flow, inlet, outlet, first, winding, outside,
        coolant_heat_kW(flow, inlet, outlet, setting("glycol")), heated, steady,
    )  # fmt: skip
