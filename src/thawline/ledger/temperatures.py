"""Temperatures of the pack and other bodies on the clock, and how far they rose."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.ledger.basis import Basis
from thawline.ledger.bridging import bridge
from thawline.ledger.sensors import ROOT_12, step_of
from thawline.ledger.uncertain import UFloat, around, cause, deviation, prior
from thawline.recording.powers import BATTERY

Array = NDArray[np.float64]
#: A temperature at an end of the recording is the median over so long: a few
#: samples that mean nothing do not move it [s].
END_S = 20.0


@dataclass(frozen=True, slots=True)
class Temperature:
    """A temperature on the clock.

    Parameters
    ----------
    degC : ndarray of float64, shape (n,)
        The temperature, holes bridged [degC].
    weights : mapping of str to float
        Share of each channel in it [1].
    origin : str
        ``measured``, or ``derived`` where an extreme stands for the mean.
    note : str
        How it was found.
    apart_K : float
        Standard uncertainty of its rise for what it does not show [K].
    """

    degC: Array
    weights: Mapping[str, float]
    origin: str
    note: str
    apart_K: float = 0.0


def pack_temperature(basis: Basis) -> Temperature | None:
    """Find the mean temperature of the pack.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    Temperature or None
        The mean; else the middle of coldest and warmest cell; else one of these; None if
        none is recorded.
    """
    head = BATTERY + "Temperature."
    known = {
        name: bridge(values)[0]
        for name in ("Average", "Min", "Max")
        if (values := basis.channel(head + name)) is not None
    }
    if "Average" in known:
        return Temperature(known["Average"], {head + "Average": 1.0}, "measured", "mean of cells")
    if len(known) == 2:
        distance = known["Max"] - known["Min"]
        apart = deviation(prior("mean_of_extremes")) * float(np.max(np.abs(distance)))
        weights = {head + "Min": 0.5, head + "Max": 0.5}
        middle = (known["Min"] + known["Max"]) / 2.0
        note = "the middle of coldest and warmest cell stands for the mean"
        return Temperature(middle, weights, "derived", note, apart)
    for name, words in (("Min", "coldest"), ("Max", "warmest")):
        if name in known:
            only = known[name]
            apart = deviation(prior("one_extreme")) * float(np.ptp(only))
            note = f"the {words} cell stands for the mean"
            return Temperature(only, {head + name: 1.0}, "derived", note, apart)
    return None


def rise_of(basis: Basis, temperature: Temperature) -> UFloat:
    """Find how far a temperature rose over the recording.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.
    temperature : Temperature
        The temperature.

    Returns
    -------
    UFloat
        Its rise; a zero error of the sensor cancels but for a drift [K].
    """
    ticks = max(1, round(END_S / basis.flows.step_s))
    first, last = np.median(temperature.degC[:ticks]), np.median(temperature.degC[-ticks:])
    rise = float(last - first)
    total: UFloat = around(rise, temperature.apart_K)
    drift = deviation(prior("rise_drift"))
    for path, weight in temperature.weights.items():
        channel = basis.recording.channels[path]
        ends = np.sqrt(2.0) * np.hypot(step_of(channel) / ROOT_12, channel.noise / np.sqrt(2.0))
        own = np.hypot(float(ends), drift * deviation(basis.sensors.zero[path]))
        total = total + weight * (basis.sensors.gain[path] * rise + cause(float(own)))
    return total


def of_channel(basis: Basis, path: str) -> Temperature | None:
    """Take one channel as a temperature.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.
    path : str
        Concrete catalogue path.

    Returns
    -------
    Temperature or None
        It; None if it was not recorded.
    """
    values = basis.channel(path)
    if values is None:
        return None
    return Temperature(bridge(values)[0], {path: 1.0}, "measured", "")
