"""Hold an explained recording against what the simulator knows to be true."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from thawline.report.explained import Explained

#: Turning points must be told within this, or their own stated uncertainty [s].
WITHIN_S = 5.0
#: Ledger lines must be within this share, or their stated standard uncertainty [1].
SHARE = 0.03


def truth_of(path: Path) -> dict[str, Any]:
    """Read a truth file."""
    return json.loads(path.read_text("utf-8"))


def turning_faults(explained: Explained, truth: dict[str, Any]) -> list[str]:
    """List turning points that are missing, false or late."""
    told: dict[str, list[tuple[float, float]]] = {}
    for point in explained.story.turning_points:
        told.setdefault(point.kind, []).append((point.t_s, point.plus_minus_s))
    true: dict[str, list[float]] = {}
    for point in truth["turning_points"]:
        true.setdefault(point["kind"], []).append(point["log_t_s"])
    faults = []
    for kind in sorted(set(told) | set(true)):
        ours, theirs = told.get(kind, []), true.get(kind, [])
        if len(ours) != len(theirs):
            faults.append(f"{kind}: told {ours}, true {theirs}")
            continue
        for (t_s, sigma), wanted in zip(ours, theirs, strict=True):
            if abs(t_s - wanted) > max(WITHIN_S, 2.0 * sigma):
                faults.append(f"{kind}: told {t_s:.1f} ± {sigma:.1f}, true {wanted:.1f}")
    return faults


def ledger_faults(explained: Explained, truth: dict[str, Any], sigmas: float) -> list[str]:
    """List ledger lines further off than the share and so many standard uncertainties."""
    faults = []
    for account, lines in (
        ("electrical", explained.ledger.electrical),
        ("heat", explained.ledger.heat),
    ):
        true = {row["line"]: row["kWh"] for row in truth["ledger"][account]}
        for line in lines:
            if line.kWh is None or line.plus_minus_kWh is None:
                continue
            if line.line == "unaccounted":
                if abs(line.kWh) > 1.96 * line.plus_minus_kWh:
                    faults.append(f"{account} unaccounted {line.kWh:.3f}")
            elif abs(line.kWh - true[line.line]) > max(
                SHARE * abs(true[line.line]), sigmas * line.plus_minus_kWh
            ):
                faults.append(
                    f"{account} {line.line} {line.kWh:.3f} ± {line.plus_minus_kWh:.3f}, "
                    f"true {true[line.line]:.3f}"
                )
    return faults
