"""Real charge of one recording: counted, shown, and warmed back, finer than the display's step."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.charge.capacity import physical, prior_Ah
from thawline.charge.charge import Charge, Gain
from thawline.charge.counting import Reconciled, count, moments, reconcile
from thawline.charge.observed import Observed, observe
from thawline.charge.settings import setting
from thawline.charge.words import sentence
from thawline.ledger.sensors import ROOT_12, step_of
from thawline.recording.flows import Flows
from thawline.recording.powers import BATTERY
from thawline.recording.recording import Channel, Recording

Array = NDArray[np.float64]
DISPLAYED = BATTERY + "StateOfCharge.Displayed"
#: A bend must lower the sum of squares by so much to be believed (three parameters' worth at
#: 95 %), and needs so many moments at which the display changed [1].
BEND_COST, FEWEST_FOR_A_BEND = 7.8, 5


@dataclass(frozen=True, slots=True)
class RealCharge:
    """The true state of charge over a recording against the displayed one.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        The clock [s].
    true_pct : ndarray of float64, shape (n,)
        Physical state of charge from count and estimator [percent].
    shown_pct : ndarray of float64, shape (n,)
        What the display would show without its steps; NaN where not recorded [percent].
    split : Charge
        Gains from first to last tick: shown, charged, warmed back.
    zero_A, zero_sigma_A : float
        Zero error of the current sensor and its standard uncertainty [A].
    bias_note : str
        How the zero error was found.
    """

    t: Array
    true_pct: Array
    shown_pct: Array
    split: Charge
    zero_A: float
    zero_sigma_A: float
    bias_note: str


def real_charge(
    recording: Recording, flows: Flows, capacity_Ah: tuple[float, float] | None = None
) -> RealCharge | None:
    """Find the real charge of a recording.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    capacity_Ah : tuple of (float, float), optional
        Capacity learned from other recordings and its standard uncertainty; else a prior from
        the vehicle file [A*h].

    Returns
    -------
    RealCharge or None
        None where the pack's current is not recorded.
    """
    observed = observe(recording, flows)
    counted = count(observed)
    if counted is None:
        return None
    known = observed.volts[~np.isnan(observed.volts)]
    volts = float(np.median(known)) if len(known) else 1.0
    Ah, sigma = capacity_Ah or prior_Ah(recording.vehicle, volts)
    gain = observed.current.relative
    found = reconcile(counted, observed.t, physical(recording), Ah, sigma, gain)
    charged = Gain(found.gain_pct, found.gain_sigma_pct, _charged_note(recording, found))
    channel = recording.channels.get(DISPLAYED)
    shown_pct, shown = _shown(channel, observed, found)
    warmed = Gain(None, None, f"cannot be told: {shown.note}")
    if shown.pct is not None and shown.plus_minus_pct is not None:
        both = float(np.hypot(shown.plus_minus_pct, found.gain_sigma_pct))
        warmed = Gain(shown.pct - found.gain_pct, both, "displayed gain less what was charged")
    how = (
        f"read over {counted.rest_s:.0f} s at rest"
        if counted.rest_s >= setting("rest_for_s")
        else "no rest was recorded: held against the physical state of charge"
        if physical(recording) is not None
        else "no rest was recorded: as accurate as the sensor is said to be"
    )
    split = Charge(shown, charged, warmed, sentence(shown, charged, warmed))
    return RealCharge(
        observed.t, found.pct, shown_pct, split, found.zero_A, found.zero_sigma_A, how
    )


def _charged_note(recording: Recording, found: Reconciled) -> str:
    Ah = found.gain_pct / 100.0 * found.capacity_Ah
    with_what = "count" if physical(recording) is None else "count and physical state of charge"
    return f"{Ah:+.2f} Ah of {found.capacity_Ah:.0f} Ah by {with_what}".replace("-", "−")


def _shown(channel: Channel | None, observed: Observed, found: Reconciled) -> tuple[Array, Gain]:
    """Find the display's course between its steps.

    What it hides is the true charge less the display; it is known at each moment at which the
    reading changes, and follows the temperature in between.
    """
    t = observed.t
    if channel is None or not len(channel.t):
        return np.full(len(t), np.nan), Gain(
            None, None, "the displayed state of charge is not recorded"
        )
    step = step_of(channel)
    read = np.interp(t, channel.t, channel.values)
    held = channel.values[np.clip(np.searchsorted(channel.t, t, "right") - 1, 0, None)]
    times, levels, sigma = moments(channel)
    hidden = _hidden(times, levels, sigma, observed, found)
    if hidden is None:
        gain = float(held[-1] - held[0])
        rounding = float(np.sqrt(2.0) * step / ROOT_12)
        return read, Gain(gain, max(rounding, 0.01), "from the first reading to the last")
    fine = np.clip(found.pct - hidden, held - step / 2.0, held + step / 2.0)
    note = f"between the steps of the display, by {len(times)} moments at which it changed"
    line = found.pct - hidden
    clipped = max(abs(float(line[0] - fine[0])), abs(float(line[-1] - fine[-1])))
    unsure = float(np.sqrt(2.0) * np.hypot(sigma, 0.06 * step) + 0.3 * clipped)
    return fine, Gain(float(fine[-1] - fine[0]), unsure, note)


def _hidden(
    times: Array, levels: Array, sigma: float, observed: Observed, found: Reconciled
) -> Array | None:
    """Lay what the display hides over the recording; None where it tells too little."""
    if len(times) < 2 or np.all(np.isnan(observed.mean_degC)):
        return None
    at = np.interp(times, observed.t, found.pct) - levels
    known = ~np.isnan(observed.mean_degC)
    degC = np.interp(observed.t, observed.t[known], observed.mean_degC[known])
    at_degC = np.interp(times, observed.t, degC)
    span = float(np.ptp(at_degC))
    if span < setting("hidden_line_K"):
        if float(np.ptp(degC)) < setting("hidden_line_K"):
            return np.full(len(degC), float(np.mean(at)))
        return None
    best: tuple[float, Array] | None = None
    # a line that ends where nothing more is hidden, wherever that is
    for end in (*_bends(at_degC), np.inf):
        columns = np.column_stack((np.ones(len(at)), -np.minimum(at_degC, end)))
        values, *_ = np.linalg.lstsq(columns, at, rcond=None)
        left = float(np.sum((columns @ values - at) ** 2)) / sigma**2
        cost = left + (0.0 if np.isinf(end) else BEND_COST)
        if values[1] >= 0.0 and (best is None or cost < best[0]):
            best = cost, values[0] - values[1] * np.minimum(degC, end)
    if best is None:
        return None
    # a display that never showed more than there is does not begin to between two moments
    return np.maximum(best[1], 0.0) if float(at.min()) > -3.0 * sigma else best[1]


def _bends(degC: Array) -> list[float]:
    """List where a line could bend: two moments at least on its far side, three on this."""
    ordered = np.sort(degC)
    if len(ordered) < FEWEST_FOR_A_BEND:
        return []
    return [float(end) for end in np.arange(ordered[2], ordered[-2], 0.25)]
