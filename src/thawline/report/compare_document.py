"""A comparison as one JSON document, for programs."""

from __future__ import annotations

from typing import Any

from thawline.compare.comparison import Charged, Comparison, Side
from thawline.report.moments import Moments
from thawline.report.tidying import tidy


def compare_document(found: Comparison) -> dict[str, Any]:
    """Turn a comparison into JSON's own types.

    Parameters
    ----------
    found : Comparison
        The comparison.

    Returns
    -------
    dict
        ``a``, ``b``, ``turning_points``, ``figures``, ``reasons``, ``charged``,
        ``sentences``, ``per_kWh``.
    """
    whole: dict[str, Any] = tidy(
        {
            "a": _side(found.a),
            "b": _side(found.b),
            "turning_points": [
                {
                    "kind": one.kind,
                    "a_s": one.a_s,
                    "b_s": one.b_s,
                    "a_plus_minus_s": one.a_sigma_s,
                    "b_plus_minus_s": one.b_sigma_s,
                    "later_s": one.later_s,
                }
                for one in found.turnings
            ],
            "figures": [
                {
                    "key": row.key,
                    "group": row.group.lower(),
                    "title": row.title,
                    "unit": row.unit,
                    "a": row.a,
                    "b": row.b,
                    "a_plus_minus": row.a_sigma,
                    "b_plus_minus": row.b_sigma,
                    "difference": row.difference,
                    "differs": row.differs,
                }
                for row in found.rows
            ],
            "reasons": {
                "of": found.target or None,
                "parts": [
                    {
                        "key": part.key,
                        "minutes": part.minutes,
                        "plus_minus_min": part.sigma_min,
                        "because": part.because,
                    }
                    for part in found.parts
                ],
            },
            "charged": None if found.charged is None else _charged(found.charged),
            "sentences": list(found.sentences),
            "per_kWh": found.per_kWh,
        }
    )
    return whole


def _charged(charged: Charged) -> dict[str, Any]:
    return {
        "difference_kWh": charged.kWh,
        "plus_minus_kWh": charged.sigma_kWh,
        "shares": [
            {
                "key": share.key,
                "kWh": share.kWh,
                "plus_minus_kWh": share.sigma_kWh,
                "because": share.because,
            }
            for share in charged.shares
        ],
        "untold_kWh": charged.untold_kWh,
        "missing": list(charged.missing),
    }


def _side(side: Side) -> dict[str, Any]:
    moments = Moments(side.starts_at, side.zero_s, side.is_from_plug_in)
    return {
        "recording": side.recording_id,
        "vehicle": side.vehicle,
        "starts_at": moments.iso(0.0),
        "duration_s": side.duration_s,
        "counted_from_s": side.zero_s,
        "counted_from": "plugged-in" if side.is_from_plug_in else "first-sample",
    }
