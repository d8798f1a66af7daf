"""The pack's capacity, from recordings that move enough of its charge."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thawline.charge.counting import count, reconcile
from thawline.charge.learned import Capacity, OpenCircuit
from thawline.charge.observed import Observed
from thawline.charge.settings import setting
from thawline.physics.battery import nominal_cell_V
from thawline.recording.powers import BATTERY
from thawline.recording.recording import Channel, Recording
from thawline.vehicle.vehicle import Vehicle

PHYSICAL = BATTERY + "StateOfCharge.Current"
#: A fit that shall find a capacity starts from one that is nearly free [1].
FREE = 0.5


def prior_Ah(vehicle: Vehicle, volts: float) -> tuple[float, float]:
    """Estimate a capacity that nobody has measured, from the vehicle file.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle.
    volts : float
        Median voltage of the pack, where cells in series are not known [V].

    Returns
    -------
    capacity, sigma : float
        Usable energy over nominal voltage, and its standard uncertainty [A*h].
    """
    pack = vehicle.pack
    name = "capacity_prior_sigma_by_voltage"
    if pack.cells_in_series is not None:
        volts = pack.cells_in_series * nominal_cell_V(pack.chemistry)
        name = "capacity_prior_sigma" if pack.chemistry else name
    capacity = pack.usable_energy_kWh * 1e3 / max(volts, 1.0)
    return capacity, setting(name) * capacity


def physical(recording: Recording) -> Channel | None:
    """Take the physical state of charge, if it is there.

    Parameters
    ----------
    recording : Recording
        The recording.

    Returns
    -------
    Channel or None
        The channel.
    """
    channel = recording.channels.get(PHYSICAL)
    return channel if channel is not None and len(channel.t) > 1 else None


def one_capacity(observed: Observed, estimator: Channel | None) -> tuple[float, float, float]:
    """Find the capacity by one recording.

    Parameters
    ----------
    observed : Observed
        The recording.
    estimator : Channel or None
        Its physical state of charge.

    Returns
    -------
    capacity_Ah, sigma_Ah, moved_pct : float
        Capacity and its standard uncertainty without the sensor's gain, not a number where the
        recording moves too little [A*h], and how much it moved [percent].
    """
    counted = count(observed)
    if counted is None or estimator is None:
        return float("nan"), float("nan"), 0.0
    moved = float(np.ptp(estimator.values))
    if moved < setting("capacity_moves_pct"):
        return float("nan"), float("nan"), moved
    rough = float(np.ptp(counted.ampere_hours)) / moved * 100.0
    found = reconcile(counted, observed.t, estimator, rough, FREE * rough, 0.0)
    bridged = 100.0 * counted.bridged_sigma_Ah / moved
    sigma = float(np.hypot(np.hypot(found.capacity_sigma_Ah, bridged),
                           setting("estimator_scale") * found.capacity_Ah))  # fmt: skip
    return found.capacity_Ah, sigma, moved


def capacity(
    seen: Sequence[Observed], estimators: Sequence[Channel | None], rest: OpenCircuit | None
) -> Capacity:
    """Find the capacity by all recordings of a vehicle.

    Parameters
    ----------
    seen : sequence of Observed
        The recordings.
    estimators : sequence of Channel or None
        Their physical states of charge.
    rest : OpenCircuit or None
        Voltage at rest, to tell the energy.

    Returns
    -------
    Capacity
        It, or why it cannot be told.
    """
    each = [one_capacity(*pair) for pair in zip(seen, estimators, strict=True)]
    most = max((moved for *_, moved in each), default=0.0)
    told = [(Ah, sigma) for Ah, sigma, _ in each if np.isfinite(Ah) and Ah > 0.0]
    if not told:
        least = setting("capacity_moves_pct")
        note = (
            f"cannot tell: no recording moves {least:.0f} % of charge; the most was {most:.1f} %"
            if most > 0.0
            else "cannot tell: needs the pack's current and its physical state of charge"
        )
        return Capacity(None, None, None, None, most, 0, note)
    values = np.array([Ah for Ah, _ in told])
    weights = np.array([1.0 / sigma**2 for _, sigma in told])
    mean = float(np.sum(weights * values) / np.sum(weights))
    sigma = float(1.0 / np.sqrt(np.sum(weights)))
    if len(told) > 1:
        chi = float(np.sum(weights * (values - mean) ** 2)) / (len(told) - 1)
        sigma *= max(1.0, float(np.sqrt(chi)))
    gain = float(np.median([one.current.relative for one in seen]))
    # what the estimator's scale and the sensor's gain leave does not average out
    sigma = float(np.sqrt(sigma**2 + ((gain**2 + setting("estimator_scale") ** 2) * mean**2)))
    kWh, kWh_sigma = None, None
    if rest is not None and len(rest.volts):
        volts = float(np.mean(rest.volts))
        kWh = mean * volts / 1e3
        kWh_sigma = kWh * float(np.hypot(sigma / mean, setting("mean_voltage_sigma")))
    times = "1 recording" if len(told) == 1 else f"{len(told)} recordings"
    note = (
        f"from {times} that moved up to {most:.0f} % of charge; the current sensor's gain included"
    )
    return Capacity(mean, sigma, kWh, kWh_sigma, most, len(told), note)
