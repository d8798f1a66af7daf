"""Heat now: whether it is on, how much, and what it is likely to do."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.allowed import LearnedLimits
from thawline.forecast.levels import cycles, level_now, wander
from thawline.forecast.settings import setting
from thawline.recording.flows import Flows
from thawline.recording.powers import MOTOR, paths_like
from thawline.recording.recording import Recording
from thawline.story.tell import Acts
from thawline.warmup.case import Case
from thawline.warmup.heat_sources import expected_heat_kW

Array = NDArray[np.float64]
#: Windings are looked at over this long [s].
HOT_SPOT_S = 300.0


@dataclass(frozen=True, slots=True)
class HeatNow:
    """Heat at an instant.

    Parameters
    ----------
    state : str
        ``not-yet``, ``on`` or ``interrupted``.
    drive_kW, heater_kW : float
        Heat of drive units and of a coolant heater while on, as it goes on [kW].
    full_kW : float
        Heat of the drive units before they are spared [kW].
    sigma : float
        How surely, standard deviation of the logarithm [1].
    wander : float
        How far it wandered of late, standard deviation of the logarithm [1].
    off_for_s : float
        For how long it has been off [s].
    is_young : bool
        Whether it began so lately that it may still ramp up.
    is_warm : bool
        Whether windings are warm enough to be spared.
    """

    state: str
    drive_kW: float
    heater_kW: float
    full_kW: float
    sigma: float
    wander: float
    off_for_s: float
    is_young: bool
    is_warm: bool

    @property
    def is_settled(self) -> bool:
        """Whether it is on and no longer ramps up: its power is seen."""
        return self.state == "on" and not self.is_young

    @property
    def is_less(self) -> bool:
        """Whether the drive units give less than they did."""
        return self.state == "on" and self.drive_kW < setting("spared_share") * self.full_kW


def _as_seen(case: Case, t: Array, now_s: float) -> HeatNow:
    drive, heater = case.sources.drive_kW, case.sources.heater_kW
    steady, sigma = wander(t, drive + heater, now_s), setting("heat_level_sigma")
    past = t <= now_s + 0.5
    is_on = (drive + heater) > setting("on_kW")
    on = np.flatnonzero(is_on & past)
    if not len(on):
        return HeatNow("not-yet", 0.0, 0.0, 0.0, sigma, steady, 0.0, False, False)
    if case.sources.origin == "assumed":  # what is derived is what the model was fitted with
        sigma = setting("heat_guess_sigma")
    last = float(t[on[-1]])
    off_for = max(0.0, now_s - last - 1.0)
    window = max(1, int(60.0 / (t[1] - t[0]))) if len(t) > 1 else 1
    smooth = np.convolve(drive[past], np.ones(window) / window, mode="valid")
    full = float(smooth.max()) if len(smooth) else float(drive[past].max())
    lately = is_on[past & (t > now_s - 2.0 * setting("recent_s"))]
    state, at = "on", now_s
    if off_for > setting("pause_s" if cycles(lately) else "blip_s"):
        state, at = "interrupted", last
    levels = level_now(t, drive, at), level_now(t, heater, at)
    return HeatNow(state, *levels, full, sigma, steady, off_for, False, False)


def _expected(recording: Recording, limits: LearnedLimits | None) -> tuple[float, float, str]:
    if limits is not None and limits.heat_kW is not None:
        return limits.heat_kW, setting("heat_guess_sigma") / 2.0, "as on earlier mornings"
    known = recording.vehicle.drive_units.standstill_heat_kW is not None
    sigma = setting("heat_guess_sigma") if known else setting("heat_common_sigma")
    source = "as the vehicle file says" if known else "by common practice"
    return expected_heat_kW(recording.vehicle), sigma, source


def _hottest(recording: Recording, now_s: float) -> float | None:
    paths = paths_like(recording, MOTOR, ".Temperature")
    found = []
    for path in paths or [MOTOR + "Temperature"]:
        channel = recording.channels.get(path)
        if channel is not None:
            part = channel.values[(channel.t > now_s - HOT_SPOT_S) & (channel.t <= now_s)]
            found += [float(part.max())] if len(part) else []
    return max(found) if found else None


def read_heat(
    recording: Recording,
    flows: Flows,
    acts: Acts,
    case: Case,
    limits: LearnedLimits | None,
    now_s: float,
) -> tuple[HeatNow, tuple[str, ...]]:
    """Read the heat now.

    Parameters
    ----------
    recording : Recording
        The recording, cut at now.
    flows : Flows
        Its powers.
    acts : Acts
        What its story found on and off.
    case : Case
        The recording as the model sees it.
    limits : LearnedLimits or None
        What earlier mornings taught.
    now_s : float
        The instant [s].

    Returns
    -------
    HeatNow
        What it is.
    tuple of str
        What is taken for granted, in plain words.
    """
    heat = _as_seen(case, flows.t, now_s)
    hottest = _hottest(recording, now_s)
    heat = replace(heat, is_warm=hottest is not None and hottest > setting("spared_from_degC"))
    if heat.state == "interrupted":
        said = f"Heating has been off for {heat.off_for_s:.0f} s; when it goes on is a guess."
        return heat, (said,)
    began = next((s.begins for s in acts.heated.stretches[:1]), None)
    young = heat.state == "on" and began is not None and now_s - began.t_s < setting("ramp_s")
    if heat.state == "on" and not young:
        return heat, ()
    expected, sigma, source = _expected(recording, limits)
    missing = max(0.0, expected - heat.drive_kW - heat.heater_kW)
    only_heater = "pack-heater" in flows.flows and "drive-unit-heating" not in flows.flows
    drive = heat.drive_kW + (0.0 if only_heater else missing)
    heat = replace(
        heat,
        drive_kW=drive,
        heater_kW=heat.heater_kW + (missing if only_heater else 0.0),
        full_kW=max(heat.full_kW, drive),
        sigma=sigma,
        is_young=young,
    )
    if young:
        return heat, ()
    return heat, (f"Heating begins now, with {expected:.1f} kW {source}.",)
