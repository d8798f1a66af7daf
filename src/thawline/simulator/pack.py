"""The pack: modules along the coolant's path, each a core and a can, and one end cell.

The end cell lies behind the last module, where the coolant is coldest, and follows it
slowly: it is the coldest cell of a pack that warms.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from thawline.simulator.cells import (
    mean_open_circuit_V,
    open_circuit_V,
    resistance_by_charge,
    resistance_by_temperature,
)

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
    """

    current_A: float
    volts: float
    open_circuit_V: float
    module_ohm: Array
    end_ohm: float


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
    return np.append(0.5 * (state.core + state.can), state.end)


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
    each = pack.resistance_mOhm / 1e3 * resistance_by_charge(pack.chemistry, state.charge)
    activation = pack.activation_kJ_per_mol * 1e3
    factor = resistance_by_temperature(np.append(state.core, state.end), activation)
    module_ohm = each * (1.0 - pack.end_share) / pack.modules * factor[:-1]
    end_ohm = float(each * pack.end_share * factor[-1])
    ohm = float(module_ohm.sum()) + end_ohm
    # V (V - V0) / R = P; beyond what the cells can give, they give what they can
    root = max(0.25 * rest * rest + ohm * power_W, 0.0)
    volts = 0.5 * rest + sqrt(root)
    return Electrical((volts - rest) / ohm, volts, rest, module_ohm, end_ohm)


@dataclass(frozen=True, slots=True)
class PackFluxes:
    """Heat that moved during a step.

    Parameters
    ----------
    from_coolant_W : ndarray of float64, shape (modules,)
        Heat from each length of coolant into its module [W].
    resistance_W : float
        Heat made in the cells [W].
    ambient_W : float
        Heat lost to the air outside [W].
    """

    from_coolant_W: Array
    resistance_W: float
    ambient_W: float


def step(
    pack: Pack,
    state: PackState,
    now: Electrical,
    coolant_degC: Array,
    plate_factor: float,
    ambient_degC: float,
    dt_s: float,
) -> tuple[PackState, PackFluxes]:
    """Move the pack on by one step.

    Parameters
    ----------
    pack : Pack
        The build.
    state : PackState
        The pack.
    now : Electrical
        Current and resistances.
    coolant_degC : ndarray of float64, shape (modules,)
        Coolant beside each module [degC].
    plate_factor : float
        How well the plate passes heat at this flow [1].
    ambient_degC : float
        Air outside [degC].
    dt_s : float
        Length of the step [s].

    Returns
    -------
    PackState
        The pack after the step.
    PackFluxes
        Heat that moved.
    """
    n = pack.modules
    made = now.current_A**2 * now.module_ohm
    made_end = now.current_A**2 * now.end_ohm
    from_coolant = plate_factor * pack.plate_W_per_K / n * (coolant_degC - state.can)
    outward = pack.core_W_per_K / n * (state.core - state.can)
    lost = pack.ambient_W_per_K * (1.0 - pack.end_share) / n * (state.can - ambient_degC)
    lost_end = pack.ambient_W_per_K * pack.end_share * (state.end - ambient_degC)
    to_end = pack.end_J_per_K / pack.end_lag_s * (state.core[-1] - state.end)
    sideways = np.zeros(n)
    if n > 1:
        between = pack.along_W_per_K * np.diff(state.can)
        sideways[:-1] += between
        sideways[1:] -= between
    core_W = made - outward
    core_W[-1] -= to_end
    can_W = outward + from_coolant + sideways - lost
    after = PackState(
        state.core + core_W * (dt_s / pack.core_J_per_K),
        state.can + can_W * (dt_s / pack.can_J_per_K),
        float(state.end + (to_end + made_end - lost_end) * dt_s / pack.end_J_per_K),
        state.charge + now.current_A * dt_s / pack.capacity_C,
    )
    heat = float(made.sum()) + made_end
    return after, PackFluxes(from_coolant, heat, float(lost.sum()) + lost_end)


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
