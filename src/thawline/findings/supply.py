"""A supply that fails, and one that sags under load or by itself."""

from __future__ import annotations

import numpy as np

from thawline.findings.case import Array, Case
from thawline.findings.finding import Checked, Finding, Unchecked
from thawline.findings.settings import setting
from thawline.findings.weigh import finding
from thawline.recording.powers import CHARGING, paths_like
from thawline.story.story import Evidence

CUT, SAG = "supply-cut", "supply-sagging"
#: Ticks that a sag must last [1]; a current that counts as none, and as a load [A].
LASTS, NONE_A, LOAD_A = 20, 0.7, 4.0
#: So near to a stretch without data a loss may belong to it [s].
EDGE_S = 5.0
#: A voltage that is there at all [V].
THERE_V = 60.0


def check_supply(case: Case) -> Checked:
    """Check whether the supply stayed and held its voltage.

    Parameters
    ----------
    case : Case
        The recording.

    Returns
    -------
    Checked
        Findings, if any.
    """
    volts = paths_like(case.recording, CHARGING + "ChargeVoltage.Phase", "")
    cuts = _cuts(case)
    if not volts:
        missing = "no voltage of the supply's phases"
        told = () if cuts else (Unchecked(CUT, missing),)
        return Checked(cuts, (*told, Unchecked(SAG, missing)))
    found = next((f for path in volts if (f := _sag(case, path)) is not None), None)
    return Checked(cuts if found is None else (*cuts, found))


def _cuts(case: Case) -> tuple[Finding, ...]:
    points = [p for p in case.story.turning_points if p.kind in ("supply-lost", "supply-back")]
    # at the edge of a stretch without data nobody knows whether the cable went with it
    edges = [(gap.from_s - EDGE_S, gap.to_s + EDGE_S) for gap in case.recording.gaps]
    lost = [
        p for p in points
        if p.kind == "supply-lost" and not any(a <= p.t_s <= b for a, b in edges)
    ]  # fmt: skip
    if not lost:
        return ()
    first = lost[0]
    back = next((p.t_s for p in points if p.kind == "supply-back" and p.t_s > first.t_s), None)
    lasted = "did not come back" if back is None else f"was away for {back - first.t_s:.0f} s"
    times = "" if len(lost) == 1 else f", and failed {len(lost) - 1} more times after that"
    because = f"{first.because} It {lasted}{times}."
    evidence = first.evidence[:1] or (Evidence("supply", 0.0, "kW", None, first.t_s),)
    return (finding(CUT, first.t_s, setting("z"), because, evidence),)


def _sag(case: Case, path: str) -> Finding | None:
    volts = case.lay(path)
    amps = case.lay(path.replace("Voltage", "Current"))
    there = volts > THERE_V
    if np.count_nonzero(there) < 3 * LASTS:
        return None
    rest = _unloaded(case, path, volts, amps)
    if rest is None:
        return None
    open_V, sigma = rest
    limit = setting("sag_share")
    low = there & (volts < (1.0 - limit) * open_V)
    held = np.convolve(low, np.ones(LASTS), mode="valid") >= LASTS
    if not held.any():
        return None
    at = int(np.flatnonzero(held)[0])
    value = float(np.nanmedian(volts[low]))
    share = 1.0 - value / open_V
    load = float(np.nanmedian(amps[low])) if np.any(~np.isnan(amps[low])) else 0.0
    z = share / (sigma / open_V)
    if z < setting("z"):
        return None
    because = (
        f"The supply's voltage is {value:.0f} V with {load:.0f} A drawn, {share:.0%} below the "
        f"{open_V:.0f} V that it has without load: a long or thin line, a bad contact, or a weak "
        "supply."
    )
    when = float(case.t[at])
    return finding(SAG, when, z, because, [Evidence(path, value, "V", open_V, when)])


def _unloaded(case: Case, path: str, volts: Array, amps: Array) -> tuple[float, float] | None:
    """Find the voltage without load: seen so, or extrapolated from what the current did."""
    channel = case.recording.channels[path]
    seen = volts > THERE_V
    sway = setting("sag_volts_sigma")
    current = case.recording.channels.get(path.replace("Voltage", "Current"))
    if current is None:
        high = float(np.nanquantile(volts[seen], 0.98))
        return high, sway * high
    drawn = np.interp(channel.t, current.t, current.values)
    idle = (channel.values > THERE_V) & (np.abs(drawn) < NONE_A)
    if np.count_nonzero(idle) >= 2:
        value = float(np.quantile(channel.values[idle], 0.75))
        return value, sway * value
    known = seen & ~np.isnan(amps)
    if np.count_nonzero(known) > 3 * LASTS and np.ptp(amps[known]) > LOAD_A:
        slope, level = np.polyfit(amps[known], volts[known], 1)
        reach = float(np.mean(amps[known]) / np.ptp(amps[known]))
        value = float(level if slope < 0.0 else np.mean(volts[known]))
        return max(value, float(np.quantile(volts[known], 0.98))), sway * value * (1.0 + reach / 3)
    high = float(np.nanquantile(volts[seen], 0.98))
    return high, sway * high
