r"""Supply and charger: pilot, contactor, ramp, loss by load, and drop-outs.

The charger's loss by the power *P* taken from the supply:
:math:`P_0 + k_1 P + k_2 P^2 / P_{rated}`.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from thawline.simulator.tables import constant


@dataclass(frozen=True)
class Charger:
    """What the charger in the car is built of.

    Parameters
    ----------
    rated_kW : float
        Highest power on the supply side [kW].
    standing_W : float
        Loss as soon as it works [W].
    loss_share : float
        Loss in proportion to power [1].
    square_share : float
        Loss at rated power that grows with its square, over rated power [1].
    wakes_s : float
        From the cable to the contactor [s].
    starts_s : float
        From the contactor to the first current [s].
    ramp_A_per_s : float
        How fast the current rises, per phase [A/s].
    falls_A_per_s : float
        How fast it falls, per phase [A/s].
    short_W : float
        How much the charger stays below what the loads take while the pack must not be
        charged [W].
    charge_ramp_W_per_s : float
        How fast it raises what it gives to the pack [W/s].
    """

    rated_kW: float = 11.0
    standing_W: float = 60.0
    loss_share: float = 0.05
    square_share: float = 0.02
    wakes_s: float = 3.0
    starts_s: float = 2.0
    ramp_A_per_s: float = 0.8
    falls_A_per_s: float = 30.0
    short_W: float = 40.0
    charge_ramp_W_per_s: float = 400.0

    def loss_W(self, taken_W: float) -> float:
        """Find the loss at a power.

        Parameters
        ----------
        taken_W : float
            Power from the supply [W].

        Returns
        -------
        float
            Loss [W].
        """
        if taken_W <= 0.0:
            return 0.0
        square = self.square_share / (self.rated_kW * 1e3)
        loss = self.standing_W + self.loss_share * taken_W + square * taken_W * taken_W
        return min(loss, taken_W)

    def taken_W(self, given_W: float) -> float:
        """Find what must be taken from the supply for a power on the direct-current side.

        Parameters
        ----------
        given_W : float
            Power on the direct-current side [W].

        Returns
        -------
        float
            Power from the supply [W].
        """
        if given_W <= 0.0:
            return 0.0
        square = self.square_share / (self.rated_kW * 1e3)
        linear = 1.0 - self.loss_share
        need = given_W + self.standing_W
        if square == 0.0:
            return need / linear
        root = max(linear * linear - 4.0 * square * need, 0.0)
        return (linear - sqrt(root)) / (2.0 * square)


@dataclass(frozen=True)
class Supply:
    """What a supply gives.

    Parameters
    ----------
    volts : float
        Voltage of a phase without load [V].
    amps : float
        Current offered per phase [A].
    phases : int
        Phases [1].
    line_mOhm : float
        Resistance of the line to the car: the voltage sags by it [mOhm].
    is_direct : bool
        Whether it is an outside charger that gives direct current at the pack's voltage.
    """

    volts: float
    amps: float
    phases: int = 1
    line_mOhm: float = 120.0
    is_direct: bool = False


@dataclass(frozen=True, slots=True)
class ChargerState:
    """Supply and charger at an instant.

    Parameters
    ----------
    connected_s : float
        Time since supply and cable are both there; negative: they are not [s].
    amps : float
        Current per phase [A].
    volts : float
        Voltage of a phase [V].
    """

    connected_s: float = -1.0
    amps: float = 0.0
    volts: float = 0.0


def duty_cycle_pct(amps: float, is_direct: bool = False) -> float:
    """Find the duty cycle of the pilot that offers a current [1]_.

    Parameters
    ----------
    amps : float
        Current per phase; 0 for no offer [A].
    is_direct : bool
        Whether an outside charger makes its offer by digital communication.

    Returns
    -------
    float
        Duty cycle [percent].

    References
    ----------
    .. [1] IEC 61851-1, Annex A; SAE J1772.
    """
    if amps <= 0.0:
        return constant("pilot_none_percent")
    if is_direct:
        return constant("pilot_digital_percent")
    if amps <= constant("pilot_low_slope_to_A"):
        return amps / constant("pilot_low_slope")
    return amps / constant("pilot_high_slope") + constant("pilot_high_offset_percent")


def ceiling_A(charger: Charger, supply: Supply, offered_A: float, volts: float) -> float:
    """Find the current per phase that offer and charger allow.

    Parameters
    ----------
    charger : Charger
        The build.
    supply : Supply
        The supply.
    offered_A : float
        Current offered per phase [A].
    volts : float
        Voltage of a phase [V].

    Returns
    -------
    float
        Current [A].
    """
    if supply.is_direct:
        return offered_A
    return min(offered_A, charger.rated_kW * 1e3 / (supply.phases * max(volts, 1.0)))


def given_W(charger: Charger, supply: Supply, amps: float, volts: float) -> float:
    """Find the power on the direct-current side.

    Parameters
    ----------
    charger : Charger
        The build.
    supply : Supply
        The supply.
    amps, volts : float
        Current and voltage of a phase [A], [V].

    Returns
    -------
    float
        Power [W].
    """
    taken = supply.phases * amps * volts
    return taken if supply.is_direct else taken - charger.loss_W(taken)


def step(
    charger: Charger,
    supply: Supply,
    state: ChargerState,
    is_live: bool,
    offered_A: float,
    wanted_W: float,
    open_volts: float,
    dt_s: float,
) -> ChargerState:
    """Move supply and charger on by one step.

    Parameters
    ----------
    charger : Charger
        The build.
    supply : Supply
        The supply.
    state : ChargerState
        Supply and charger.
    is_live : bool
        Whether cable and supply are both there.
    offered_A : float
        Current offered per phase [A].
    wanted_W : float
        Power wanted on the direct-current side [W].
    open_volts : float
        Voltage of a phase without load [V].
    dt_s : float
        Length of the step [s].

    Returns
    -------
    ChargerState
        Supply and charger during the step.
    """
    if not is_live:
        return ChargerState()
    connected = max(state.connected_s, 0.0) + (dt_s if state.connected_s >= 0.0 else 0.0)
    if connected < charger.wakes_s:
        return ChargerState(connected)
    if connected < charger.wakes_s + charger.starts_s:
        return ChargerState(connected, 0.0, open_volts)
    ohm = 0.0 if supply.is_direct else supply.line_mOhm / 1e3
    volts = open_volts - ohm * state.amps
    taken = wanted_W if supply.is_direct else charger.taken_W(wanted_W)
    goal = min(
        max(taken, 0.0) / (supply.phases * volts), ceiling_A(charger, supply, offered_A, volts)
    )
    rise, fall = charger.ramp_A_per_s * dt_s, charger.falls_A_per_s * dt_s
    amps = state.amps + min(max(goal - state.amps, -fall), rise)
    return ChargerState(connected, amps, open_volts - ohm * amps)
