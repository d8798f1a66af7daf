"""What the car decides: when the drive units heat the pack, and how much."""

from __future__ import annotations

from dataclasses import dataclass

#: Stands for no target [degC].
NO_TARGET_DEGC = -1e9


@dataclass(frozen=True)
class Conditioning:
    """How the car warms its pack.

    Parameters
    ----------
    target_degC : float
        Coldest cell up to which it heats for charging or on request [degC].
    cabin_target_degC : float
        The same when only the cabin is wanted [degC].
    cabin_share : float
        Share of the drive units' heat that it uses then [1].
    taper_K : float
        How far below its target it begins to take the heat back [K].
    least_share : float
        Share that it keeps until the target is reached [1].
    restart_K : float
        How far the coldest cell must fall below the target before it heats again [K].
    told_restart_K : float
        The same where a temperature was asked for [K].
    pack_help_kW : float
        How much the pack may help to feed the heat while it waits to be charged [kW].
    begins_s : float
        How long it waits after it decides to heat [s].
    runs_on_s : float
        How long the pump runs on after the heat ended [s].
    heating_speed, idle_speed, driving_speed : float
        Speed of the pump while heating, while charging, while driving [1].
    """

    target_degC: float = 4.0
    cabin_target_degC: float = 1.0
    cabin_share: float = 0.35
    taper_K: float = 3.5
    least_share: float = 0.12
    restart_K: float = 4.0
    told_restart_K: float = 0.5
    pack_help_kW: float = 20.0
    begins_s: float = 3.0
    runs_on_s: float = 240.0
    heating_speed: float = 1.0
    idle_speed: float = 0.35
    driving_speed: float = 0.5


@dataclass(frozen=True, slots=True)
class Mood:
    """What the car is about.

    Parameters
    ----------
    wants_s : float
        How long it has wanted to heat; negative: it does not [s].
    reached_degC : float
        Highest target that was reached since the pack was cold; -1e9: none [degC].
    quiet_s : float
        How long the drive units have made no heat [s].
    """

    wants_s: float = -1.0
    reached_degC: float = NO_TARGET_DEGC
    quiet_s: float = 1e9


@dataclass(frozen=True, slots=True)
class Sight:
    """What the car decides by.

    Parameters
    ----------
    coldest_degC : float
        Coldest cell [degC].
    is_live : bool
        Whether a supply is there.
    wants_charge, wants_cabin, wants_pack, drives : bool
        What is asked for, and whether the car moves.
    pack_target_degC : float, optional
        Coldest cell that was asked for; None: the car's own target [degC].
    """

    coldest_degC: float
    is_live: bool
    wants_charge: bool
    wants_cabin: bool
    wants_pack: bool
    drives: bool
    pack_target_degC: float | None = None


def _aim(plan: Conditioning, sight: Sight) -> tuple[float, float]:
    """Find the target and the share of the heat that is used."""
    if sight.drives:
        return NO_TARGET_DEGC, 0.0
    if sight.wants_pack and sight.pack_target_degC is not None:
        return sight.pack_target_degC, 1.0
    if sight.wants_pack or (sight.wants_charge and sight.is_live):
        return plan.target_degC, 1.0
    if sight.wants_cabin and plan.cabin_share > 0.0:
        return plan.cabin_target_degC, plan.cabin_share
    return NO_TARGET_DEGC, 0.0


def _restart_K(plan: Conditioning, sight: Sight) -> float:
    """Find how far the pack may fall: a temperature that was asked for is kept more closely."""
    told = sight.wants_pack and sight.pack_target_degC is not None
    return min(plan.restart_K, plan.told_restart_K) if told else plan.restart_K


def decide(plan: Conditioning, mood: Mood, sight: Sight, dt_s: float) -> tuple[Mood, float, float]:
    """Decide how much the drive units shall heat.

    Parameters
    ----------
    plan : Conditioning
        How the car warms its pack.
    mood : Mood
        What it was about.
    sight : Sight
        What it decides by.
    dt_s : float
        Length of the step [s].

    Returns
    -------
    Mood
        What it is about now.
    float
        Share of the possible heat [1].
    float
        The target; −1e9 if there is none [degC].
    """
    target, share = _aim(plan, sight)
    reached = mood.reached_degC
    if share > 0.0 and sight.coldest_degC >= target:
        reached = max(reached, target)
    elif sight.coldest_degC < reached - _restart_K(plan, sight):
        reached = NO_TARGET_DEGC
    wants = share > 0.0 and reached < target
    waited = mood.wants_s + dt_s if wants and mood.wants_s >= 0.0 else (0.0 if wants else -1.0)
    if not wants or waited < plan.begins_s:
        return Mood(waited, reached, mood.quiet_s + dt_s), 0.0, target
    near = min(1.0, (target - sight.coldest_degC) / plan.taper_K)
    return Mood(waited, reached, 0.0), share * max(plan.least_share, near), target


def pump_speed(plan: Conditioning, mood: Mood, heats: bool, charges: bool, drives: bool) -> float:
    """Decide the pump's speed.

    Parameters
    ----------
    plan : Conditioning
        How the car warms its pack.
    mood : Mood
        What it is about.
    heats, charges, drives : bool
        What goes on.

    Returns
    -------
    float
        Speed over full speed [1].
    """
    if heats or (mood.quiet_s < plan.runs_on_s and not drives):
        return plan.heating_speed
    if drives:
        return plan.driving_speed
    return plan.idle_speed if charges else 0.0
