"""Write the truth of a morning as JSON, for whoever holds an explanation against it."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from thawline.simulator.events import within
from thawline.simulator.morning import Morning


def log_time_s(morning: Morning, t_s: float) -> float:
    """Find the time that the log gives an instant.

    A reader can mend a clock that jumps back; it cannot tell a jump forward from a gap.

    Parameters
    ----------
    morning : Morning
        The morning.
    t_s : float
        True time since the morning's beginning [s].

    Returns
    -------
    float
        Time since the log's beginning, jumps back mended [s].
    """
    steps = morning.scenario.logger.steps
    return t_s + sum(by for at, by in steps if by > 0.0 and t_s >= at)


def truth_document(morning: Morning, frames: int, signals: Sequence[str] = ()) -> dict[str, object]:
    """Put the truth into a document.

    Parameters
    ----------
    morning : Morning
        The morning.
    frames : int
        Frames in the log [1].
    signals : sequence of str
        Catalogue paths that the vehicle file maps: what cannot be seen cannot be found.

    Returns
    -------
    dict
        ``turning_points`` (``t_s`` true time, ``log_t_s`` time in the log, ``slow_s`` how
        slowly it turns, ``in_gap`` whether the log has a gap there), ``ledger`` (both accounts,
        kWh), ``charge`` (percent), and what the car and the morning were.
    """
    scenario, truth, build = morning.scenario, morning.truth, morning.build
    return {
        "vehicle": build.name,
        "morning": scenario.name,
        "starts": scenario.starts,
        "starts_at": scenario.starts_at,
        "duration_s": scenario.duration_s,
        "frames": frames,
        "signals": sorted(signals),
        "turning_points": [
            {
                "kind": point.kind,
                "t_s": round(point.t_s, 3),
                "log_t_s": round(log_time_s(morning, point.t_s), 3),
                "slow_s": round(float(point.slow_s), 1),
                "in_gap": within(scenario.logger.gaps, point.t_s),
            }
            for point in truth.points
        ],
        "ledger": {
            "electrical": [{"line": k, "kWh": v} for k, v in truth.electrical.items()],
            "heat": [{"line": k, "kWh": v} for k, v in truth.heat.items()],
            "more": dict(truth.more),
        },
        "charge": {
            "shown_gain_pct": truth.charge["shown"],
            "charged_gain_pct": truth.charge["charged"],
            "warmed_back_pct": truth.charge["warmed-back"],
        },
        "car": {
            "heat_capacity_kJ_per_K": build.pack.heat_capacity_kJ_per_K,
            "pack_to_ambient_W_per_K": build.pack.ambient_W_per_K,
            "charging_from_degC": build.limits.charging_from_degC,
            "regeneration_from_degC": build.limits.regeneration_from_degC,
            "drive_units": len(build.drive_units.positions),
        },
    }


def write_truth(morning: Morning, frames: int, signals: Sequence[str], path: Path) -> None:
    """Write the truth as JSON.

    Parameters
    ----------
    morning : Morning
        The morning.
    frames : int
        Frames in the log [1].
    signals : sequence of str
        Catalogue paths that the vehicle file maps.
    path : Path
        The file.
    """
    document = truth_document(morning, frames, signals)
    path.write_text(json.dumps(document, indent=2) + "\n", encoding="utf-8")
