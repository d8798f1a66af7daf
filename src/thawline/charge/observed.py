"""What one recording shows of its cells, on one clock: the raw matter of learning."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.charge.course import course
from thawline.charge.settings import setting
from thawline.ledger.sensors import usual_accuracy
from thawline.quantities import Accuracy
from thawline.recording.clock import on_clock
from thawline.recording.flows import Flows
from thawline.recording.powers import BATTERY, moving
from thawline.recording.recording import Recording

Array = NDArray[np.float64]
LIMITS = {
    "charging": BATTERY + "Limits.ChargePower",
    "regeneration": BATTERY + "Limits.RegenerationPower",
}
#: A supply gives power above this [kW].
SUPPLIED_KW = 0.1
#: Channels, in the order of preference, that tell the coldest cell.
COLDEST = ("Min", "Average", "Max")


@dataclass(frozen=True, slots=True)
class Observed:
    """One recording on the clock of its flows; what is not known is NaN throughout.

    Parameters
    ----------
    recording_id : str
        The recording's name.
    starts_at : float
        Its first sample, since 1970-01-01 UTC [s].
    t : ndarray of float64, shape (n,)
        Middles of the ticks [s].
    coldest_degC, mean_degC : ndarray of float64, shape (n,)
        Coldest cell and mean of the pack [degC].
    coldest_sigma_K, mean_sigma_K : float
        Standard uncertainties of each value; that of the mean holds for all at once [K].
    coldest_from : str
        Which channel tells the coldest cell.
    charge_pct, shown_pct : ndarray of float64, shape (n,)
        Physical and displayed state of charge [percent].
    amps, volts : ndarray of float64, shape (n,)
        Pack current, positive into it [A], and voltage [V].
    into_pack_kW : ndarray of float64, shape (n,)
        Power into the pack [kW].
    charging_kW, regeneration_kW : ndarray of float64, shape (n,)
        Limits, where they are recorded [kW].
    moves : ndarray of bool, shape (n,)
        Ticks at which the car moves.
    supply_kW : ndarray of float64, shape (n,)
        Power taken from the supply [kW].
    rests : ndarray of bool, shape (n,)
        Ticks at which every load is known to be off, so that no current should flow.
    current, voltage : Accuracy
        Of the pack's current [A] and voltage [V], as stated or as is usual.
    energy_kWh : float
        Usable energy of the pack by the vehicle file [kWh].
    """

    recording_id: str
    starts_at: float
    t: Array
    coldest_degC: Array
    mean_degC: Array
    coldest_sigma_K: float
    mean_sigma_K: float
    coldest_from: str
    charge_pct: Array
    shown_pct: Array
    amps: Array
    volts: Array
    into_pack_kW: Array
    charging_kW: Array
    regeneration_kW: Array
    moves: NDArray[np.bool_]
    supply_kW: Array
    rests: NDArray[np.bool_]
    current: Accuracy
    voltage: Accuracy
    energy_kWh: float

    @property
    def supplied(self) -> NDArray[np.bool_]:
        """Ticks at which a supply gives power."""
        return np.asarray(np.nan_to_num(self.supply_kW) > SUPPLIED_KW)

    def limit(self, what: str) -> Array:
        """Give a limit.

        Parameters
        ----------
        what : str
            ``charging`` or ``regeneration``.

        Returns
        -------
        ndarray of float64, shape (n,)
            The limit; NaN where it is not recorded [kW].
        """
        return self.charging_kW if what == "charging" else self.regeneration_kW


def _temperatures(recording: Recording, t: Array) -> dict[str, tuple[Array, float]]:
    found = {}
    for name in COLDEST:
        channel = recording.channels.get(f"{BATTERY}Temperature.{name}")
        if channel is not None and len(channel.t) > 1:
            found[name] = course(channel, t, recording.gaps)
    return found


def _mean(found: dict[str, tuple[Array, float]], nothing: Array) -> tuple[Array, float]:
    """Take the mean of the pack, else the middle of its extremes, else one extreme."""
    if "Average" in found:
        return found["Average"]
    if "Min" in found and "Max" in found:
        (low, a), (high, b) = found["Min"], found["Max"]
        apart = 0.25 * float(np.nanmean(high - low)) if np.any(~np.isnan(high - low)) else 0.0
        return (low + high) / 2.0, float(np.hypot(np.hypot(a, b) / 2.0, apart))
    for values, sigma in found.values():
        return values, float(np.hypot(sigma, setting("one_extreme_K")))
    return nothing, float("nan")


def _amps(amps: Array, volts: Array, kW: Array) -> Array:
    """Take the current; where only power is recorded, power over voltage."""
    if not np.all(np.isnan(amps)):
        return amps
    return np.asarray(np.where(volts > 1.0, kW * 1e3 / np.maximum(volts, 1.0), np.nan))


def _rests(flows: Flows) -> NDArray[np.bool_]:
    """Tell when nothing draws or gives; without the low-voltage loads it cannot be told."""
    others = [flow for name, flow in flows.flows.items() if name != "pack"]
    if "low-voltage" not in flows.flows:
        return np.zeros(len(flows.t), dtype=bool)
    quiet = [np.nan_to_num(np.abs(flow.kW), nan=np.inf) < setting("rest_kW") for flow in others]
    return np.asarray(np.all(quiet, axis=0))


def accuracy_of(recording: Recording, path: str) -> Accuracy:
    """Tell how accurate a sensor is.

    Parameters
    ----------
    recording : Recording
        The recording.
    path : str
        Concrete catalogue path.

    Returns
    -------
    Accuracy
        As the vehicle file states it, else what is usual for its kind.
    """
    channel = recording.channels.get(path)
    stated = None if channel is None else channel.accuracy
    return usual_accuracy(path) if stated is None else stated


def observe(recording: Recording, flows: Flows) -> Observed:
    """Lay what a recording shows of its cells on one clock.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.

    Returns
    -------
    Observed
        All of it; what is not recorded is NaN.
    """
    t = flows.t
    nothing = np.full(len(t), np.nan)

    def lay(path: str) -> Array:
        channel = recording.channels.get(path)
        return nothing if channel is None else on_clock(channel, t, recording.gaps)

    found = _temperatures(recording, t)
    coldest_from = next((name for name in COLDEST if name in found), "")
    coldest, sigma = found.get(coldest_from, (nothing, float("nan")))
    mean, mean_sigma = _mean(found, nothing)
    pack, wall = flows.flows.get("pack"), flows.flows.get("supply")
    moves, volts = moving(recording, t), lay(BATTERY + "CurrentVoltage")
    return Observed(
        recording.id,
        recording.starts_at,
        t,
        coldest,
        mean,
        sigma,
        mean_sigma,
        coldest_from,
        lay(BATTERY + "StateOfCharge.Current"),
        lay(BATTERY + "StateOfCharge.Displayed"),
        _amps(lay(BATTERY + "CurrentCurrent"), volts, nothing if pack is None else pack.kW),
        volts,
        nothing if pack is None else pack.kW,
        lay(LIMITS["charging"]),
        lay(LIMITS["regeneration"]),
        np.zeros(len(t), dtype=bool) if moves is None else moves,
        nothing if wall is None else wall.kW,
        _rests(flows) & ~(np.zeros(len(t), dtype=bool) if moves is None else moves),
        accuracy_of(recording, BATTERY + "CurrentCurrent"),
        accuracy_of(recording, BATTERY + "CurrentVoltage"),
        recording.vehicle.pack.usable_energy_kWh,
    )
