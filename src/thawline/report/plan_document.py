"""A plan as a JSON document."""

from __future__ import annotations

import math
from datetime import UTC, datetime
from typing import Any

from thawline.plan.plan import Course, Option, Plan, Ready

NAMES = ("p10", "p50", "p90")


def _at(since_epoch_s: float) -> str:
    moment = datetime.fromtimestamp(round(since_epoch_s), UTC)
    return moment.isoformat(timespec="seconds").replace("+00:00", "Z")


def _number(value: float | None, digits: int = 4) -> float | None:
    return None if value is None or not math.isfinite(value) else round(float(value), digits)


def _three(three: tuple[float, float, float]) -> dict[str, float | None]:
    return {name: _number(value, 2) for name, value in zip(NAMES, three, strict=True)}


def _ready(ready: Ready) -> dict[str, Any]:
    return {
        "at": _at(ready.leave_s),
        "charge": _number(ready.charge),
        "regeneration": _number(ready.regeneration),
        "cabin": _number(ready.cabin),
        "glass": _number(ready.glass),
        "together": _number(ready.together),
        "charge_pct": _three(ready.charge_pct),
        "coldest_degC": _three(ready.coldest_degC),
        "regeneration_kW": _three(ready.regeneration_kW),
        "cabin_degC": _three(ready.cabin_degC),
        "glass_degC": _three(ready.glass_degC),
    }


def _option(option: Option) -> dict[str, Any]:
    road = option.road
    return {
        "key": option.key,
        "name": option.name,
        "cost": _number(option.cost),
        "energy_kWh": _number(option.energy_kWh),
        "from_pack_kWh": _number(option.from_pack_kWh),
        "carbon_g": _number(option.carbon_g, 1),
        "ready": {"together": _number(option.chance), "leaving": [_ready(r) for r in option.ready]},
        "wear": {
            "charging_below_5_degC_min": _number(option.wear.below_low_min, 1),
            "charging_below_10_degC_min": _number(option.wear.below_high_min, 1),
            "most_rate_per_h": _number(option.wear.most_rate),
        },
        "first_trip": None
        if road is None
        else {
            "trip": road.trace,
            "km": _number(road.km, 2),
            "kWh": _number(road.kWh),
            "range_km": _number(road.range_km, 1),
            "cost": _number(road.cost),
        },
        "note": option.said,
    }


def _course(course: Course) -> dict[str, Any]:
    def listed(values: Any, digits: int = 3) -> list[float]:
        return [round(float(value), digits) for value in values]

    return {
        "at": [_at(t) for t in course.t_s],
        "coldest_degC": {n: listed(course.coldest[:, i], 2) for i, n in enumerate(NAMES)},
        "charge_pct": {n: listed(course.charge[:, i], 2) for i, n in enumerate(NAMES)},
        "heat_kW": listed(course.heat_kW),
        "cabin_kW": listed(course.cabin_kW),
        "charge_kW": listed(course.charge_kW),
        "other_kW": listed(course.base_kW),
        "loss_kW": listed(course.loss_kW),
        "from_pack_kW": listed(course.helped_kW),
        "price": listed(course.price, 4),
        "carbon_g_per_kWh": listed(course.carbon, 1),
        "outside_degC": listed(course.outside, 2),
        "ceiling_kW": _number(course.ceiling_kW),
    }


def plan_document(plan: Plan) -> dict[str, Any]:
    """Describe a plan as the contract has it.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    dict
        ``steps``, ``cost``, ``energy_kWh``, ``ready``, ``alternatives`` and what else is known;
        times are RFC 3339 in UTC.
    """
    chosen = _option(plan.chosen)
    solved, nearest = plan.solved, plan.nearest
    return {
        "vehicle": plan.vehicle,
        "made_at": _at(plan.asked.now_s),
        "is_possible": plan.is_possible,
        "chance": plan.asked.chance,
        "steps": [
            {
                "at": _at(step.from_s),
                "do": step.do,
                "until": _at(step.until_s),
                "kW": _number(step.kW, 2),
                "because": step.because,
            }
            for step in plan.steps
        ],
        "cost": chosen["cost"],
        "currency": plan.asked.currency or None,
        "energy_kWh": chosen["energy_kWh"],
        "from_pack_kWh": chosen["from_pack_kWh"],
        "carbon_g": chosen["carbon_g"],
        "ready": chosen["ready"],
        "wear": chosen["wear"],
        "first_trip": chosen["first_trip"],
        "alternatives": [_option(option) for option in plan.alternatives],
        "binding": list(plan.binding),
        "wish_costs": [
            {"change": w.change, "saves": _number(w.saves), "ready": _number(w.chance)}
            for w in plan.wish_costs
        ],
        "nearest": None
        if nearest is None
        else {"can": list(nearest.can), "would_help": list(nearest.cures)},
        "supply": {
            "volts": plan.asked.supply.volts,
            "amps": plan.asked.supply.allowed_A,
            "phases": plan.asked.supply.phases,
            "rule": plan.asked.supply.rule,
        },
        "course": _course(plan.course),
        "solved": {
            "rounds": solved.rounds,
            "members": solved.members,
            "gap": _number(solved.gap),
            "seconds": _number(solved.seconds, 2),
            "step_s": solved.step_s,
        },
        "mornings": plan.mornings,
        "assumes": list(plan.assumes),
    }
