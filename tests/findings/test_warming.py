"""Slower warming than on earlier mornings, and what holds the heat back."""

import numpy as np

from tests.findings.made import BATTERY, CHARGING, HEAT_KW, LEFT, MOTOR, RIGHT, kinds_of, looked, on

FRONT, REAR = (MOTOR + f"{w}.StandstillHeat" for w in ("Front", "Rear"))
AMPS = CHARGING + "ChargeCurrent.Phase1"
#: Cells so cold that any control asks for all its heat.
COLD = {BATTERY + "Temperature.Min": -8.0, "Exterior.AirTemperature": -12.0}


def heats(share: float, amps):
    """Both drive units give a share of their heat, and the supply that current."""

    def unit(t: np.ndarray) -> np.ndarray:
        return 0.5 * share * HEAT_KW * on(t)

    return {**COLD, FRONT: unit, REAR: unit, AMPS: amps, LEFT: 0.0, RIGHT: 0.0}


def later(t: np.ndarray) -> np.ndarray:
    """Twelve amperes while the pack is heated, twenty-four at the end."""
    return 12.0 * on(t, 120.0) + 12.0 * on(t, 3300.0)


def test_half_the_heat_with_supply_to_spare_is_told():
    """Twice as much is drawn later that morning: the supply holds nothing back."""
    before = [looked(heats(1.0, lambda t: 24.0 * on(t, 120.0))).figures] * 2
    assert "slower-warming" in kinds_of(looked(heats(0.5, later), before))


def test_half_the_heat_on_half_the_supply_is_nothing():
    """What the outlet does not give the car cannot heat with."""
    before = [looked(heats(1.0, lambda t: 24.0 * on(t, 120.0))).figures] * 2
    found = looked(heats(0.5, lambda t: 12.0 * on(t, 120.0)), before)
    assert "slower-warming" not in kinds_of(found)
