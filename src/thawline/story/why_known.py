"""What other mornings of a vehicle add to the question why not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thawline.story import names
from thawline.story.bounds import Bound
from thawline.story.figures import degrees, kilowatt
from thawline.story.gates import Gate, cell_name, coldest, coldest_path
from thawline.story.known_limits import KnownLimit, KnownLimits
from thawline.story.story import Evidence
from thawline.story.tell import Acts
from thawline.story.thresholds import threshold

#: Which thermometer a learned limit must be held against, by what stands for the coldest cell.
AGAINST = {names.COLDEST: "coldest cell", names.MEAN_TEMPERATURE: "mean of the pack"}


def _fits(acts: Acts, known: KnownLimit | None) -> bool:
    path = coldest_path(acts.scene)
    return known is not None and path is not None and AGAINST.get(path) == known.against


def _taught(gate: Gate, known: KnownLimit | None) -> Gate:
    """Take the learned threshold where this recording does not show one itself."""
    if known is None or gate.origin == "seen" or known.from_degC is None:
        return gate
    if known.origin != "limit signal" or known.against != "coldest cell":
        return gate
    return replace(gate, from_degC=known.from_degC, origin="learned")


def taught(acts: Acts, known: KnownLimits | None) -> Acts:
    """Let learned thresholds stand for those of the vehicle file and of common practice.

    Parameters
    ----------
    acts : Acts
        What was found in the recording.
    known : KnownLimits or None
        What other recordings taught.

    Returns
    -------
    Acts
        The same, with learned thresholds where this recording shows none.
    """
    if known is None:
        return acts
    return replace(
        acts,
        charge_gate=_taught(acts.charge_gate, known.charging),
        regeneration_gate=_taught(acts.regeneration_gate, known.regeneration),
    )


def mornings(count: int) -> str:
    """Say how many mornings taught something.

    Parameters
    ----------
    count : int
        Recordings [1].

    Returns
    -------
    str
        For instance ``learned from 4 mornings``.
    """
    return f"learned from {count} morning{'' if count == 1 else 's'}"


def allowed_here(acts: Acts, known: KnownLimit | None, t_s: float) -> tuple[float, str] | None:
    """Tell what this vehicle has allowed at the temperature and charge of an instant.

    Parameters
    ----------
    acts : Acts
        What was found in the recording.
    known : KnownLimit or None
        What other recordings taught of this limit.
    t_s : float
        The instant [s].

    Returns
    -------
    (float, str) or None
        The power [kW] and a remark in words; None where nothing was learned for it.
    """
    cell = coldest(acts.scene, t_s)
    if known is None or cell is None or not _fits(acts, known):
        return None
    charge = acts.scene.value(names.CHARGE_PHYSICAL, t_s)
    pct = np.array([np.nan if charge is None else charge])
    found, spread = known.at(np.array([cell]), pct)
    kW, sigma = float(found[0]), float(spread[0])
    if not np.isfinite(kW):
        return None
    if known.origin != "limit signal":
        if kW < threshold("power_on_kW"):
            return None
        text = f"at this temperature this vehicle has taken {kilowatt(kW)} before"
        return kW, f"{text} ({mornings(known.mornings)})"
    if kW <= threshold("limit_on_kW"):
        return None  # where the limit leaves zero is told by the threshold
    text = f"at this temperature this vehicle has allowed at most {kilowatt(kW)}"
    if np.isfinite(sigma) and sigma >= threshold("learned_unsure") * kW:
        text += f", give or take {kilowatt(sigma)}"
    return kW, f"{text} ({mornings(known.mornings)})"


def learned_bound(acts: Acts, known: KnownLimit | None, t_s: float) -> Bound | None:
    """Give the learned limit as a bound, for a recording that has no signal of the limit.

    Parameters
    ----------
    acts : Acts
        What was found in the recording.
    known : KnownLimit or None
        What other recordings taught of this limit.
    t_s : float
        The instant [s].

    Returns
    -------
    Bound or None
        None where nothing was learned, or only what was achieved: that bounds nothing.
    """
    told = allowed_here(acts, known, t_s)
    path, cell = coldest_path(acts.scene), coldest(acts.scene, t_s)
    if told is None or known is None or known.origin != "limit signal" or cell is None:
        return None
    evidence = (Evidence(path or "", cell, "degC", known.from_degC, t_s),)
    here = f"{cell_name(acts.scene)} is at {degrees(cell)}, and "
    return Bound("coldest-cell", told[0], here + told[1], evidence)
