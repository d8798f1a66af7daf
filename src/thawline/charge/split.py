"""Split what the display gained into what was charged and what came back by warming.

A cold pack hides part of its charge: the display shows less. When the pack warms, the
display rises though nothing was charged. Displayed gain = charged + warmed back. Every door
tells the split by this function.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thawline.charge.charge import Charge, Gain
from thawline.charge.counted import by_energy, by_estimator, reconciled
from thawline.charge.real import DISPLAYED, by_readings, put_together, real_charge
from thawline.recording.flows import Flows
from thawline.recording.powers import moving
from thawline.recording.recording import Recording


def _by_what_there_is(recording: Recording, flows: Flows) -> Charge:
    """Split without a count of charge: by energy and by the physical state of charge."""
    ways = [by_energy(recording, flows), by_estimator(recording)]
    found = reconciled([way for way in ways if way is not None])
    if found is None:
        charged = Gain(None, None, "neither the pack's current nor its physical charge is recorded")
    else:
        charged = Gain(found.pct, found.sigma_pct, found.note)
    shown, _ = by_readings(recording.channels.get(DISPLAYED), flows.t)
    return put_together(shown, charged)


def split(
    recording: Recording, flows: Flows, capacity_Ah: tuple[float, float] | None = None
) -> Charge:
    """Split the display's gain over a recording.

    The recording counts from its first sample to its last, driving included: what driving
    takes is in the coulomb count as well as on the display.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers on one clock.
    capacity_Ah : tuple of (float, float), optional
        Capacity learned from other recordings and its standard uncertainty [A*h].

    Returns
    -------
    Charge
        Displayed gain = charged + warmed back; what cannot be told is None, with a note.
    """
    real = real_charge(recording, flows, capacity_Ah)
    found = _by_what_there_is(recording, flows) if real is None else real.split
    moves = moving(recording, flows.t)
    if moves is None or not np.any(moves) or found.shown.pct is None:
        return found
    minutes = float(np.count_nonzero(moves)) * flows.step_s / 60.0
    note = f"{found.shown.note}, {minutes:.0f} min of driving included"
    return replace(found, shown=replace(found.shown, note=note))
