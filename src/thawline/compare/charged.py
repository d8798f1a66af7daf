r"""Why less was charged: the difference of two electrical accounts, taken apart.

By the balance of each account, what went into the pack less what came out of it is

.. math:: N = S - \sum_i L_i - U

with the supply *S*, its takers :math:`L_i` (charger loss, heating, cabin, other loads) and what is
unaccounted for *U*. The difference of *N* is therefore, kilowatt-hour for kilowatt-hour, that of
each line with its sign. Heating is shared further by the warm-ups, the supply by ``supplied``.
"""

from __future__ import annotations

import numpy as np

from thawline.compare.comparison import Charged, Share, Side
from thawline.compare.figures import LINES
from thawline.compare.sides import ExplainedLike, setting
from thawline.compare.supplied import supply_shares
from thawline.compare.warming import Warming
from thawline.ledger.ledger import Line

#: Lines that are the balance itself, or what it leaves.
NOT_TAKERS = ("supply", "pack-in", "pack-out", "unaccounted")


def _lines(explained: ExplainedLike) -> dict[str, Line]:
    return {line.line: line for line in explained.ledger.electrical}


def _kWh(lines: dict[str, Line], name: str) -> tuple[float | None, float]:
    line = lines.get(name)
    return (None, 0.0) if line is None else (line.kWh, line.plus_minus_kWh or 0.0)


def _heat_shares(
    apart: float, sigma: float, warmings: tuple[Warming | None, Warming | None]
) -> list[Share]:
    """Share a difference in heating [kWh] out among colder start, effect and the time after."""
    a, b = warmings
    if a is None or b is None:
        return []
    common = min(a.rise_K, b.rise_K)
    one, other = a.until(common), b.until(common)
    whole = (a.until(a.rise_K).heat_kWh, b.until(b.rise_K).heat_kWh)
    colder = (whole[1] - other.heat_kWh) - (whole[0] - one.heat_kWh)
    kW = float(np.sqrt(one.heat_kW * other.heat_kW))
    same = one.heat_at_kWh(kW), other.heat_at_kWh(kW)
    effect = same[1] - same[0]
    slower = other.heat_kWh - one.heat_kWh - effect
    after = apart - colder - effect - slower
    if after * (colder + effect + slower) < 0.0 and abs(after) > 2.0 * sigma:
        return []  # it heated on in one of both: to take the line apart would mislead
    doubt = setting("temperature_K") * max(whole[0] / a.rise_K, whole[1] / b.rise_K)
    from_degC = f"it began at {b.from_degC:.1f} instead of {a.from_degC:.1f} °C"
    return [
        Share("heat-colder", -colder, doubt, f"heating took {_more(colder)} because {from_degC}"),
        Share(
            "heat-effect",
            -effect,
            doubt,
            f"warming by the same {common:.1f} K took {same[1]:.2f} kWh of heat instead of "
            f"{same[0]:.2f} kWh",
        ),
        Share(
            "heat-power",
            -slower,
            doubt,
            f"heating took {_more(slower)} because coolant and drive units ran "
            f"{'hotter' if slower > 0.0 else 'less hot'} at {other.heat_kW:.1f} kW instead of "
            f"{one.heat_kW:.1f} kW",
        ),
        Share(
            "heat-after",
            -after,
            float(np.hypot(sigma, doubt)),
            f"heating took {_more(after)} after the first {common:.1f} K",
        ),
    ]


def _more(kWh: float) -> str:
    return f"{abs(kWh):.2f} kWh {'more' if kWh > 0.0 else 'less'}"


def charged(
    a: ExplainedLike,
    b: ExplainedLike,
    sides: tuple[Side, Side],
    warmings: tuple[Warming | None, Warming | None],
) -> Charged | None:
    """Take the difference in what was charged apart.

    Parameters
    ----------
    a, b : ExplainedLike
        The explained recordings.
    sides : tuple of Side
        Their clocks.
    warmings : tuple of (Warming or None, Warming or None)
        Their warm-ups to the same turning point.

    Returns
    -------
    Charged or None
        Its shares and what they leave add up to the difference; None where one of the accounts
        does not know what went into the pack.
    """
    lines = _lines(a), _lines(b)
    net, doubts = [], []
    for one in lines:
        (into, into_sigma), (out, out_sigma) = (_kWh(one, n) for n in ("pack-in", "pack-out"))
        if into is None or out is None:
            return None
        net.append(into - out)
        doubts += [into_sigma, out_sigma]
    shares: list[Share] = []
    missing = []
    takers = dict.fromkeys(name for one in lines for name in one if name not in NOT_TAKERS)
    for name in ("supply", *takers):
        (va, sa), (vb, sb) = _kWh(lines[0], name), _kWh(lines[1], name)
        title = LINES.get(name, name.replace("-", " "))
        if va is None or vb is None:
            missing.append(title)
            continue
        sigma = float(np.hypot(sa, sb))
        if name == "supply":
            shares += supply_shares(a, b, sides, (va, vb), sigma)
            continue
        heats = _heat_shares(vb - va, sigma, warmings) if name == "drive-unit-heating" else []
        because = f"{title} took {vb:.2f} kWh instead of {va:.2f} kWh"
        shares += heats or [Share(name, va - vb, sigma, because)]
    shares.sort(key=lambda share: -abs(share.kWh))
    apart = net[1] - net[0]
    untold = apart - sum(share.kWh for share in shares)
    return Charged(apart, float(np.hypot.reduce(doubts)), tuple(shares), untold, tuple(missing))
