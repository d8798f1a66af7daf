"""Draw a recording's own charging on the map, with the distance that it kept."""

from __future__ import annotations

import numpy as np

from thawline.charge.observed import Observed
from thawline.plating.cell import setting
from thawline.plating.plating import Array, KeptDistance, PlatingMap


def kept_distance(found: PlatingMap, observed: Observed, capacity_Ah: float) -> KeptDistance | None:
    """Hold a recording's charging against the map.

    Parameters
    ----------
    found : PlatingMap
        The map of the textbook cell.
    observed : Observed
        The recording.
    capacity_Ah : float
        Capacity of the pack, which turns amperes into C-rates [A*h].

    Returns
    -------
    KeptDistance or None
        None where current, temperature or state of charge is not recorded.
    """
    pct = observed.charge_pct
    if np.all(np.isnan(pct)):
        pct = observed.shown_pct
    known = ~np.isnan(observed.amps + observed.coldest_degC + pct)
    if not np.any(known) or capacity_Ah <= 0.0:
        return None
    rate = observed.amps / capacity_Ah
    tick = float(observed.t[1] - observed.t[0]) if len(observed.t) > 1 else 1.0
    every = max(1, round(setting("own_every_s") / tick))
    chosen = np.flatnonzero(known & (rate > setting("own_least_rate")))[::every]
    degC, charge = observed.coldest_degC[chosen], pct[chosen]
    limit = found.at(degC, charge)
    driven = observed.moves[chosen]
    share = np.where(driven | np.isnan(limit), -1.0, rate[chosen] / np.maximum(limit, 1e-3))
    nearest = int(np.argmax(share)) if len(share) and share.max() > 0.0 else None
    return KeptDistance(
        observed.recording_id,
        observed.t[chosen],
        degC,
        charge,
        rate[chosen],
        limit,
        driven,
        nearest,
        capacity_Ah,
        _sentence(found, nearest, degC, charge, rate[chosen], limit),
    )


def _sentence(
    found: PlatingMap,
    nearest: int | None,
    degC: Array,
    charge: Array,
    rate: Array,
    limit: Array,
) -> str:
    if nearest is None:
        return "The recording does not charge within the map."
    k = nearest
    share, apart = rate[k] / max(limit[k], 1e-3), limit[k] - rate[k]
    text = (
        f"Charging came nearest at {degC[k]:.1f} °C and {charge[k]:.0f} %, with {rate[k]:.2f} C "
        f"where the textbook cell's electrode reaches 0 V after {found.charge_s / 60.0:.0f} min of "
        f"{limit[k]:.2f} C: "
    )
    if apart > 0.0:
        text += f"{100.0 * share:.0f} % of it, {apart:.2f} C below."
    else:
        text += (
            f"{-apart:.2f} C above it. This car's cell is another one, and its maker knows its "
            "limits: that says how unlike both are, not that lithium plated."
        )
    return text.replace("at -", "at −")
