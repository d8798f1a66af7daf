"""Split what the display gained into what was charged and what came back by warming.

A cold pack hides part of its charge: the display shows less. When the pack warms, the
display rises though nothing was charged. Displayed gain = charged + warmed back.
"""

from __future__ import annotations

import numpy as np

from thawline.charge.charge import Charge, Gain
from thawline.charge.counted import by_coulombs, by_estimator, difference, reconciled
from thawline.charge.words import sentence
from thawline.recording.flows import Flows
from thawline.recording.powers import BATTERY, moving
from thawline.recording.recording import Recording

DISPLAYED = BATTERY + "StateOfCharge.Displayed"


def _shown(recording: Recording, flows: Flows) -> Gain:
    channel = recording.channels.get(DISPLAYED)
    if channel is None or len(channel.values) == 0:
        return Gain(None, None, "the displayed state of charge is not recorded")
    gain, sigma = difference(channel)
    note = "from the first sample to the last"
    moves = moving(recording, flows.t)
    if moves is not None and np.any(moves):
        minutes = float(np.count_nonzero(moves)) * flows.step_s / 60.0
        note += f", {minutes:.0f} min of driving included"
    return Gain(gain, sigma, note)


def _charged(recording: Recording, flows: Flows) -> Gain:
    ways = [by_coulombs(recording, flows), by_estimator(recording)]
    found = reconciled([way for way in ways if way is not None])
    if found is None:
        return Gain(None, None, "neither the pack's current nor its physical charge is recorded")
    return Gain(found.pct, found.sigma_pct, found.note)


def split(recording: Recording, flows: Flows) -> Charge:
    """Split the display's gain over a recording.

    The recording counts from its first sample to its last, driving included: what driving
    takes is in the coulomb count as well as on the display.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers on one clock.

    Returns
    -------
    Charge
        Displayed gain = charged + warmed back; what cannot be told is None, with a note.
    """
    shown, charged = _shown(recording, flows), _charged(recording, flows)
    if (
        shown.pct is None
        or charged.pct is None
        or shown.plus_minus_pct is None
        or charged.plus_minus_pct is None
    ):
        lacking = shown.note if shown.pct is None else charged.note
        warmed = Gain(None, None, f"cannot be told: {lacking}")
    else:
        sigma = float(np.hypot(shown.plus_minus_pct, charged.plus_minus_pct))
        warmed = Gain(shown.pct - charged.pct, sigma, "displayed gain less what was charged")
    return Charge(shown, charged, warmed, sentence(shown, charged, warmed))
