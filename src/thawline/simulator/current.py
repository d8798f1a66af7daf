r"""Current and voltage of the pack for a power at its terminals.

.. math:: V = V_0 + I R, \quad V I = P
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from thawline.simulator.cells import (
    open_circuit_V,
    resistance_by_charge,
    resistance_by_temperature,
)
from thawline.simulator.pack import Pack, PackState

Array = NDArray[np.float64]
#: Lowest voltage at which the pack still gives, over its voltage at rest [1].
LEAST_VOLTS = 0.75


@dataclass(frozen=True, slots=True)
class Electrical:
    """What the pack does electrically during a step.

    Parameters
    ----------
    current_A : float
        Current into the pack [A].
    volts : float
        Voltage at the terminals [V].
    open_circuit_V : float
        Voltage at rest [V].
    module_ohm : ndarray of float64, shape (modules,)
        Resistance of each module, without the end cell's [ohm].
    end_ohm : float
        Resistance of the end cell [ohm].
    joint_ohm : float
        Resistance of a bad joint beside a cell of the worse module [ohm].
    weak_V : float
        How far the voltage at rest of the worse module's cells is off the others' [V].
    """

    current_A: float
    volts: float
    open_circuit_V: float
    module_ohm: Array
    end_ohm: float
    joint_ohm: float = 0.0
    weak_V: float = 0.0


def resistances(pack: Pack, state: PackState) -> tuple[Array, float]:
    """Find the resistances of modules and end cell.

    Parameters
    ----------
    pack : Pack
        The build.
    state : PackState
        The pack.

    Returns
    -------
    ndarray of float64, shape (modules,)
        Resistance of each module, without the end cell's [ohm].
    float
        Resistance of the end cell [ohm].
    """
    each = pack.resistance_mOhm / 1e3 * resistance_by_charge(pack.chemistry, state.charge)
    activation = pack.activation_kJ_per_mol * 1e3
    factor = resistance_by_temperature(np.append(state.core, state.end), activation)
    module_ohm = each * (1.0 - pack.end_share) / pack.modules * factor[:-1] * pack.resists
    return np.asarray(module_ohm), float(each * pack.end_share * factor[-1])


def most_W(pack: Pack, state: PackState) -> float:
    """Find the power that the pack can give before its voltage sags too far.

    Parameters
    ----------
    pack : Pack
        The build.
    state : PackState
        The pack.

    Returns
    -------
    float
        Power [W].
    """
    rest = pack.cells_in_series * open_circuit_V(pack.chemistry, state.charge)
    module_ohm, end_ohm = resistances(pack, state)
    volts = LEAST_VOLTS * rest
    return volts * (rest - volts) / (float(module_ohm.sum()) + end_ohm)


def electrical(pack: Pack, state: PackState, power_W: float) -> Electrical:
    """Find current and voltage for a power at the terminals.

    Parameters
    ----------
    pack : Pack
        The build.
    state : PackState
        The pack.
    power_W : float
        Power into the pack [W].

    Returns
    -------
    Electrical
        Current, voltage and resistances.
    """
    rest = pack.cells_in_series * open_circuit_V(pack.chemistry, state.charge)
    module_ohm, end_ohm = resistances(pack, state)
    joint_ohm, weak_V = pack.weak_joint_mOhm / 1e3, 0.0
    if pack.weak_capacity > 0.0:
        own = open_circuit_V(pack.chemistry, pack.weak_charge(state.charge))
        weak_V = own - open_circuit_V(pack.chemistry, state.charge)
        rest += weak_V * pack.cells_in_series / pack.modules
    ohm = float(module_ohm.sum()) + end_ohm + joint_ohm
    # V (V - V0) / R = P; beyond what the cells can give, they give what they can
    root = max(0.25 * rest * rest + ohm * power_W, 0.0)
    volts = 0.5 * rest + sqrt(root)
    return Electrical((volts - rest) / ohm, volts, rest, module_ohm, end_ohm, joint_ohm, weak_V)
