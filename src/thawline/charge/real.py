"""Real charge of one recording: counted, shown, and warmed back, finer than the display's step."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.charge.capacity import physical, prior_Ah
from thawline.charge.charge import Charge, Gain
from thawline.charge.counted import difference
from thawline.charge.counting import Reconciled, count, reconcile
from thawline.charge.display import read_display
from thawline.charge.observed import Observed, observe
from thawline.charge.settings import setting
from thawline.charge.words import sentence
from thawline.recording.flows import Flows
from thawline.recording.powers import BATTERY
from thawline.recording.recording import Channel, Recording

Array = NDArray[np.float64]
DISPLAYED = BATTERY + "StateOfCharge.Displayed"


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
    estimator = physical(recording)
    found = reconcile(counted, observed.t, estimator, Ah, sigma, gain)
    split, true_pct, shown_pct = _split(recording, observed, found, estimator is not None)
    how = (
        f"read over {counted.rest_s:.0f} s at rest"
        if counted.rest_s >= setting("rest_for_s")
        else "no rest was recorded: held against the physical state of charge"
        if estimator is not None
        else "no rest was recorded: as accurate as the sensor is said to be"
    )
    return RealCharge(observed.t, true_pct, shown_pct, split, found.zero_A, found.zero_sigma_A, how)


def _split(
    recording: Recording, observed: Observed, found: Reconciled, is_absolute: bool
) -> tuple[Charge, Array, Array]:
    """Split the display's gain; give the courses of true and displayed charge beside."""
    channel = recording.channels.get(DISPLAYED)
    told = None
    if channel is not None and len(channel.t):
        told = read_display(channel, observed, found, is_absolute)
    note = _charged_note(recording, found)
    if told is None or channel is None:
        charged = Gain(found.gain_pct, found.gain_sigma_pct, note)
        shown, line = by_readings(channel, observed.t)
        return put_together(shown, charged), found.pct, line
    shown = Gain(
        told.shown_pct,
        told.shown_sigma_pct,
        f"between the steps of the display, by {told.moments} moments at which it changed",
    )
    charged = Gain(told.charged_pct, told.charged_sigma_pct, note)
    whole = put_together(shown, charged, told.warmed_sigma_pct)
    return whole, told.true_pct, told.fine_pct


def _charged_note(recording: Recording, found: Reconciled) -> str:
    Ah = found.gain_pct / 100.0 * found.capacity_Ah
    with_what = "count" if physical(recording) is None else "count and physical state of charge"
    text = f"{Ah:+.2f} Ah of {found.capacity_Ah:.0f} Ah by {with_what}".replace("-", "−")
    return text + ("; the two disagree by more than they should" if found.is_odd else "")


def by_readings(channel: Channel | None, t: Array) -> tuple[Gain, Array]:
    """Take the display's gain from its readings alone.

    Parameters
    ----------
    channel : Channel or None
        The displayed state of charge.
    t : ndarray of float64, shape (n,)
        The clock [s].

    Returns
    -------
    gain : Gain
        From the first reading to the last.
    line : ndarray of float64, shape (n,)
        The readings on the clock; NaN where not recorded [percent].
    """
    if channel is None or not len(channel.t):
        nothing = Gain(None, None, "the displayed state of charge is not recorded")
        return nothing, np.full(len(t), np.nan)
    gain, sigma = difference(channel)
    note = "from the first sample to the last"
    return Gain(gain, max(sigma, 0.01), note), np.interp(t, channel.t, channel.values)


def put_together(shown: Gain, charged: Gain, warmed_sigma_pct: float | None = None) -> Charge:
    """Make the split of what was shown and what was charged.

    Parameters
    ----------
    shown, charged : Gain
        The two.
    warmed_sigma_pct : float, optional
        Standard uncertainty of their difference, where it is known better than by adding both
        as if they were independent [percent].

    Returns
    -------
    Charge
        With what came back by warming, and the sentence.
    """
    if (
        shown.pct is None
        or charged.pct is None
        or shown.plus_minus_pct is None
        or charged.plus_minus_pct is None
    ):
        lacking = shown.note if shown.pct is None else charged.note
        warmed = Gain(None, None, f"cannot be told: {lacking}")
    else:
        sigma = warmed_sigma_pct or float(np.hypot(shown.plus_minus_pct, charged.plus_minus_pct))
        note = "displayed gain less what was charged"
        if sigma > setting("tells_pct"):
            note += f"; cannot be told to 0.3 points: ± {2.0 * sigma:.1f} at 95 %"
        warmed = Gain(shown.pct - charged.pct, sigma, note)
    return Charge(shown, charged, warmed, sentence(shown, charged, warmed))
