"""Voltage at rest by state of charge, as far as recordings tell."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thawline.charge.arrhenius import Fit
from thawline.charge.learned import OpenCircuit
from thawline.charge.observed import Observed
from thawline.charge.rising import binned, never_falling
from thawline.charge.settings import setting


def open_circuit(
    seen: Sequence[Observed], fitted: Fit | None, energy_kWh: float, cells: int | None
) -> OpenCircuit | None:
    """Gather the voltage at small currents, the drop over the resistance taken off.

    Parameters
    ----------
    seen : sequence of Observed
        The recordings.
    fitted : Fit or None
        Resistance by temperature; without it only currents near zero count.
    energy_kWh : float
        Usable energy of the pack [kWh].
    cells : int or None
        Cells in series [1].

    Returns
    -------
    OpenCircuit or None
        Never falling with the state of charge; None where voltage, current or physical charge
        is not recorded.
    """
    charge, volts = [], []
    for one in seen:
        known = ~np.isnan(one.volts + one.amps + one.charge_pct)
        if not np.any(known):
            continue
        u, i, pct = one.volts[known], one.amps[known], one.charge_pct[known]
        small = setting("open_circuit_share") * energy_kWh * 1e3 / max(float(np.median(u)), 1.0)
        drop = np.zeros(len(i))
        if fitted is not None:
            degC = one.mean_degC[known]
            drop = np.nan_to_num(fitted.ohm(degC, pct / 100.0)) * i
        else:
            small *= 0.1
        rest = np.abs(i) <= small
        charge.append(pct[rest])
        volts.append(u[rest] - drop[rest])
    if not charge or not sum(len(part) for part in charge):
        return None
    x, y, weight = binned(
        np.concatenate(charge), np.concatenate(volts), setting("open_circuit_bin_pct"), 10
    )
    if not len(x):
        return None
    gain = float(np.median([one.voltage.relative for one in seen]))
    return OpenCircuit(x, never_falling(y, weight), np.full(len(x), gain) * y, cells)
