"""Driving: road load, regeneration within its limit, and what the drive units lose."""

from __future__ import annotations

from dataclasses import dataclass

from thawline.simulator.tables import constant


@dataclass(frozen=True)
class Road:
    """What driving takes.

    Parameters
    ----------
    mass_kg : float
        Mass with driver [kg].
    rolling : float
        Coefficient of rolling resistance [1].
    drag_m2 : float
        Drag coefficient times frontal area [m2].
    efficiency : float
        Share of power that drive units pass on, either way [1].
    rpm_per_km_per_h : float
        Speed of the motors by the car's [rpm*h/km].
    """

    mass_kg: float = 1950.0
    rolling: float = 0.010
    drag_m2: float = 0.60
    efficiency: float = 0.90
    rpm_per_km_per_h: float = 80.0


@dataclass(frozen=True, slots=True)
class Driving:
    """Powers of driving at an instant.

    Parameters
    ----------
    electrical_W : float
        Power that the drive units take; negative when they give [W].
    mechanical_W : float
        Power at their shafts; negative when regenerating [W].
    """

    electrical_W: float = 0.0
    mechanical_W: float = 0.0

    @property
    def loss_W(self) -> float:
        """Heat in the drive units [W]."""
        return self.electrical_W - self.mechanical_W


def driving(
    road: Road,
    speed_m_per_s: float,
    gain_m_per_s2: float,
    ambient_degC: float,
    regeneration_kW: float,
    most_W: float,
) -> Driving:
    """Find the powers of driving.

    Parameters
    ----------
    road : Road
        What driving takes.
    speed_m_per_s : float
        Speed [m/s].
    gain_m_per_s2 : float
        Acceleration [m/s2].
    ambient_degC : float
        Air outside [degC].
    regeneration_kW : float
        Highest regenerative power on the electrical side; brakes do the rest [kW].
    most_W : float
        Power that the pack can spare; the car asks for no more [W].

    Returns
    -------
    Driving
        The powers.
    """
    if speed_m_per_s <= 0.0:
        return Driving()
    density = constant("standard_pressure") / (
        constant("air_gas_constant") * (ambient_degC + constant("zero_degC"))
    )
    force = (
        road.mass_kg * (constant("gravity") * road.rolling + gain_m_per_s2)
        + 0.5 * density * road.drag_m2 * speed_m_per_s**2
    )
    wheels = force * speed_m_per_s
    if wheels >= 0.0:
        taken = min(wheels / road.efficiency, max(most_W, 0.0))
        return Driving(taken, taken * road.efficiency)
    back = min(-wheels * road.efficiency, regeneration_kW * 1e3)
    return Driving(-back, -back / road.efficiency)
