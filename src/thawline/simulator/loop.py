r"""The coolant loop: a ring of volumes that coolant moves through, with its delays.

pack hose → pack → return hose (radiator, reservoir) → drive units → pack hose. Heat moves
with the flow from volume to volume (upwind), so delays come with a little mixing, as in real
hoses. The flow follows from the pump's speed *s* and the viscosity μ: a turbulent and a
laminar part of the pressure drop, :math:`A q^2 + B \mu q = s^2`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from thawline.errors import RequestError
from thawline.simulator.fluid import heat_of, temperature_of, viscosity_mPas

Array = NDArray[np.float64]
#: Temperatures at which a build names its flow [degC].
WARM_DEGC, COLD_DEGC = 20.0, -20.0
#: Warmest coolant that a step must suit [degC].
HOT_DEGC = 45.0


@dataclass(frozen=True)
class Coolant:
    """What a loop is built of.

    Parameters
    ----------
    warm_l_per_min, cold_l_per_min : float
        Flow at full pump speed with coolant at 20 and at −20 °C [l/min].
    hose_l : float
        Volume of each of the two hoses between drive units and pack [l].
    pack_l : float
        Volume in the pack [l].
    jacket_l : float
        Volume in the jacket of one drive unit [l].
    reservoir_l : float
        Volume in the reservoir, which mixes [l].
    hose_cells : int
        Volumes that a hose is cut into [1].
    hose_W_per_K : float
        Loss of hoses and reservoir to the air outside, all together [W/K].
    radiator_W_per_K : float
        Loss of the radiator when its valve is wide open [W/K].
    plate_exponent : float
        How the pack's plate passes heat by flow: exponent [1].
    heater_kW : float
        Power of an electrical heater before the pack, for cars that have one [kW].
    heater_ramp_kW_per_s : float
        How fast it changes its power [kW/s].
    """

    warm_l_per_min: float = 13.0
    cold_l_per_min: float = 8.5
    hose_l: float = 1.3
    pack_l: float = 2.4
    jacket_l: float = 0.35
    reservoir_l: float = 1.2
    hose_cells: int = 7
    hose_W_per_K: float = 2.0
    radiator_W_per_K: float = 180.0
    plate_exponent: float = 0.3
    heater_kW: float = 0.0
    heater_ramp_kW_per_s: float = 0.8

    @cached_property
    def drops(self) -> tuple[float, float]:
        """Turbulent and laminar part of the pressure drop [min2/l2], [min/(l*mPa*s)]."""
        warm, cold = self.warm_l_per_min, self.cold_l_per_min
        matrix = np.array(
            [
                [warm**2, viscosity_mPas(WARM_DEGC) * warm],
                [cold**2, viscosity_mPas(COLD_DEGC) * cold],
            ]
        )
        turbulent, laminar = np.linalg.solve(matrix, np.ones(2))
        return float(turbulent), float(laminar)


@dataclass(frozen=True)
class Ring:
    """The loop cut into volumes, in the order of the flow.

    Parameters
    ----------
    volume_m3 : ndarray of float64, shape (n,)
        Volumes [m3].
    loss_W_per_K : ndarray of float64, shape (n,)
        Loss of each to the air outside [W/K].
    pack, jackets, radiator : slice
        Volumes in the pack, in the drive units, before the radiator.
    """

    volume_m3: Array
    loss_W_per_K: Array
    pack: slice
    jackets: slice
    radiator: slice


def ring(coolant: Coolant, modules: int, units: int) -> Ring:
    """Cut a loop into volumes.

    Parameters
    ----------
    coolant : Coolant
        The build.
    modules : int
        Modules of the pack [1].
    units : int
        Drive units [1].

    Returns
    -------
    Ring
        The volumes.
    """
    n = coolant.hose_cells
    hose = [coolant.hose_l / n] * n
    jackets = [coolant.jacket_l] * units
    litres = [*hose, *[coolant.pack_l / modules] * modules, *hose, coolant.reservoir_l, *jackets]
    outside = np.array([1.0] * n + [0.0] * modules + [1.0] * (n + 1) + [0.0] * units)
    back = n + modules
    return Ring(
        np.array(litres) / 1e3,
        outside / outside.sum() * coolant.hose_W_per_K,
        slice(n, back),
        slice(back + n + 1, back + n + 1 + units),
        slice(back, back + n),
    )


def check_step(rings: Ring, coolant: Coolant, step_s: float) -> None:
    """See that coolant stays in its volume or goes to the next during a step.

    Parameters
    ----------
    rings : Ring
        The volumes.
    coolant : Coolant
        The build.
    step_s : float
        Length of a step [s].

    Raises
    ------
    RequestError
        If it would go further.
    """
    most_l = flow_l_per_min(coolant, 1.0, HOT_DEGC) / 60.0 * step_s
    least_l = float(rings.volume_m3.min()) * 1e3
    if most_l > least_l:
        raise RequestError(
            f"coolant moves up to {most_l:.2f} l in a step of {step_s:g} s, through a volume of "
            f"{least_l:.2f} l",
            place="coolant",
            cure="take fewer modules or hose cells, more volume, or a shorter step",
        )


def flow_l_per_min(coolant: Coolant, speed: float, degC: float) -> float:
    """Find the flow from the pump's speed.

    Parameters
    ----------
    coolant : Coolant
        The build.
    speed : float
        Speed of the pump over its full speed [1].
    degC : float
        Mean temperature of the coolant [degC].

    Returns
    -------
    float
        Flow [l/min].
    """
    if speed <= 0.0:
        return 0.0
    turbulent, laminar = coolant.drops
    drag = laminar * viscosity_mPas(degC)
    return (sqrt(drag * drag + 4.0 * turbulent * speed * speed) - drag) / (2.0 * turbulent)


@dataclass(frozen=True, slots=True)
class LoopFluxes:
    """Heat that moved during a step.

    Parameters
    ----------
    into_pack_W : float
        Heat that the flow carried into the pack less what it carried out [W].
    ambient_W : float
        Heat lost by hoses, reservoir and radiator [W].
    """

    into_pack_W: float
    ambient_W: float


def step(
    rings: Ring,
    coolant: Coolant,
    heat: Array,
    degC: Array,
    flow: float,
    gained_W: Array,
    valve: float,
    ambient_degC: float,
    dt_s: float,
) -> tuple[Array, LoopFluxes]:
    """Move the coolant on by one step.

    Parameters
    ----------
    rings : Ring
        The volumes.
    coolant : Coolant
        The build.
    heat : ndarray of float64, shape (n,)
        Heat per volume above 0 °C [J/m3].
    degC : ndarray of float64, shape (n,)
        The same as temperature [degC].
    flow : float
        Flow [l/min].
    gained_W : ndarray of float64, shape (n,)
        Heat that each volume takes from what it flows by [W].
    valve : float
        How far the radiator's valve is open, 0 to 1 [1].
    ambient_degC : float
        Air outside [degC].
    dt_s : float
        Length of the step [s].

    Returns
    -------
    ndarray of float64, shape (n,)
        Heat per volume after the step [J/m3].
    LoopFluxes
        Heat that moved.
    """
    q = flow / 60e3
    loss = rings.loss_W_per_K * (degC - ambient_degC)
    if valve > 0.0:
        part = degC[rings.radiator]
        loss[rings.radiator] += valve * coolant.radiator_W_per_K / len(part) * (part - ambient_degC)
    carried = q * heat
    arriving = np.empty_like(carried)
    arriving[1:] = carried[:-1]
    arriving[0] = carried[-1]
    after = heat + (arriving - carried + gained_W - loss) * (dt_s / rings.volume_m3)
    into_pack = float(carried[rings.pack.start - 1] - carried[rings.pack.stop - 1])
    return after, LoopFluxes(into_pack, float(loss.sum()))


def heat_at(degC: float, rings: Ring) -> Array:
    """Give the heat of coolant that has one temperature throughout.

    Parameters
    ----------
    degC : float
        Temperature [degC].
    rings : Ring
        The volumes.

    Returns
    -------
    ndarray of float64, shape (n,)
        Heat per volume above 0 °C [J/m3].
    """
    return heat_of(np.full(len(rings.volume_m3), degC))


def temperatures(heat: Array) -> Array:
    """Give the temperature of each volume.

    Parameters
    ----------
    heat : ndarray of float64, shape (n,)
        Heat per volume above 0 °C [J/m3].

    Returns
    -------
    ndarray of float64, shape (n,)
        Temperatures [degC].
    """
    return temperature_of(heat)
