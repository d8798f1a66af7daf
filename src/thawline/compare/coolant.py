"""Whether coolant flow tells why the same heat warmed one pack less."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thawline.compare.comparison import Part, Side
from thawline.compare.sides import ExplainedLike, channel, setting
from thawline.compare.warming import Warming
from thawline.recording.powers import BATTERY

FLOW = BATTERY + "Coolant.Flow"


def mean_flow(explained: ExplainedLike, side: Side, warmed: Warming) -> float | None:
    """Average the coolant flow over a warm-up.

    Parameters
    ----------
    explained : ExplainedLike
        The explained recording.
    side : Side
        Its clock.
    warmed : Warming
        The warm-up.

    Returns
    -------
    float or None
        Mean flow; None where it is not recorded [l/min].
    """
    values, t = channel(explained, FLOW), explained.flows.t
    if values is None:
        return None
    begin = side.zero_s + warmed.wait_s
    inside = values[(t >= begin) & (t <= begin + warmed.heated_s)]
    known = inside[~np.isnan(inside)]
    return float(np.mean(known)) if len(known) else None


def less_reached(parts: Sequence[Part], ran: tuple[Warming | None, Warming | None]) -> str | None:
    """Tell in which of both less of the heat reached the coldest cell.

    Parameters
    ----------
    parts : sequence of Part
        The reasons for the difference in time; empty where one of both did not get there.
    ran : tuple of (Warming or None, Warming or None)
        How both warmed while heat was given.

    Returns
    -------
    str or None
        ``A`` or ``B``; None where it is the same or cannot be told.
    """
    effect = next((part for part in parts if part.key == "heat-effect"), None)
    if effect is not None:
        return None if not effect.is_told else "B" if effect.minutes > 0.0 else "A"
    a, b = ran
    if a is None or b is None:
        return None
    low, high = sorted((a.K_per_kWh, b.K_per_kWh))
    if low >= setting("less_reached") * high:
        return None
    return "B" if b.K_per_kWh == low else "A"


def flow_sentence(less: str | None, flows: tuple[float | None, float | None]) -> str | None:
    """Say what coolant flow tells of a difference in what the heat did.

    Parameters
    ----------
    less : str or None
        In which of both less of the heat reached the coldest cell.
    flows : tuple of (float or None, float or None)
        Mean coolant flow of both warm-ups [l/min].

    Returns
    -------
    str or None
        One sentence; None where as much of it did.
    """
    if less is None:
        return None
    reached = f"Less of the heat reached the coldest cell in {less}"
    a, b = flows
    if a is None or b is None:
        return (
            f"{reached}; coolant flow is not recorded{'' if a is b else ' in both'}: less flow, a "
            "valve or losses – cannot tell which."
        )
    told = f"{b:.1f} l/min in B, {a:.1f} l/min in A"
    if abs(b - a) < max(setting("least_flow"), setting("least_flow_share") * max(a, b)):
        return (
            f"{reached}, with the same coolant flow ({told}): a valve or losses – cannot tell "
            "which."
        )
    if (b < a) == (less == "B"):
        return (
            f"{reached}: less coolant flowed through the pack there ({told}). A weak pump, air or "
            "a blockage may be why."
        )
    return (
        f"{reached}, though more coolant flowed there ({told}): a valve or losses – cannot tell "
        "which."
    )
