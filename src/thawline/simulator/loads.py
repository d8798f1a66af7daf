"""Small loads: what the low-voltage converter feeds while the car is awake."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Loads:
    """What small loads take.

    Parameters
    ----------
    awake_W : float
        Computers, lights and relays [W].
    pump_W : float
        The coolant pump at full speed [W].
    blower_W : float
        The cabin's blower [W].
    sway_W : float
        How far it all sways [W].
    converter_V : float
        Voltage that the converter holds in the frost, without load [V].
    line_mOhm : float
        Resistance between converter and low-voltage battery [mOhm].
    battery_V, battery_mOhm, battery_Ah : float
        Low-voltage battery: voltage at rest [V], resistance [mOhm], charge [Ah].
    """

    awake_W: float = 270.0
    pump_W: float = 60.0
    blower_W: float = 140.0
    sway_W: float = 25.0
    converter_V: float = 14.0
    line_mOhm: float = 6.0
    battery_V: float = 12.6
    battery_mOhm: float = 12.0
    battery_Ah: float = 40.0


def low_voltage_W(loads: Loads, pump_speed: float, blows: bool, sway: float) -> float:
    """Find what the low-voltage converter takes.

    Parameters
    ----------
    loads : Loads
        The build.
    pump_speed : float
        Speed of the pump over its full speed [1].
    blows : bool
        Whether the blower runs.
    sway : float
        Chance, about −1 to 1 [1].

    Returns
    -------
    float
        Power [W].
    """
    blower = loads.blower_W if blows else 0.0
    return loads.awake_W + loads.pump_W * pump_speed**3 + blower + loads.sway_W * sway
