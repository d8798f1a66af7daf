"""The pack: modules along the coolant's path, each a core and a can, and one end cell.

The end cell lies behind the last module, where the coolant is coldest, and follows it
slowly: it is the coldest cell of a pack that warms.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from thawline.simulator.cells import mean_open_circuit_V

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Pack:
    """What a pack is built of.

    Parameters
    ----------
    energy_kWh : float
        Energy between empty and full, at rest voltages [kWh].
    cells_in_series : int
        Cells in series [1].
    chemistry : str
        ``LFP`` or ``NMC``.
    heat_capacity_kJ_per_K : float
        Heat capacity of the whole pack [kJ/K].
    resistance_mOhm : float
        Resistance of the whole pack at 25 °C and middle charge [mOhm].
    activation_kJ_per_mol : float
        How the resistance grows in the cold [kJ/mol].
    modules : int
        Modules along the coolant's path [1].
    core_share : float
        Share of a module's heat capacity in its core; the rest is its can [1].
    core_W_per_K : float
        Conductance from cores to cans, all modules together [W/K].
    plate_W_per_K : float
        Conductance from coolant to cans, all modules together [W/K].
    along_W_per_K : float
        Conductance from a module to its neighbour [W/K].
    ambient_W_per_K : float
        Conductance from the pack to the air outside [W/K].
    end_share : float
        Share of the heat capacity in the end cell [1].
    end_lag_s : float
        Time in which the end cell follows its module [s].
    weak_module : int
        Number of a module that is worse than the others [1].
    weak_contact : float
        Share of its contact with the coolant and with its neighbours that is lost [1].
    weak_resistance : float
        How much more it resists, over the others [1].
    weak_capacity : float
        Share of the charge that its cells hold less, balanced where all are full [1].
    weak_joint_mOhm : float
        Resistance of a bad joint beside one of its cells [mOhm].
    """

    energy_kWh: float
    cells_in_series: int
    chemistry: str
    heat_capacity_kJ_per_K: float
    resistance_mOhm: float
    activation_kJ_per_mol: float = 25.0
    modules: int = 16
    core_share: float = 0.7
    core_W_per_K: float = 9000.0
    plate_W_per_K: float = 900.0
    along_W_per_K: float = 15.0
    ambient_W_per_K: float = 9.0
    end_share: float = 0.01
    end_lag_s: float = 150.0
    weak_module: int = 0
    weak_contact: float = 0.0
    weak_resistance: float = 0.0
    weak_capacity: float = 0.0
    weak_joint_mOhm: float = 0.0

    @cached_property
    def contact(self) -> Array:
        """How well each module touches plate and neighbours, over a sound one [1]."""
        return self._but_weak(1.0 - self.weak_contact)

    @cached_property
    def resists(self) -> Array:
        """How much each module resists, over a sound one [1]."""
        return self._but_weak(1.0 + self.weak_resistance)

    def weak_charge(self, charge: float) -> float:
        """Find the state of charge of the worse module.

        Parameters
        ----------
        charge : float
            State of charge of the others, 0 to 1 [1].

        Returns
        -------
        float
            Its own, 0 to 1 [1].
        """
        return max(1.0 - (1.0 - charge) / (1.0 - self.weak_capacity), 0.0)

    def _but_weak(self, value: float) -> Array:
        each = np.ones(self.modules)
        each[self.weak_module % self.modules] = value
        return each

    @cached_property
    def capacity_C(self) -> float:
        """Charge between empty and full [C]."""
        return (
            self.energy_kWh * 3.6e6 / (self.cells_in_series * mean_open_circuit_V(self.chemistry))
        )

    @cached_property
    def core_J_per_K(self) -> float:
        """Heat capacity of one module's core [J/K]."""
        whole = self.heat_capacity_kJ_per_K * 1e3 * (1.0 - self.end_share)
        return whole * self.core_share / self.modules

    @cached_property
    def can_J_per_K(self) -> float:
        """Heat capacity of one module's can [J/K]."""
        whole = self.heat_capacity_kJ_per_K * 1e3 * (1.0 - self.end_share)
        return whole * (1.0 - self.core_share) / self.modules

    @cached_property
    def end_J_per_K(self) -> float:
        """Heat capacity of the end cell [J/K]."""
        return self.heat_capacity_kJ_per_K * 1e3 * self.end_share


@dataclass(frozen=True, slots=True)
class PackState:
    """The pack at an instant.

    Parameters
    ----------
    core, can : ndarray of float64, shape (modules,)
        Temperatures along the coolant's path [degC].
    end : float
        Temperature of the end cell [degC].
    charge : float
        State of charge, 0 to 1 [1].
    """

    core: Array
    can: Array
    end: float
    charge: float


def rested(pack: Pack, degC: float, charge: float) -> PackState:
    """Give a pack that has stood for long.

    Parameters
    ----------
    pack : Pack
        The build.
    degC : float
        Its temperature [degC].
    charge : float
        State of charge, 0 to 1 [1].

    Returns
    -------
    PackState
        The state.
    """
    even = np.full(pack.modules, degC)
    return PackState(even, even.copy(), degC, charge)


def cell_temperatures(state: PackState) -> Array:
    """Give the temperature of each module as a thermometer between core and can has it.

    Parameters
    ----------
    state : PackState
        The pack.

    Returns
    -------
    ndarray of float64, shape (modules + 1,)
        Temperatures, the end cell last [degC].
    """
    found = np.empty(len(state.core) + 1)
    np.add(state.core, state.can, out=found[:-1])
    found[:-1] *= 0.5
    found[-1] = state.end
    return found


def heat_content_J(pack: Pack, state: PackState) -> float:
    """Find the heat that the pack holds above 0 °C.

    Parameters
    ----------
    pack : Pack
        The build.
    state : PackState
        The pack.

    Returns
    -------
    float
        Heat [J].
    """
    modules = pack.core_J_per_K * state.core.sum() + pack.can_J_per_K * state.can.sum()
    return float(modules) + pack.end_J_per_K * state.end
