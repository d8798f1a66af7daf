"""Trends as one JSON document."""

from __future__ import annotations

from typing import Any

from thawline.report.moments import Moments
from thawline.trends.trends import Trend, Trends


def _rounded(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.6g}")


def _trend(trend: Trend) -> dict[str, Any]:
    rows = zip(
        trend.recordings,
        trend.starts_at.tolist(),
        trend.raw.tolist(),
        trend.normalised.tolist(),
        trend.weights.tolist(),
        strict=True,
    )
    return {
        "quantity": trend.quantity,
        "title": trend.title,
        "unit": trend.unit,
        "mornings": trend.mornings,
        "days": _rounded(trend.days),
        "level": _rounded(trend.level),
        "plus_minus": _rounded(trend.level_sigma),
        "change": _rounded(trend.change),
        "change_plus_minus": _rounded(trend.change_sigma),
        "change_unit": trend.change_unit,
        "scatter": _rounded(trend.scatter),
        "is_change": trend.is_change,
        "taken_out": [
            {
                "condition": one.condition,
                "at": _rounded(one.at),
                "unit": one.unit,
                "each": _rounded(one.each),
                "plus_minus": _rounded(one.sigma),
            }
            for one in trend.effects
        ],
        "not_taken_out": list(trend.not_taken_out),
        "sentence": trend.sentence,
        "points": [
            {
                "recording": name,
                "starts_at": Moments(start, 0.0, False).iso(0.0),
                "value": _rounded(raw),
                "normalised": _rounded(normalised),
                "weight": _rounded(weight),
            }
            for name, start, raw, normalised, weight in rows
        ],
    }


def trends_document(trends: Trends) -> dict[str, Any]:
    """Turn trends to what ``--json`` prints.

    Parameters
    ----------
    trends : Trends
        The trends.

    Returns
    -------
    dict
        The document; see ``docs/json.md``.
    """
    return {
        "vehicle": trends.vehicle,
        "model": trends.model,
        "mornings": trends.mornings,
        "tariff_per_kWh": trends.price_per_kWh,
        "trends": [_trend(one) for one in trends.trends],
        "not_told": list(trends.not_told),
    }
