"""What a charger's regulation leaves for a cold pack is no charging."""

from __future__ import annotations

import numpy as np

from tests.story.mornings import BATTERY, CHARGING, Plan, morning
from thawline.story.tell import tell

#: A pack kept at −6 °C for ten minutes and warm after, fed with a residue of 0.2 kW.
PLAN = Plan(duration_s=1200.0, start_degC=-6.0, cabin_s=None, drive_s=None, unplug_s=1180.0)
AMPS = BATTERY + "CurrentCurrent"


def told(after_kW: float = 0.2, limit: bool = True) -> list[tuple[str, float]]:
    T = np.arange(0.0, PLAN.duration_s, 0.1)
    fed = (T > 140.0) & (T < 1180.0)
    warm = T > 700.0
    values = {
        BATTERY + "Temperature.Min": np.where(warm, 4.0, -6.0),
        BATTERY + "Limits.ChargePower": np.where(warm, 6.0, 0.0),
        BATTERY + "CurrentVoltage": np.full(len(T), 400.0),
        AMPS: np.where(fed, np.where(warm, after_kW, 0.2) * 1e3 / 400.0, 0.0),
        CHARGING + "ChargeCurrent.Phase1": np.where(fed, 24.0, 0.0),
    }
    plan = PLAN if limit else Plan(**{**PLAN.__dict__, "leave_out": ("Limits",)})
    story = tell(*morning(plan, None, values))
    return [(p.kind, p.t_s) for p in story.turning_points if p.kind.startswith("charging")]


def test_a_trickle_that_the_limit_forbids_is_no_charging():
    """0.2 kW at a limit of zero are regulation; 3 kW from 700 s on, when it allows 6, are not."""
    points = told(3.0)
    assert [kind for kind, _ in points] == ["charging-begins", "charging-ends"]
    assert abs(points[0][1] - 700.0) < 3.0


def test_the_same_trickle_counts_where_the_limit_allows_it():
    """It begins when the limit leaves zero, and not ten minutes before."""
    points = told(0.2)
    assert points and points[0][0] == "charging-begins" and abs(points[0][1] - 700.0) < 5.0


def test_without_a_limit_the_cold_tells():
    """No limit is recorded, and −6 °C is far below where charging is usual."""
    points = told(3.0, limit=False)
    assert abs(points[0][1] - 700.0) < 5.0
