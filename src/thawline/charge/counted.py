"""What went into the pack where no current is recorded, in points of charge.

Energy over the pack's usable energy, or the movement of the physical state of charge; where
both are there they are brought to one by their uncertainties.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thawline.ledger.bridging import bridge
from thawline.ledger.doubt import judged_ticks
from thawline.ledger.sensed import between_samples
from thawline.ledger.sensors import ROOT_12, step_of, usual_accuracy
from thawline.physics.constants import constants
from thawline.quantities.written import signed
from thawline.recording.flows import Flows
from thawline.recording.powers import BATTERY
from thawline.recording.recording import Channel, Recording

PHYSICAL = BATTERY + "StateOfCharge.Current"
#: Seconds in an hour [s].
HOUR_S = 3600.0


@dataclass(frozen=True, slots=True)
class Points:
    """A gain in points of charge, found one way.

    Parameters
    ----------
    pct : float
        The gain [percent].
    sigma_pct : float
        Its standard uncertainty [percent].
    note : str
        How it was found.
    """

    pct: float
    sigma_pct: float
    note: str


def prior_of(name: str) -> float:
    """Take a number from the room's table.

    Parameters
    ----------
    name : str
        Name of the row of ``priors.csv``.

    Returns
    -------
    float
        Its value, in the table's unit.
    """
    return constants("thawline.charge", "priors.csv")[name]


def difference(channel: Channel) -> tuple[float, float]:
    """Find how far a state of charge moved from its first sample to its last.

    Parameters
    ----------
    channel : Channel
        The channel.

    Returns
    -------
    gain, sigma : float
        The movement, and its standard uncertainty by rounding at both ends [percent].
    """
    gain = float(channel.values[-1] - channel.values[0])
    noise = max(channel.noise, 0.0)
    return gain, float(np.sqrt(2.0) * np.hypot(step_of(channel) / ROOT_12, noise))


def _energy_kWh(recording: Recording) -> float:  # of the pack when full
    net = recording.channels.get(BATTERY + "NetCapacity")
    if net is not None and len(net.values) and float(np.median(net.values)) > 0.0:
        return float(np.median(net.values))
    return recording.vehicle.pack.usable_energy_kWh


def by_energy(recording: Recording, flows: Flows) -> Points | None:
    """Count energy where there is no current.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its clock and powers.

    Returns
    -------
    Points or None
        The gain; None where the pack's power is not known.
    """
    flow = flows.flows.get("pack")
    if flow is None or np.all(np.isnan(flow.kW)):
        return None
    filled, _ = bridge(flow.kW, flows.step_s, judged_ticks(recording, flows.t))
    per_tick = flows.step_s / HOUR_S
    energy, whole = float(np.sum(filled)) * per_tick, _energy_kWh(recording)
    through = float(np.sum(np.abs(filled))) * per_tick
    missed = [
        between_samples(recording.channels[path], 1.0 / 3.6e6)
        for path in flow.signals
        if path in recording.channels and recording.channels[path].unit == "W"
    ]
    in_cells = prior_of("loss_in_cells") * through
    whole_sigma = float(np.nansum(flow.sigma_kW)) * per_tick
    sigma_kWh = float(np.sqrt(whole_sigma**2 + in_cells**2 + sum(m**2 for m in missed)))
    relative = prior_of("capacity_sigma_by_voltage")
    pct = 100.0 * energy / whole
    sigma = float(np.hypot(100.0 * sigma_kWh / whole, relative * pct))
    return Points(
        pct, sigma, f"{signed(energy, 2)} kWh of {whole:.0f} kWh, losses in the cells included"
    )


def by_estimator(recording: Recording) -> Points | None:
    """Read the gain of the physical state of charge.

    Parameters
    ----------
    recording : Recording
        The recording.

    Returns
    -------
    Points or None
        The gain; None where it is not recorded.
    """
    channel = recording.channels.get(PHYSICAL)
    if channel is None or len(channel.values) < 2:
        return None
    gain, rounding = difference(channel)
    accuracy = channel.accuracy or usual_accuracy(PHYSICAL)
    drift = prior_of("drift_share") * accuracy.absolute
    sigma = float(np.sqrt(rounding**2 + drift**2 + (prior_of("scale_sigma") * gain) ** 2))
    return Points(gain, sigma, f"{signed(gain, 1)} points by the physical state of charge")


def reconciled(found: list[Points]) -> Points | None:
    """Bring several ways to count to one.

    Parameters
    ----------
    found : list of Points
        The ways.

    Returns
    -------
    Points or None
        Their mean, weighted by the inverse variance; where they differ by more than they
        should, the uncertainty grows by what they differ. None if there is none.
    """
    if not found:
        return None
    weights = np.array([1.0 / max(points.sigma_pct, 1e-6) ** 2 for points in found])
    values = np.array([points.pct for points in found])
    mean = float(np.sum(weights * values) / np.sum(weights))
    sigma = float(1.0 / np.sqrt(np.sum(weights)))
    note = "; ".join(points.note for points in found)
    if len(found) > 1:
        stretch = float(np.sqrt(np.sum(weights * (values - mean) ** 2) / (len(found) - 1)))
        sigma *= max(1.0, stretch)
        if stretch > 2.0:
            note += "; the two disagree by more than they should"
    return Points(mean, sigma, note)
