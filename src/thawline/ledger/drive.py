r"""Electrical energy of driving.

From the drive units' power where it is recorded; else from the speed, by the road load of a
usual car on a level road; where there is neither, a drive cannot be excluded, and the line
says how much energy left the pack unexplained.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.ledger.basis import ON_KW, Basis
from thawline.ledger.bridging import BESIDE_S, holes
from thawline.ledger.energy import HOUR_S, energy
from thawline.ledger.uncertain import UFloat, around, cause, deviation, nominal, prior
from thawline.physics.air import air_density_kg_per_m3
from thawline.physics.roadload import road_load_N, road_power_kW
from thawline.recording.powers import MOTOR, paths_like

#: Less than this was no drive [km].
LEAST_KM = 0.05
#: The speed is averaged over so many ticks before it is differentiated [1].
SMOOTH_TICKS = 5
#: The car moves above this [km/h].
MOVES_KMH = 1.0
#: Power that leaves a pack unexplained looks like a drive from this on [kW].
LIKE_A_DRIVE_KW = 1.5
#: Parameters of the road load, as the table of priors names them.
ROAD = ("car_mass", "car_rolling", "car_drag_area")


def _recorded(basis: Basis) -> tuple[UFloat, str, str, float] | None:
    power = basis.powers["driving"]
    if not np.any(np.abs(power.kW) > 0.0):
        return None
    efficiency = prior("driving_efficiency")
    drives = energy(power, basis.sensors, power.kW > 0.0)
    brakes = energy(power, basis.sensors, power.kW <= 0.0)
    net = drives.kWh / efficiency + brakes.kWh * efficiency
    note = (
        "driving, less regeneration: mechanical power of the drive units over an efficiency "
        f"of {nominal(efficiency):.0%}"
    )
    return net, "derived", note, drives.bridged_kWh + brakes.bridged_kWh


def _both_ways_kWh(
    speed: NDArray[np.float64], step_s: float, air: float, road: dict[str, float]
) -> tuple[float, float]:
    """Energy at the wheels that drives, and that brakes [kWh]."""
    kernel = np.ones(SMOOTH_TICKS) / SMOOTH_TICKS
    padded = np.pad(speed, SMOOTH_TICKS // 2, mode="edge")
    v = np.convolve(padded, kernel, "valid")
    rate = np.gradient(v / 3.6, step_s) if len(v) > 1 else np.zeros(len(v))
    force = road_load_N(
        v,
        road["car_mass"],
        road["car_rolling"],
        road["car_drag_area"],
        air,
        acceleration_m_per_s2=rate,
    )
    kW = road_power_kW(force, v)
    per_tick = step_s / HOUR_S
    return float(np.sum(np.maximum(kW, 0.0))) * per_tick, float(
        np.sum(np.minimum(kW, 0.0))
    ) * per_tick


def _by_speed(basis: Basis, speed: NDArray[np.float64]) -> tuple[UFloat, str, str, float] | None:
    v = np.abs(np.nan_to_num(np.where(basis.moves, speed, 0.0)))
    step_s = basis.flows.step_s
    km = float(np.sum(v)) * step_s / HOUR_S
    if km < LEAST_KM:
        return None
    outside = basis.channel("Exterior.AirTemperature")
    air = float(air_density_kg_per_m3(0.0 if outside is None else float(np.nanmedian(outside))))
    priors = {name: prior(name) for name in ROAD}
    road = {name: nominal(value) for name, value in priors.items()}
    drives, brakes = (around(kWh, 0.0) for kWh in _both_ways_kWh(v, step_s, air, road))
    for name, value in priors.items():
        more = {**road, name: road[name] + deviation(value)}
        by = cause(1.0)
        up, down = _both_ways_kWh(v, step_s, air, more)
        drives = drives + by * (up - nominal(drives))
        brakes = brakes + by * (down - nominal(brakes))
    efficiency = prior("driving_efficiency")
    net = drives / efficiency + brakes * efficiency * prior("regeneration_share")
    net = net * prior("road_share")
    note = f"driving of {km:.1f} km by a usual car's road load, since its power is not recorded"
    unseen_h = _driven_unseen_h(speed, step_s)
    moved_h = float(np.count_nonzero(v > MOVES_KMH)) * step_s / HOUR_S
    if not unseen_h or not moved_h:
        return net, "assumed", note, 0.0
    # through a hole in a drive it may have gone on as before, or stood at any light
    hidden = nominal(net) * unseen_h / moved_h
    net = net + around(0.5 * hidden, 0.0) + cause(0.5 * hidden)
    note += f"; for {unseen_h * 60.0:.0f} min of it the speed is not known"
    return net, "assumed", note, 0.5 * hidden


def _driven_unseen_h(speed: NDArray[np.float64], step_s: float) -> float:
    """Add up the holes before and after which the car moved [h]."""
    beside, hours = int(BESIDE_S / step_s), 0.0
    for first, last in holes(~np.isnan(speed)):
        before, after = speed[max(0, first - beside) : first], speed[last : last + beside]
        sides = [np.any(np.nan_to_num(np.abs(side)) > MOVES_KMH) for side in (before, after)]
        hours += (last - first) * step_s / HOUR_S if all(sides) else 0.0
    return hours


def _unexplained(basis: Basis) -> tuple[UFloat, str, str, float] | None:
    """Energy that left the pack and that no consumer explains, where a drive may be hidden."""
    pack = basis.powers.get("pack")
    if pack is None:
        return None
    left = -pack.kW.copy()
    for name in ("drive-unit-heating", "cabin-heating", "pack-heater", "low-voltage"):
        if name in basis.powers:
            left -= basis.powers[name].kW
    supply = basis.powers.get("supply")
    off = np.ones(len(left), dtype=bool) if supply is None else supply.kW < ON_KW
    swings = off & (np.abs(left) > LIKE_A_DRIVE_KW)
    width = abs(float(np.sum(left[swings]))) * pack.step_s / HOUR_S
    if width < 0.02:
        return None
    note = (
        "neither speed nor power of the drive units is recorded, and the pack gave "
        f"{width:.2f} kWh that look like a drive"
    )
    return cause(width), "assumed", note, 0.0


def driving(basis: Basis) -> tuple[UFloat, str, str, float] | None:
    """Find the electrical energy of driving, less what regeneration gave back.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    tuple or None
        Energy [kWh], origin, note and the part that was bridged [kWh]; None where the car
        stood.
    """
    if "driving" in basis.powers:
        return _recorded(basis)
    speed = basis.channel("Speed")
    if speed is not None:
        return _by_speed(basis, speed)
    turns = [MOTOR + "Speed", *paths_like(basis.recording, MOTOR, ".Speed")]
    if any(path in basis.recording.channels for path in turns) and not np.any(basis.moves):
        return None
    return _unexplained(basis)
