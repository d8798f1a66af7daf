"""The cabin: air, what stands in it, and the windscreen; heaters, blower, a set point."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from thawline.simulator.tables import constant


@dataclass(frozen=True)
class Cabin:
    """What a cabin is built of.

    Parameters
    ----------
    heaters_W : mapping of str to float
        Largest power of each heater by its name [W].
    elements : int
        Elements that each heater is made of; each fails alone [1].
    air_kJ_per_K : float
        Heat capacity of the air and all that follows it at once [kJ/K].
    inside_kJ_per_K : float
        Heat capacity of seats, board and body [kJ/K].
    glass_kJ_per_K : float
        Heat capacity of the windscreen [kJ/K].
    air_inside_W_per_K : float
        Conductance from air to seats and board [W/K].
    air_glass_W_per_K, glass_ambient_W_per_K : float
        Conductance from air to windscreen and from there outside [W/K].
    body_W_per_K : float
        Conductance from air through the rest of the body outside [W/K].
    leak_kg_per_s, fresh_kg_per_s : float
        Outside air that comes in by itself, and with the blower [kg/s].
    glass_share : float
        Share of the heat that is blown onto the windscreen [1].
    gain_W_per_K : float
        Heat wanted per Kelvin below the set point [W/K].
    ramp_W_per_s : float
        How fast a heater changes its power [W/s].
    set_point_degC : float
        Temperature asked for unless the morning says otherwise [degC].
    comfortable_from_degC : float
        Air from which people are comfortable [degC].
    """

    heaters_W: Mapping[str, float] = field(default_factory=lambda: {"Main": 5000.0})
    elements: int = 3
    air_kJ_per_K: float = 14.0
    inside_kJ_per_K: float = 110.0
    glass_kJ_per_K: float = 11.0
    air_inside_W_per_K: float = 70.0
    air_glass_W_per_K: float = 18.0
    glass_ambient_W_per_K: float = 26.0
    body_W_per_K: float = 32.0
    leak_kg_per_s: float = 0.002
    fresh_kg_per_s: float = 0.018
    glass_share: float = 0.12
    gain_W_per_K: float = 2000.0
    ramp_W_per_s: float = 350.0
    set_point_degC: float = 21.0
    comfortable_from_degC: float = 18.0


@dataclass(frozen=True, slots=True)
class CabinState:
    """The cabin at an instant.

    Parameters
    ----------
    air, inside, glass : float
        Temperatures [degC].
    heaters_W : tuple of float
        Power of each heater [W].
    lost_J : float
        Heat given to the outside since the start [J].
    """

    air: float
    inside: float
    glass: float
    heaters_W: tuple[float, ...]
    lost_J: float = 0.0


def heated_W(
    cabin: Cabin,
    state: CabinState,
    set_point_degC: float | None,
    dead: Mapping[str, float],
    dt_s: float,
) -> tuple[float, ...]:
    """Find the power of each heater during a step.

    Parameters
    ----------
    cabin : Cabin
        The build.
    state : CabinState
        The cabin.
    set_point_degC : float or None
        Temperature asked for; None: nothing is asked for [degC].
    dead : mapping of str to float
        Share of a heater that has failed, by name [1].
    dt_s : float
        Length of the step [s].

    Returns
    -------
    tuple of float
        Powers in the order of the build [W].
    """
    wanted = 0.0
    if set_point_degC is not None:
        wanted = max(0.0, cabin.gain_W_per_K * (set_point_degC - state.air))
    whole = sum(cabin.heaters_W.values())
    share = min(1.0, wanted / whole) if whole else 0.0
    most = cabin.ramp_W_per_s * dt_s
    found = []
    for (name, full), before in zip(cabin.heaters_W.items(), state.heaters_W, strict=True):
        goal = share * full * (1.0 - dead.get(name, 0.0))
        found.append(before + min(max(goal - before, -most), most))
    return tuple(found)


def step(
    cabin: Cabin,
    state: CabinState,
    heaters_W: tuple[float, ...],
    blows: bool,
    ambient_degC: float,
    dt_s: float,
) -> CabinState:
    """Move the cabin on by one step.

    Parameters
    ----------
    cabin : Cabin
        The build.
    state : CabinState
        The cabin.
    heaters_W : tuple of float
        Power of each heater [W].
    blows : bool
        Whether the blower runs.
    ambient_degC : float
        Air outside [degC].
    dt_s : float
        Length of the step [s].

    Returns
    -------
    CabinState
        The cabin after the step.
    """
    made = sum(heaters_W)
    onto_glass = cabin.glass_share * made
    to_inside = cabin.air_inside_W_per_K * (state.air - state.inside)
    to_glass = cabin.air_glass_W_per_K * (state.air - state.glass)
    moved = cabin.leak_kg_per_s + (cabin.fresh_kg_per_s if blows else 0.0)
    outward = cabin.body_W_per_K + moved * constant("air_heat_J_per_kgK")
    lost = outward * (state.air - ambient_degC)
    glass_lost = cabin.glass_ambient_W_per_K * (state.glass - ambient_degC)
    air_W = made - onto_glass - to_inside - to_glass - lost
    return CabinState(
        state.air + air_W * dt_s / (cabin.air_kJ_per_K * 1e3),
        state.inside + to_inside * dt_s / (cabin.inside_kJ_per_K * 1e3),
        state.glass + (to_glass + onto_glass - glass_lost) * dt_s / (cabin.glass_kJ_per_K * 1e3),
        heaters_W,
        state.lost_J + (lost + glass_lost) * dt_s,
    )


def heat_content_J(cabin: Cabin, state: CabinState) -> float:
    """Find the heat that the cabin holds above 0 °C.

    Parameters
    ----------
    cabin : Cabin
        The build.
    state : CabinState
        The cabin.

    Returns
    -------
    float
        Heat [J].
    """
    kJ = (
        cabin.air_kJ_per_K * state.air
        + cabin.inside_kJ_per_K * state.inside
        + cabin.glass_kJ_per_K * state.glass
    )
    return kJ * 1e3
