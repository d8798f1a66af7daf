"""A linear car with known parameters, stepped by its differential equations in small steps."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from thawline.recording.flows import Flows, make_flows
from thawline.recording.recording import Channel, Recording
from thawline.recording.sensor import noise, period, resolution, stale_after
from thawline.signals.catalogue import find_signal
from thawline.story.story import Span, Story
from thawline.vehicle.vehicle import DriveUnits, Pack, Vehicle

BATTERY = "Powertrain.TractionBattery."
DT = 1.0


@dataclass(frozen=True)
class Truth:
    """True parameters in kJ/K, kW/K, s and 1; heat in kW."""

    capacity: float = 450.0
    loss: float = 0.012
    metal: float = 48.0
    metal_loss: float = 0.009
    metal_to_coolant: float = 0.2
    coolant: float = 33.0
    carries: float = 0.56
    fade: float = 0.8
    lag: float = 200.0
    rise: float = 3.0
    heat_kW: float = 6.8
    start_degC: float = -12.0
    outside_degC: float = -14.0
    wander_kW: float = 0.15
    heats_s: tuple[float, float] = (120.0, 3000.0)
    duration_s: float = 3600.0
    rows: int = 3
    with_hot: bool = True
    with_coldest: bool = True

    def named(self) -> dict[str, float]:
        """The parameters by the model's names."""
        return {
            "pack.heat_capacity": self.capacity,
            "pack.loss": self.loss,
            "metal.heat_capacity": self.metal,
            "metal.loss": self.metal_loss,
            "metal_to_coolant.conductance": self.metal_to_coolant,
            "coolant.heat_capacity": self.coolant,
            "coolant.carries": self.carries,
            "pack.fade": self.fade,
            "coldest.lag": self.lag,
            "winding.rise": self.rise,
            "heat.gain": 1.0,
        }


def run(car: Truth, seed: int) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """Step the car; coolant passes row after row."""
    rng = np.random.default_rng(seed)
    t = np.arange(0.0, car.duration_s, DT)
    metal = coolant = coldest = car.start_degC
    rows = np.full(car.rows, car.start_degC)
    wander = 0.0
    out = []
    beta = np.exp(-car.fade / car.rows)
    stir = car.wander_kW * np.sqrt(2.0 * DT / 600.0)
    for now in t:
        heat = car.heat_kW if car.heats_s[0] <= now < car.heats_s[1] else 0.0
        out.append((metal + car.rise * heat, coolant, rows.mean(), coldest, heat, rows[-1]))
        wander += -wander * DT / 600.0 + stir * rng.standard_normal()
        into = np.zeros(car.rows)
        if car.with_hot:
            passing = coolant
            for i in range(car.rows):
                behind = beta * passing + (1.0 - beta) * rows[i]
                into[i] = car.carries * (passing - behind)
                passing = behind
            across = car.metal_to_coolant * (metal - coolant)
            lost = car.metal_loss * (metal - car.outside_degC)
            metal += (heat - across - lost) * DT / car.metal
            coolant += (across - into.sum() - wander) * DT / car.coolant
        else:
            into[:] = heat / car.rows
        leak = car.loss * (rows - car.outside_degC) / car.rows
        before = rows[-1]
        rows = rows + (into + wander / car.rows - leak) * DT / (car.capacity / car.rows)
        coldest = coldest + (before - coldest) * DT / car.lag if car.with_coldest else rows.mean()
    names = ("winding", "coolant", "mean", "coldest", "heat", "last")
    return t, dict(zip(names, np.array(out).T, strict=True))


SENSORS = {
    "Rear.Temperature": ("winding", 0.5),
    "Coolant.InletTemperature": ("coolant", 0.2),
    "Temperature.Average": ("mean", 0.05),
    "Temperature.Min": ("coldest", 0.05),
}


def record(
    car: Truth, seed: int = 0, leave_out: tuple[str, ...] = (), step_K: float = 0.0
) -> tuple[Recording, Flows, Story]:
    """Record the car, with noise, and with rounding where a step is given."""
    t, true = run(car, seed)
    rng = np.random.default_rng(seed + 500)
    signals = {
        f"Powertrain.ElectricMotor.{path}" if path.startswith("Rear") else BATTERY + path: (
            true[name] + rng.normal(0.0, sd, len(t))
        )
        for path, (name, sd) in SENSORS.items()
        if path not in leave_out
    }
    if step_K:
        signals = {path: np.round(v / step_K) * step_K for path, v in signals.items()}
    signals["Powertrain.ElectricMotor.StandstillHeat"] = true["heat"]
    signals["Exterior.AirTemperature"] = np.full(len(t), car.outside_degC)
    if "Coolant.Flow" not in leave_out:
        signals[BATTERY + "Coolant.Flow"] = np.full(len(t), 10.0)
    channels = {
        path: channel_of(path, t + 0.5, values)
        for path, values in signals.items()
        if not any(path.endswith(left) for left in leave_out)
    }
    vehicle = Vehicle("Petrel", Pack(75.0, 96), DriveUnits(count=2))
    recording = Recording(f"linear-{seed}", vehicle, 0.0, car.duration_s, channels)
    heated = Span("pack-heating", *car.heats_s, car.heat_kW, "heat was made")
    return recording, make_flows(recording), Story(recording.id, (), (heated,))


def channel_of(path: str, t: np.ndarray, values: np.ndarray) -> Channel:
    """Make a channel with what its samples tell of its sensor."""
    signal = find_signal(path)
    assert signal is not None, path
    stale = stale_after(t, (), is_state=False)
    return Channel(
        path, signal.unit, t, values, False, resolution(values), noise(values), period(t), stale
    )


def without_hot(**changes: float) -> Truth:
    """A car that is one lump: heat goes straight into the pack."""
    return replace(Truth(with_hot=False, with_coldest=False, wander_kW=0.0), **changes)
