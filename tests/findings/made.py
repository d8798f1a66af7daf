"""A morning on which everything is as it should be, made by hand, and what changes on it.

Ten minutes of rest at −10 °C, then fifty of heat: a warm-up by arithmetic, without a simulator.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from tests.ledger.made import BATTERY, CHARGING, MOTOR, Values, recording
from thawline.findings.find import find
from thawline.findings.finding import Figures, Findings
from thawline.ledger.account import account
from thawline.physics.glycol import density_kg_per_m3, specific_heat_J_per_kgK
from thawline.recording.flows import make_flows
from thawline.story.tell import tell

INLET, OUTLET = (BATTERY + f"Coolant.{w}Temperature" for w in ("Inlet", "Outlet"))
FLOW, COLDEST, MEAN = (
    BATTERY + "Coolant.Flow", BATTERY + "Temperature.Min", BATTERY + "Temperature.Average",
)  # fmt: skip
CURRENT, VOLTAGE = BATTERY + "CurrentCurrent", BATTERY + "CurrentVoltage"
LEFT, RIGHT = (f"Cabin.HVAC.Heater.{w}.Power" for w in ("Left", "Right"))
LOW = "LowVoltageBattery.CurrentVoltage"
#: When heat begins [s]; the power of two drive units together [kW]; cold [degC]; flow [l/min].
BEGINS_S, HEAT_KW, COLD_DEGC, LITRES = 600.0, 5.0, -10.0, 8.0


def _carries(litres: float = LITRES) -> float:
    """What a flow carries [kW/K]."""
    kg = litres / 60e3 * float(density_kg_per_m3(0.5, 0.0))
    return kg * float(specific_heat_J_per_kgK(0.5, 0.0)) / 1e3


def on(t: np.ndarray, begin_s: float = BEGINS_S) -> np.ndarray:
    """One from an instant on."""
    return (t >= begin_s).astype(float)


def mean(t: np.ndarray) -> np.ndarray:
    """The pack: 0.5 K/min once heat is on."""
    return COLD_DEGC + 0.5 / 60.0 * np.maximum(t - BEGINS_S - 60.0, 0.0)


def outlet(t: np.ndarray) -> np.ndarray:
    """Coolant behind the pack."""
    return mean(t) + 2.0 * (1.0 - np.exp(-np.maximum(t - BEGINS_S, 0.0) / 120.0))


def inlet(t: np.ndarray) -> np.ndarray:
    """Coolant before the pack: what the heat makes of it, metal and hoses aside."""
    rises = 1.0 - np.exp(-np.maximum(t - BEGINS_S, 0.0) / 150.0)
    return outlet(t) + (HEAT_KW - 0.35) / _carries() * rises


def coldest(t: np.ndarray) -> np.ndarray:
    """The coldest cell: as the mean, five minutes later."""
    return mean(np.maximum(t - 300.0, 0.0))


def cabin(t: np.ndarray) -> np.ndarray:
    """Power of one of the cabin's heaters [W]."""
    return 1500.0 * on(t, 900.0)


def current(t: np.ndarray) -> np.ndarray:
    """What the balance of powers leaves to the pack [A]."""
    return (5.2 * on(t, 120.0) - HEAT_KW * on(t) - 2.0 * cabin(t) / 1e3 - 0.4) / 0.35


def noisy(values: Callable[[np.ndarray], np.ndarray], sigma: float, step: float, seed: int):
    """A sensor's noise and step on it."""

    def made(t: np.ndarray) -> np.ndarray:
        off = np.random.default_rng(seed).normal(0.0, sigma, len(t))
        return np.round((values(t) + off) / step) * step

    return made


SOUND: dict[str, Values] = {
    CHARGING + "ChargeCurrent.Phase1": noisy(lambda t: 24.0 * on(t, 120.0), 0.05, 0.1, 1),
    CHARGING + "ChargeVoltage.Phase1": noisy(lambda t: 238.0 - 6.0 * on(t, 120.0), 0.2, 0.1, 2),
    CHARGING + "OutputPower": noisy(lambda t: 5.2 * on(t, 120.0), 0.01, 0.01, 3),
    CHARGING + "IsRequested": lambda t: on(t, 60.0),
    BATTERY + "Limits.ChargePower": lambda t: 4.0 * np.maximum(coldest(t) - 0.5, 0.0),
    MOTOR + "Front.StandstillHeat": noisy(lambda t: 0.5 * HEAT_KW * on(t), 0.01, 0.01, 4),
    MOTOR + "Rear.StandstillHeat": noisy(lambda t: 0.5 * HEAT_KW * on(t), 0.01, 0.01, 5),
    MOTOR + "Front.Temperature": noisy(lambda t: inlet(t) + 40.0 * on(t), 0.2, 1.0, 6),
    LEFT: noisy(cabin, 8.0, 10.0, 7),
    RIGHT: noisy(cabin, 8.0, 10.0, 8),
    BATTERY + "DCDC.InputPower": 400.0,
    CURRENT: noisy(current, 0.05, 0.1, 9),
    VOLTAGE: noisy(lambda t: 350.0 + 0.2 * current(t), 0.05, 0.1, 10),
    INLET: noisy(inlet, 0.1, 0.1, 11),
    OUTLET: noisy(outlet, 0.1, 0.1, 12),
    FLOW: noisy(lambda t: LITRES * on(t), 0.05, 0.1, 13),
    COLDEST: noisy(coldest, 0.05, 0.1, 14),
    MEAN: noisy(mean, 0.05, 0.1, 15),
    LOW: noisy(lambda t: 13.8 + 0.0 * t, 0.03, 0.05, 16),
    "Exterior.AirTemperature": COLD_DEGC,
    "Speed": 0.0,
}


def looked(
    changes: dict[str, Values | None] | None = None, earlier: Sequence[Figures] = ()
) -> Findings:
    """Look at the sound morning with other channels in it; None takes a channel out."""
    values = {**SOUND, **(changes or {})}
    made = recording({p: v for p, v in values.items() if v is not None})
    flows = make_flows(made)
    story = tell(made, flows)
    return find(made, flows, story, account(made, flows, story), earlier)


def kinds_of(found: Findings) -> list[str]:
    """Kinds of what was found; accounts that do not close aside."""
    return [one.kind for one in found.found if not one.kind.endswith("-account-open")]
