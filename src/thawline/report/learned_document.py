"""What was learned as one JSON document, for programs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import numpy as np

from thawline.charge.learned import HiddenCurve, Learned, LimitCurve, OpenCircuit
from thawline.charge.learned_words import sentences
from thawline.charge.resisting import ResistanceCurve
from thawline.plating.plating import CAUTION, KeptDistance, PlatingMap
from thawline.report.moments import Moments
from thawline.report.tidying import tidy


def learned_document(
    found: Learned,
    margin: PlatingMap | None = None,
    kept: Sequence[KeptDistance] = (),
    no_margin: str = "",
) -> dict[str, Any]:
    """Turn what was learned into JSON's own types.

    Parameters
    ----------
    found : Learned
        What was learned.
    margin : PlatingMap, optional
        The plating margin of a textbook cell.
    kept : sequence of KeptDistance
        Own charging on it, recording by recording.
    no_margin : str
        Why there is no margin, in plain words.

    Returns
    -------
    dict
        ``vehicle``, ``recordings``, ``limits``, ``resistance``, ``capacity``, ``hidden``,
        ``open_circuit``, ``plating``, ``lost``, ``sentences``.
    """
    curves = {"charging": found.charging, "regeneration": found.regeneration}
    whole: dict[str, Any] = tidy(
        {
            "vehicle": found.vehicle,
            "recordings": list(found.recordings),
            "limits": {
                what: None if curve is None else _limit(curve) for what, curve in curves.items()
            },
            "resistance": None if found.resistance is None else _resistance(found.resistance),
            "capacity": asdict(found.capacity),
            "hidden": None if found.hidden is None else _hidden(found.hidden),
            "open_circuit": None if found.open_circuit is None else _rest(found.open_circuit),
            "plating": _plating(margin, kept, no_margin),
            "lost": list(found.lost),
            "sentences": sentences(found),
        }
    )
    return whole


def _limit(curve: LimitCurve) -> dict[str, Any]:
    return {
        "origin": curve.origin.replace(" ", "-"),
        "against": curve.against,
        "threshold": asdict(curve.threshold),
        "curve": [
            {"degC": degC, "kW": kW, "low_kW": low, "high_kW": high}
            for degC, kW, low, high in zip(
                curve.degC, curve.kW, curve.low_kW, curve.high_kW, strict=True
            )
        ],
        "by_charge": [
            {"charge_pct": pct, "kW": kW}
            for pct, kW in zip(curve.charge_pct, curve.charge_kW, strict=True)
        ],
        "full_from_degC": curve.full_from_degC,
        "enough_from_degC": curve.enough_from_degC,
        "enough_kW": curve.enough_kW,
        "charge_seen_pct": curve.charge_seen_pct,
        "misfit": curve.misfit,
        "samples": len(curve.points.kW),
        "recordings": curve.recordings,
    }


def _resistance(curve: ResistanceCurve) -> dict[str, Any]:
    return {
        "reference_degC": curve.reference_degC,
        "mOhm": curve.mOhm,
        "plus_minus_mOhm": curve.plus_minus_mOhm,
        "activation_kJ_per_mol": curve.activation_kJ_per_mol,
        "activation_plus_minus_kJ_per_mol": curve.activation_plus_minus,
        "by_steps_mOhm": curve.by_steps_mOhm,
        "by_steps_plus_minus_mOhm": curve.by_steps_plus_minus,
        "by_temperature": [
            {"degC": row.degC, "mOhm": row.mOhm, "plus_minus_mOhm": row.plus_minus_mOhm}
            for row in curve.table
        ],
        "mornings": [
            {
                "recording": row.recording_id,
                "starts_at": Moments(row.starts_at, 0.0, False).iso(0.0),
                "mOhm": row.mOhm,
                "plus_minus_mOhm": row.plus_minus_mOhm,
            }
            for row in curve.mornings
        ],
        "trend_pct_per_year": curve.trend_pct_per_year,
        "trend_plus_minus_pct_per_year": curve.trend_plus_minus,
        "note": curve.note,
    }


def _hidden(curve: HiddenCurve) -> dict[str, Any]:
    return {
        "curve": [
            {"degC": degC, "hidden_pct": pct, "low_pct": low, "high_pct": high, "usable_kWh": kWh}
            for degC, pct, low, high, kWh in zip(
                curve.degC, curve.hidden_pct, curve.low_pct, curve.high_pct, curve.usable_kWh,
                strict=True,
            )
        ],
        "pct_per_K": curve.pct_per_K,
        "none_from_degC": curve.none_from_degC,
    }  # fmt: skip


def _rest(curve: OpenCircuit) -> dict[str, Any]:
    return {
        "cells_in_series": curve.cells_in_series,
        "curve": [
            {"charge_pct": pct, "volts": volts, "plus_minus_V": sigma}
            for pct, volts, sigma in zip(
                curve.charge_pct, curve.volts, curve.plus_minus_V, strict=True
            )
        ],
    }


def _plating(
    margin: PlatingMap | None, kept: Sequence[KeptDistance], no_margin: str
) -> dict[str, Any]:
    if margin is None:
        return {"map": None, "because": no_margin, "kept": [], "caution": CAUTION}
    return {
        "map": {
            "parameter_set": margin.parameter_set,
            "paper": margin.paper,
            "model": margin.model,
            "package_version": margin.version,
            "charge_s": margin.charge_s,
            "degC": margin.degC,
            "charge_pct": margin.charge_pct,
            "rate_per_h": margin.rate_per_h,
        },
        "kept": [_kept(one) for one in kept],
        "caution": CAUTION,
    }


def _kept(one: KeptDistance) -> dict[str, Any]:
    nearest = None
    if one.nearest is not None:
        k = one.nearest
        nearest = {
            "t_s": one.t[k],
            "degC": one.degC[k],
            "charge_pct": one.charge_pct[k],
            "rate_per_h": one.rate_per_h[k],
            "limit_per_h": one.limit_per_h[k],
            "share": one.rate_per_h[k] / np.maximum(one.limit_per_h[k], 1e-3),
        }
    return {
        "recording": one.recording_id,
        "capacity_Ah": one.capacity_Ah,
        "nearest": nearest,
        "sentence": one.sentence,
    }
