"""The car as it is at an instant: what is broken, and what wind, snow and open doors do to it."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from thawline.simulator import loop
from thawline.simulator.build import Build
from thawline.simulator.events import Fault, within
from thawline.simulator.scenario import Scenario

#: Faults that make another car of it.
BUILDS = (
    "module-contact", "module-resistance", "module-capacity", "module-joint", "lossy-charger",
    "charging-refused", "aged-cells", "fouled-plate",
)  # fmt: skip
#: Heat that an open door lets out of the cabin [W/K].
DOOR_W_PER_K = 70.0
#: Share of the pack's loss that deep snow keeps back, and by which it makes hoses lose more [1].
SNOW_KEEPS, SNOW_COOLS = 0.4, 0.5
#: A supply's voltage falls and recovers in this time [s].
SAGS_IN_S = 3.0


def as_it_is(build: Build, scenario: Scenario, t_s: float) -> tuple[Build, Scenario]:
    """Find the car and its supply at an instant.

    Parameters
    ----------
    build : Build
        The vehicle when sound.
    scenario : Scenario
        The morning.
    t_s : float
        The instant [s].

    Returns
    -------
    Build
        The vehicle as it is; the same object where nothing changes it.
    Scenario
        The morning with the supply as it is.
    """
    acting = tuple(f for f in scenario.faults if f.what in BUILDS and f.acts(t_s))
    is_open = within(scenario.doors_s, t_s)
    weather = (scenario.wind, scenario.snow)
    car = build
    if acting or is_open or weather != (1.0, 0.0):
        car = _changed(acting, is_open, weather, _Held(build))
    extra = sum(f.size for f in scenario.faults if f.what == "line-resistance" and f.acts(t_s))
    if extra and scenario.supply is not None:
        line = scenario.supply.line_mOhm + extra
        return car, replace(scenario, supply=replace(scenario.supply, line_mOhm=line))
    return car, scenario


class _Held:
    """A build that is not looked at when calls are compared: its identity was given."""

    def __init__(self, build: Build) -> None:
        self.build = build

    def __hash__(self) -> int:
        return id(self.build)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held) and other.build is self.build


@lru_cache(maxsize=64)
def _changed(
    acting: tuple[Fault, ...], is_open: bool, weather: tuple[float, float], held: _Held
) -> Build:
    build = held.build
    wind, snow = weather
    pack, coolant, units, cabin = build.pack, build.coolant, build.drive_units, build.cabin
    body = cabin.body_W_per_K * wind + (DOOR_W_PER_K if is_open else 0.0)
    hoses = coolant.hose_W_per_K * wind * (1.0 + SNOW_COOLS * snow)
    keeps = pack.ambient_W_per_K * wind * (1.0 - SNOW_KEEPS * snow)
    build = replace(
        build,
        pack=replace(pack, ambient_W_per_K=keeps),
        coolant=replace(coolant, hose_W_per_K=hoses),
        drive_units=replace(units, ambient_W_per_K=units.ambient_W_per_K * wind),
        cabin=replace(cabin, body_W_per_K=body),
    )
    for fault in acting:
        build = _broken(build, fault)
    return build


def _broken(build: Build, fault: Fault) -> Build:
    pack, charger, limits = build.pack, build.charger, build.limits
    if fault.what.startswith("module-"):
        module = int(fault.where or 0)
        contact, resists = pack.weak_contact, pack.weak_resistance
        if fault.what == "module-contact":
            contact = fault.share
        elif fault.what == "module-resistance":
            resists = fault.size
        weak = replace(pack, weak_module=module, weak_contact=contact, weak_resistance=resists)
        if fault.what == "module-capacity":
            weak = replace(weak, weak_capacity=fault.share)
        elif fault.what == "module-joint":
            weak = replace(weak, weak_joint_mOhm=fault.size)
        return replace(build, pack=weak)
    if fault.what == "lossy-charger":
        lossy = replace(charger, loss_share=charger.loss_share + fault.size)
        return replace(build, charger=lossy)
    if fault.what == "charging-refused":
        later = replace(limits, charging_from_degC=limits.charging_from_degC + fault.size)
        return replace(build, limits=later)
    if fault.what == "aged-cells":
        aged = replace(pack, resistance_mOhm=pack.resistance_mOhm * (1.0 + fault.size))
        return replace(build, pack=aged)
    fouled = replace(pack, plate_W_per_K=pack.plate_W_per_K * (1.0 - fault.share))
    return replace(build, pack=fouled)


@lru_cache(maxsize=64)
def _ring(held: _Held) -> loop.Ring:
    build = held.build
    return loop.ring(build.coolant, build.pack.modules, len(build.drive_units.positions))


def ring_of(build: Build) -> loop.Ring:
    """Cut the loop of a car into volumes, once for each car.

    Parameters
    ----------
    build : Build
        The vehicle.

    Returns
    -------
    Ring
        The volumes.
    """
    return _ring(_Held(build))


def unit_shares(scenario: Scenario, positions: tuple[str, ...], t_s: float) -> tuple[float, ...]:
    """Find what is left of the heat of each drive unit.

    Parameters
    ----------
    scenario : Scenario
        The morning.
    positions : tuple of str
        The drive units.
    t_s : float
        The instant [s].

    Returns
    -------
    tuple of float
        Shares of what a sound one makes [1].
    """
    weak = scenario.broken("weak-unit", t_s)
    everywhere = 1.0 - weak.get("", 0.0)
    return tuple(everywhere * (1.0 - weak.get(name, 0.0)) for name in positions)


def sagging(scenario: Scenario, t: NDArray[np.float64]) -> NDArray[np.float64]:
    """Find what is left of the supply's voltage.

    Parameters
    ----------
    scenario : Scenario
        The morning.
    t : ndarray of float64, shape (n,)
        Times [s].

    Returns
    -------
    ndarray of float64, shape (n,)
        Share of the voltage [1].
    """
    left = np.ones(len(t))
    for fault in scenario.faults:
        if fault.what == "supply-sag":
            falls = np.clip((t - fault.from_s) / SAGS_IN_S, 0.0, 1.0)
            recovers = np.clip((t - fault.to_s) / SAGS_IN_S, 0.0, 1.0)
            left *= 1.0 - fault.share * (falls - recovers)
    return left
