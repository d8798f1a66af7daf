"""Read the zero of the two coolant thermometers from the time before anything heats.

In a soaked car the coolant is as warm at the pack's outlet as at its inlet; what the two
thermometers differ by then is their own error. It is held against what their accuracy allows.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thawline.ledger.basis import Basis
from thawline.ledger.heat_stores import INLET, OUTLET
from thawline.ledger.sensors import ROOT_12
from thawline.ledger.temperatures import pack_temperature
from thawline.ledger.uncertain import deviation
from thawline.quantities.written import signed

#: The car counts as soaked if its coolant and pack lie within this [K] ...
SOAKED_K = 3.0
#: ... and neither end of the coolant moves by more than this meanwhile [K].
STEADY_K = 0.4
#: At least and at most so long is looked at before the first heating [s].
AT_LEAST_S, AT_MOST_S = 20.0, 600.0
#: What a soaked coolant may still differ by from inlet to outlet: standard uncertainty [K].
SOAKED_SIGMA_K = 0.12


@dataclass(frozen=True, slots=True)
class Zero:
    """What the inlet shows more than the outlet without any heat.

    Parameters
    ----------
    kelvin : float
        To be taken off the difference of the two [K].
    sigma_K : float
        Standard uncertainty of the difference then [K].
    note : str
        How it was found.
    """

    kelvin: float
    sigma_K: float
    note: str


def coolant_zero(basis: Basis) -> Zero:
    """Find the zero of the two coolant thermometers' difference.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    Zero
        The mean of what their accuracy allows (nothing) and of what they showed in the
        soaked car, weighted by the inverse variance.
    """
    zeros = basis.sensors.zero
    own = float(np.hypot(deviation(zeros[INLET]), deviation(zeros[OUTLET])))
    plain = Zero(0.0, own, "")
    inlet, outlet = basis.channel(INLET), basis.channel(OUTLET)
    pack = pack_temperature(basis)
    heats = basis.on("drive-unit-heating") | basis.on("pack-heater") | basis.moves
    if inlet is None or outlet is None or pack is None or "drive-unit-heating" not in basis.powers:
        return plain
    first = int(np.argmax(heats)) if np.any(heats) else 0
    last = min(first, int(AT_MOST_S / basis.flows.step_s))
    if last * basis.flows.step_s < AT_LEAST_S:
        return plain
    begin_in, begin_out = inlet[:last], outlet[:last]
    known = ~np.isnan(begin_in) & ~np.isnan(begin_out)
    if np.count_nonzero(known) * basis.flows.step_s < AT_LEAST_S:
        return plain
    begin_in, begin_out = begin_in[known], begin_out[known]
    steps = [basis.recording.channels[path].resolution for path in (INLET, OUTLET)]
    third = max(1, len(begin_in) // 3)
    moved = max(
        abs(float(np.mean(side[-third:]) - np.mean(side[:third]))) - step
        for side, step in zip((begin_in, begin_out), steps, strict=True)
    )
    middle = (float(np.mean(begin_in)) + float(np.mean(begin_out))) / 2.0
    if moved > STEADY_K or abs(middle - float(np.mean(pack.degC[:last]))) > SOAKED_K:
        return plain
    seen = float(np.mean(begin_in - begin_out))
    sigma = float(np.hypot(SOAKED_SIGMA_K, np.hypot(steps[0], steps[1]) / ROOT_12))
    if abs(seen) > 3.0 * np.hypot(own, sigma):
        return plain
    weight = own**2 / (own**2 + sigma**2)
    note = f"zero of the two thermometers read in the soaked car: {signed(seen, 2)} K"
    return Zero(weight * seen, own * sigma / float(np.hypot(own, sigma)), note)
