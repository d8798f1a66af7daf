"""What the supply offers, and the ceiling that it and the charger set."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.physics.pilot import offered_current_A
from thawline.story import names
from thawline.story.figures import joined, kilowatt, plain
from thawline.story.scene import Scene
from thawline.story.thresholds import threshold

#: A phase is in use if this much current flows in it at some time [A].
PHASE_IN_USE_A = 1.0
#: Less than this is no offer; the lowest offer of a pilot is 6 A [A].
LEAST_OFFER_A = 3.0
#: The offer is the median over this many ticks on either side [1].
STEADY_TICKS = 10


@dataclass(frozen=True, slots=True)
class Offer:
    """The most that the supply and the charger let through.

    Parameters
    ----------
    amps : ndarray of float64, shape (n,) or None
        Current offered per phase on the clock; None if no signal tells [A].
    volts : ndarray of float64, shape (n,) or None
        Supply voltage on the clock; None if no signal tells [V].
    supply_kW : ndarray of float64, shape (n,) or None
        Offered current times voltage, over the phases in use [kW].
    outside : ndarray of bool, shape (n,)
        Where direct current comes from a charger outside, so that the car's own does not count.
    rated_kW : float or None
        Rating of the charger in the car [kW].
    signals : tuple of str
        Paths of what tells the offer.
    phases : int
        Phases in use [1].
    """

    amps: NDArray[np.float64] | None
    volts: NDArray[np.float64] | None
    supply_kW: NDArray[np.float64] | None
    outside: NDArray[np.bool_]
    rated_kW: float | None
    signals: tuple[str, ...]
    phases: int

    def ceiling_kW(self, i: int) -> tuple[float, str] | None:
        """Give the ceiling at a tick, and who sets it.

        Parameters
        ----------
        i : int
            The tick [1].

        Returns
        -------
        tuple of float and str or None
            The ceiling [kW] and ``supply`` or ``charger-rating``; None if nothing tells, or no
            supply is there.
        """
        if self._is_dead(i):
            return None
        offered = None
        if self.supply_kW is not None and not np.isnan(self.supply_kW[i]):
            near = self.supply_kW[max(0, i - STEADY_TICKS) : i + STEADY_TICKS + 1]
            offered = float(np.nanmedian(near))
        own = self.rated_kW is not None and not self.outside[i]
        if own and self.rated_kW is not None and (offered is None or self.rated_kW < offered):
            return self.rated_kW, "charger-rating"
        return None if offered is None else (offered, "supply")

    def _is_dead(self, i: int) -> bool:
        """Tell whether it is known that nothing is offered."""
        silent = self.volts is not None and self.volts[i] < threshold("supply_gone_V")
        nothing = self.amps is not None and self.amps[i] < LEAST_OFFER_A and not self.outside[i]
        return bool(silent or nothing)

    def terms(self, i: int) -> str:
        """Say current, voltage and phases at a tick, without the power.

        Parameters
        ----------
        i : int
            The tick [1].

        Returns
        -------
        str
            For instance ``24 A at 208 V``; empty if nothing tells.
        """
        parts = []
        told = self.amps is not None and self.amps[i] >= LEAST_OFFER_A and not self.outside[i]
        if self.amps is not None and told:
            parts.append(plain(float(np.round(self.amps[i], 1)), "A"))
        if self.volts is not None and self.volts[i] > threshold("supply_gone_V"):
            parts.append(f"at {self.volts[i]:.0f} V" if parts else f"{self.volts[i]:.0f} V")
        if self.phases > 1 and not self.outside[i]:
            parts.append(f"on {self.phases} phases")
        return " ".join(parts)

    def verb(self, i: int) -> str:
        """Say whether the supply offers a current, or only its voltage is known.

        Parameters
        ----------
        i : int
            The tick [1].

        Returns
        -------
        str
            ``offered`` or ``stood at``.
        """
        return "offered" if self.amps is not None and self.terms(i).count("A") else "stood at"

    def wording(self, i: int) -> str | None:
        """Say what is offered at a tick.

        Parameters
        ----------
        i : int
            The tick [1].

        Returns
        -------
        str or None
            For instance ``24 A at 208 V, 5.0 kW``; None if nothing tells.
        """
        if self.supply_kW is not None and not np.isnan(self.supply_kW[i]):
            return f"{self.terms(i)}, {kilowatt(float(self.supply_kW[i]))}"
        return self.terms(i) or None


def _phases_in_use(scene: Scene) -> list[str]:
    """Find the voltages of the phases that carry current, or all if none is told to."""
    currents = [
        path
        for path in scene.like(names.PHASE_CURRENT)
        if np.nanmax(scene.signals[path], initial=0.0) > PHASE_IN_USE_A
    ]
    voltages = scene.like(names.PHASE_VOLTAGE)
    used = [path.replace("ChargeCurrent", "ChargeVoltage") for path in currents]
    there = [path for path in used if path in voltages]
    return there + voltages[:1] * (len(used) - len(there)) if voltages and used else voltages[:1]


def _lowest(parts: list[NDArray[np.float64]]) -> NDArray[np.float64]:
    stacked = np.stack(parts)
    known = ~np.isnan(stacked)
    lowest = np.where(known, stacked, np.inf).min(axis=0)
    return np.asarray(np.where(known.any(axis=0), lowest, np.nan))


def _amps(scene: Scene) -> tuple[NDArray[np.float64] | None, tuple[str, ...]]:
    """Take the smallest of all that is said about the current allowed."""
    parts, signals = [], []
    offer, pilot = scene.signal(names.OFFER), scene.signal(names.PILOT)
    if offer is not None:
        parts.append(offer)
        signals.append(names.OFFER)
    if pilot is not None:
        parts.append(offered_current_A(pilot))
        signals.append(names.PILOT)
    for path in scene.like(names.PHASE_LIMIT)[:1]:
        parts.append(scene.signals[path])
        signals.append(path)
    return (_lowest(parts) if parts else None), tuple(signals)


def _outside(scene: Scene) -> NDArray[np.bool_]:
    """Tell where direct current comes from a charger outside."""
    volts, amps = scene.signal(names.DIRECT_VOLTAGE), scene.signal(names.DIRECT_CURRENT)
    outside = np.zeros(len(scene.t), dtype=np.bool_)
    if volts is None or amps is None:
        return outside
    live = np.nan_to_num(volts) > threshold("supply_present_V")
    outside |= live & (np.nan_to_num(amps) > PHASE_IN_USE_A)
    for path in scene.like(names.PHASE_VOLTAGE):
        outside &= ~(np.nan_to_num(scene.signals[path]) > threshold("supply_present_V"))
    return outside


def read_offer(scene: Scene) -> Offer:
    """Read what the supply offers over the recording.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.

    Returns
    -------
    Offer
        The offer, the voltage, and the ceilings that they set.
    """
    amps, signals = _amps(scene)
    used = _phases_in_use(scene)
    voltages = [scene.signals[path] for path in used]
    all_volts = [scene.signals[path] for path in scene.like(names.PHASE_VOLTAGE)]
    if names.DIRECT_VOLTAGE in scene.signals:
        all_volts.append(scene.signals[names.DIRECT_VOLTAGE])
    volts = -_lowest([-each for each in all_volts]) if all_volts else None
    alternating = None
    if amps is not None and voltages:
        alternating = amps * np.sum(voltages, axis=0) / 1e3
        live = np.sum(voltages, axis=0) > threshold("supply_gone_V")
        alternating = np.where(live, alternating, np.nan)
        signals = (*signals, *dict.fromkeys(used))
    outside = _outside(scene)
    told_by = names.DIRECT_LIMIT if names.DIRECT_LIMIT in scene.signals else names.OFFER
    direct = scene.signal(told_by)
    if outside.any() and direct is not None:
        most = direct * scene.signals[names.DIRECT_VOLTAGE] / 1e3
        alternating = np.where(outside, most, np.nan if alternating is None else alternating)
        signals = tuple(dict.fromkeys((*signals, told_by, names.DIRECT_VOLTAGE)))
    elif outside.any() and alternating is not None:
        alternating = np.where(outside, np.nan, alternating)
    rated = scene.recording.vehicle.charger.rated_kW
    return Offer(amps, volts, alternating, outside, rated, signals, max(1, len(used)))


def offer_unknown(offer: Offer) -> str:
    """Say which signals would tell the offer.

    Parameters
    ----------
    offer : Offer
        What was read.

    Returns
    -------
    str
        Signals, for a cure.
    """
    missing = []
    if offer.amps is None:
        missing.append("Charging.OfferedCurrent or Charging.PilotDutyCycle")
    if offer.volts is None:
        missing.append("Charging.ChargeVoltage.Phase1")
    return joined(missing)
