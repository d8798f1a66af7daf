"""The low-voltage load where no converter is recorded."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.ledger.basis import Basis, is_plugged_in
from thawline.ledger.energy import HOUR_S, energy
from thawline.ledger.uncertain import UFloat, cause, deviation, nominal, prior

#: At least so long must the car have been quiet for its base load to be read [s].
QUIET_S = 60.0
#: A base load is believed within these bounds [kW].
LEAST_KW, MOST_KW = 0.02, 1.2
#: A consumer counts as off below this [kW].
OFF_KW = 0.05


def quiet_ticks(basis: Basis) -> NDArray[np.bool_]:
    """Find the ticks at which the pack feeds nothing but low voltage.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    ndarray of bool, shape (n,)
        Ticks without supply, heating, cabin and motion, all of them known.
    """
    none = np.zeros(len(basis.flows.t), dtype=bool)
    if "pack" not in basis.powers or "cabin-heating" not in basis.powers:
        return none
    if "drive-unit-heating" not in basis.powers:
        return none
    quiet = ~np.isnan(basis.flows.flows["pack"].kW) & ~basis.moves
    for name in ("drive-unit-heating", "cabin-heating", "pack-heater"):
        if name in basis.powers:
            quiet &= np.nan_to_num(basis.flows.flows[name].kW, nan=np.inf) < OFF_KW
    if "supply" in basis.powers:
        return np.asarray(quiet & (basis.powers["supply"].kW < OFF_KW))
    plugged = is_plugged_in(basis)
    return none if plugged is None else np.asarray(quiet & ~plugged)


def base_load(basis: Basis) -> tuple[UFloat, str]:
    """Estimate the energy of low-voltage loads.

    Quiet times of this very recording show the base load: all that the pack gives then.
    While something heats, pumps and blowers run beside it; how much they take is a prior.
    Without quiet times the base load is a prior too.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    energy : UFloat
        Energy over the recording [kWh].
    note : str
        How it was found.
    """
    busy = basis.on("drive-unit-heating") | basis.on("cabin-heating") | basis.on("pack-heater")
    busy_hours = float(np.count_nonzero(busy)) * basis.flows.step_s / HOUR_S
    quiet = quiet_ticks(basis)
    quiet_s = float(np.count_nonzero(quiet)) * basis.flows.step_s
    if quiet_s >= QUIET_S:
        mean = energy(basis.powers["pack"], basis.sensors, quiet).kWh * (-HOUR_S / quiet_s)
        if LEAST_KW < nominal(mean) < MOST_KW:
            steady = mean * prior("quiet_share") * basis.hours
            note = f"base load of {nominal(mean):.2f} kW seen over {quiet_s:.0f} s of quiet"
            return steady + prior("busy_load") * busy_hours, note
    usual = prior("base_load")
    note = f"no converter recorded and no quiet time: a usual {nominal(usual):.2f} kW"
    return usual * basis.hours + cause(deviation(prior("busy_load")) * busy_hours), note
