"""Mornings drawn at random, with a truth: lumped, and written apart from the simulator.

Sensors err as their vehicle files state: a gain and a zero drawn once, noise per sample,
rounding to a step, a sampling of their own. The truth is summed at 0.2 s before any sensor.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.ledger.made import BATTERY, CHARGING, MOTOR
from thawline.quantities import Accuracy
from thawline.recording.recording import Channel, Gap, Recording
from thawline.recording.sensor import noise, period, resolution, stale_after
from thawline.signals.catalogue import find_signal
from thawline.vehicle.vehicle import Charger, Coolant, DriveUnits, Pack, Vehicle

STEP_S = 0.2


@dataclass(frozen=True)
class Morning:
    """A recording and the true energies of its lines [kWh]."""

    recording: Recording
    electrical: dict[str, float]
    heat: dict[str, float]


def _sensor(rng, path, t, truth, accuracy, step, sigma, period_s, gaps) -> Channel:
    name = find_signal(path)
    at = np.arange(rng.uniform(0.0, min(period_s, 1.0)), t[-1], period_s)
    for gap in gaps:
        at = at[(at <= gap.from_s) | (at >= gap.to_s)]
    values = np.interp(at, t, truth) * (1.0 + rng.normal(0.0, accuracy.relative + 1e-12))
    values = values + rng.normal(0.0, accuracy.absolute + 1e-12)
    values = values + rng.normal(0.0, sigma + 1e-12, len(at))
    values = np.round(values / step) * step
    spans = tuple((gap.from_s, gap.to_s) for gap in gaps)
    return Channel(
        path,
        name.unit,
        at,
        values,
        resolution=resolution(values),
        noise=noise(values),
        period_s=period(at),
        stale_after_s=stale_after(at, spans, is_state=False),
        accuracy=accuracy,
    )


def _blocks(rng, t, levels, spread_s) -> np.ndarray:
    edges = np.sort(rng.uniform(0.0, t[-1], len(levels) - 1))
    on = np.asarray(levels)[np.searchsorted(edges, t)]
    width = max(1, round(spread_s / STEP_S))
    return np.convolve(np.pad(on, width, mode="edge"), np.ones(width) / width, "same")[width:-width]


def morning(
    seed: int, *, gap: bool = False, converter: bool = True, drive: bool = False
) -> Morning:
    """Draw a morning."""
    rng = np.random.default_rng(seed)
    duration = rng.uniform(2400.0, 6000.0)
    t = np.arange(0.0, duration, STEP_S)
    count, energy = int(rng.integers(1, 3)), rng.uniform(40.0, 90.0)
    volts_ac, amps_ac = rng.choice([120.0, 208.0, 240.0]), rng.choice([12.0, 24.0, 32.0, 48.0])
    supply = _blocks(rng, t, [0.0, 1.0, 1.0, rng.choice([0.0, 1.0]), 1.0], 20.0)
    supply = supply * volts_ac * amps_ac / 1e3
    efficiency = rng.normal(0.92, 0.02)
    loss = supply * (1.0 - efficiency)
    heating = _blocks(rng, t, [0.0, 3.4, 3.4, 0.0, 2.0], 10.0)
    cabin = _blocks(rng, t, [0.0, rng.uniform(1.0, 5.0), 0.7, 0.0], 15.0)
    busy = (heating * count > 0.1) | (cabin > 0.1)
    low = rng.uniform(0.2, 0.4) + busy * rng.uniform(0.0, 0.25)
    shaft = np.zeros(len(t))
    if drive:
        moves = t > 0.75 * duration
        strokes = 12.0 * np.sin(t / 6.0) + 8.0 * np.sin(t / 2.3) + 6.0
        shaft = np.where(moves, strokes, 0.0)
        supply, loss = np.where(moves, 0.0, supply), np.where(moves, 0.0, loss)
        heating = np.where(moves, 0.0, heating)
    drive_share = float(np.clip(rng.normal(0.90, 0.04), 0.8, 0.97))
    driving = np.where(shaft > 0.0, shaft / drive_share, shaft * drive_share)
    pack = supply - loss - heating * count - cabin - low - driving
    cells = int(rng.choice([96, 108, 192]))
    open_V = cells * 3.6
    capacity_stated = energy * rng.uniform(4.0, 7.0)
    C = capacity_stated * rng.normal(1.0, 0.10)
    stated_UA = energy * rng.uniform(0.08, 0.3)
    UA = stated_UA * rng.normal(1.0, 0.25)
    outside = rng.uniform(-25.0, 2.0)
    R25 = rng.uniform(0.6, 1.6) * cells * 0.08 / (energy * 1e3 / open_V)
    T, Tc, Tm = outside + rng.uniform(0.0, 5.0), 0.0, 0.0
    Tc = Tm = T
    Cm = 22.0 * count * max(rng.normal(1.0, 0.25), 0.4)
    Tw, Cw = Tm, 0.18 * Cm  # a winding stands tens of kelvin above the iron while it heats
    litres = rng.uniform(6.0, 12.0)
    Cc, flow = litres * 3.45, rng.uniform(8.0, 20.0)
    track = {name: np.empty(len(t)) for name in ("T", "in", "out", "m", "i", "u", "jr", "amb", "q")}
    W = flow / 60.0 * 1.075 * 3.19  # kW/K, near the glycol's own at -5 degC
    for k in range(len(t)):
        R = R25 * np.exp(27e3 / 8.314 * (1.0 / (T + 273.15) - 1.0 / 298.15))
        i = pack[k] * 1e3 / open_V
        i = pack[k] * 1e3 / (open_V + i * R)
        q = W * (1.0 - np.exp(-1.2 / W)) * (Tc - T)
        joule, lost = i * i * R / 1e3, UA * (T - outside) / 1e3
        to_c, to_m = 0.3 * count * (Tm - Tc), 0.075 * count * (Tw - Tm)
        for name, value in zip(
            track, (T, Tc, Tc - q / W, Tw, i, open_V + i * R, joule, lost, q), strict=True
        ):
            track[name][k] = value
        T += (q + joule - lost) / C * STEP_S
        Tc += (to_c - q) / Cc * STEP_S
        Tm += (0.15 * heating[k] * count + to_m - to_c) / (Cm - Cw) * STEP_S
        Tw += (0.85 * heating[k] * count - to_m) / Cw * STEP_S
    kWh = STEP_S / 3600.0
    electrical = {
        "supply": supply.sum() * kWh,
        "charger-loss": loss.sum() * kWh,
        "drive-unit-heating": heating.sum() * count * kWh,
        "cabin-heating": cabin.sum() * kWh,
        "other-loads": (low + driving).sum() * kWh,
        "pack-in": np.maximum(pack, 0.0).sum() * kWh,
        "pack-out": np.maximum(-pack, 0.0).sum() * kWh,
        "unaccounted": 0.0,
    }
    heat = {
        "drive-unit-heating": electrical["drive-unit-heating"],
        "cell-resistance": track["jr"].sum() * kWh,
        "coolant-into-pack": track["q"].sum() * kWh,
        "stored-in-pack": C * (T - track["T"][0]) / 3600.0,
        "pack-to-ambient": track["amb"].sum() * kWh,
        "stored-elsewhere": (
            (Cm - Cw) * (Tm - track["m"][0])
            + Cw * (Tw - track["m"][0])
            + Cc * (Tc - track["in"][0])
        )
        / 3600.0,
        "unaccounted": 0.0,
    }
    gaps = (Gap(0.4 * duration, 0.4 * duration + 240.0),) if gap else ()
    coarse = rng.choice([1.0, 4.0])
    period_s = float(rng.choice([0.2, 1.0, 2.0]))
    nothing = np.zeros(len(t))
    rows = [
        (CHARGING + "ChargeCurrent.Phase1", supply * 1e3 / volts_ac, 0.015, 0.05, 0.1, 0.05),
        (CHARGING + "ChargeVoltage.Phase1", volts_ac + nothing, 0.01, 0.0, 0.5, 0.3),
        (CHARGING + "OutputPower", supply - loss, 0.01, 0.0, 0.01, 0.005),
        (BATTERY + "CurrentCurrent", track["i"], 0.01, 0.1, 0.1, 0.2),
        (BATTERY + "CurrentVoltage", track["u"], 0.005, 0.0, 0.1, 0.05),
        ("Cabin.HVAC.Heater.Air.Power", cabin * 1e3, 0.03, 0.0, 20.0, 5.0),
        (BATTERY + "Temperature.Average", track["T"], 0.0, 0.8, 0.125, 0.02),
        (BATTERY + "Coolant.InletTemperature", track["in"], 0.0, 0.4, 0.125, 0.05),
        (BATTERY + "Coolant.OutletTemperature", track["out"], 0.0, 0.4, 0.125, 0.05),
        (BATTERY + "Coolant.Flow", flow + nothing, 0.04, 0.1, 0.1, 0.1),
        ("Exterior.AirTemperature", outside + nothing, 0.0, 1.0, 0.25, 0.05),
        ("Speed", np.where(np.abs(shaft) > 0.0, 40.0, 0.0), 0.0, 0.0, 0.1, 0.0),
    ]
    for n in range(count):
        rows.append((f"{MOTOR}Unit{n}.StandstillHeat", heating, 0.03, 0.0, 0.01, 0.01))
        rows.append((f"{MOTOR}Unit{n}.Temperature", track["m"], 0.0, 2.0, 0.5, 0.1))
    if converter:
        rows.append((BATTERY + "DCDC.InputPower", low * 1e3, 0.05, 5.0, 5.0, 3.0))
    if drive:
        rows.append((MOTOR + "Power", shaft, 0.02, 0.0, 0.1, 0.05))
    channels = {
        path: _sensor(
            rng, path, t, truth, Accuracy(zero, gain), step * coarse, sigma, period_s, gaps
        )
        for path, truth, gain, zero, step, sigma in rows
    }
    vehicle = Vehicle(
        "Petrel",
        Pack(energy, cells, capacity_stated, chemistry="NMC", heat_loss_W_per_K=stated_UA),
        DriveUnits(count),
        charger=Charger(),
        coolant=Coolant(0.5, litres),
    )
    return Morning(
        Recording("drawn", vehicle, 0.0, float(duration), channels, gaps), electrical, heat
    )
