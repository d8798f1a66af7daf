"""The explained recording as one JSON document, for programs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

import numpy as np

from thawline.charge.charge import Gain
from thawline.ledger.ledger import Feed, Ledger, Line
from thawline.recording.recording import Quality, Recording
from thawline.report.explained import Explained, Finding
from thawline.report.instants import Instant, why_nots
from thawline.report.moments import Moments, moments_of
from thawline.report.tidying import tidy
from thawline.story.story import Evidence

#: Values are given to this many significant digits [1].
DIGITS = 9


def document(explained: Explained) -> dict[str, Any]:
    """Turn an explained recording into JSON's own types.

    Times are seconds from the first sample (``…_s``) and RFC 3339 UTC (``at``), energies
    kWh, temperatures degC, powers kW. What cannot be told is ``null``; there is no NaN.

    Parameters
    ----------
    explained : Explained
        The explained recording.

    Returns
    -------
    dict
        ``recording``, ``turning_points``, ``spans``, ``ledger``, ``charge``, ``findings``
        and, beyond these, ``not_checked``, ``vehicle``, ``starts_at``, ``duration_s``, ``lost``,
        ``why_not``, ``notes``, ``warnings`` and ``quality``.
    """
    recording, story = explained.recording, explained.story
    moments = moments_of(recording, story)
    whole = {
        "recording": recording.id,
        "vehicle": recording.vehicle.name,
        "starts_at": moments.iso(0.0),
        "duration_s": recording.duration_s,
        "turning_points": [
            {
                "kind": point.kind,
                "t_s": point.t_s,
                "at": moments.iso(point.t_s),
                "because": point.because,
                "evidence": _evidence(point.evidence),
                "plus_minus_s": point.plus_minus_s,
            }
            for point in story.turning_points
        ],
        "spans": [
            {
                "lane": span.lane,
                "from_s": span.from_s,
                "to_s": span.to_s,
                "level": span.level,
                "because": span.because,
            }
            for span in story.spans
        ],
        "ledger": _ledger(explained.ledger),
        "charge": {
            "shown_gain_pct": explained.charge.shown.pct,
            "charged_gain_pct": explained.charge.charged.pct,
            "warmed_back_pct": explained.charge.warmed_back.pct,
            "shown": _gain(explained.charge.shown),
            "charged": _gain(explained.charge.charged),
            "warmed_back": _gain(explained.charge.warmed_back),
            "sentence": explained.charge.sentence,
        },
        "findings": [
            {
                "kind": found.kind,
                "from_s": found.from_s,
                "confidence": found.confidence,
                "because": found.because,
                "evidence": _evidence(found.evidence),
                "next_check": found.next_check,
                "caution": found.caution,
            }
            for found in (Finding(*plain) for plain in explained.findings)
        ],
        "not_checked": [one._asdict() for one in explained.unchecked],
        "lost": [asdict(lost) for lost in story.lost],
        "why_not": [_why_not(instant, moments) for instant in why_nots(explained)],
        "notes": [
            {"at_s": at_s, "at": moments.iso(at_s), "text": text} for at_s, text in explained.notes
        ],
        "warnings": list(dict.fromkeys((*recording.vehicle.warnings, *recording.quality.warnings))),
        "quality": _quality(recording, recording.quality),
    }
    tidied: dict[str, Any] = tidy(whole, DIGITS)
    return tidied


def _evidence(evidence: Iterable[Evidence]) -> list[dict[str, Any]]:
    return [
        {
            "signal": one.signal,
            "value": one.value,
            "unit": one.unit,
            "threshold": one.threshold,
            "at_s": one.at_s,
        }
        for one in evidence
    ]


def _ledger(ledger: Ledger) -> dict[str, Any]:
    return {
        "electrical": [_line(line) for line in ledger.electrical],
        "heat": [_line(line) for line in ledger.heat],
        "covered_s": ledger.covered_s,
        "feed": None if ledger.feed is None else _feed(ledger.feed),
        "notes": list(ledger.notes),
    }


def _line(line: Line) -> dict[str, Any]:
    return {
        "line": line.line,
        "kWh": line.kWh,
        "plus_minus_kWh": line.plus_minus_kWh,
        "origin": line.origin,
        "note": line.note,
        "bridged_kWh": line.bridged_kWh,
    }


def _feed(feed: Feed) -> dict[str, Any]:
    step_h = float(np.median(np.diff(feed.t))) / 3600.0 if len(feed.t) > 1 else 0.0
    return {
        "supply_to_kWh": {to: np.nansum(kW) * step_h for to, kW in feed.supply_to.items()},
        "pack_to_kWh": {to: np.nansum(kW) * step_h for to, kW in feed.pack_to.items()},
        "pack_helped": [{"from_s": begin, "to_s": end} for begin, end in feed.helping],
    }


def _gain(gain: Gain) -> dict[str, Any]:
    return {"pct": gain.pct, "plus_minus_pct": gain.plus_minus_pct, "note": gain.note}


def _why_not(instant: Instant, moments: Moments) -> dict[str, Any]:
    answer = instant.answer
    return {
        "when": instant.when,
        "what": answer.what,
        "t_s": answer.t_s,
        "at": moments.iso(answer.t_s),
        "limit": answer.limit,
        "now_kW": answer.now_kW,
        "because": answer.because,
        "evidence": _evidence(answer.evidence),
    }


def _quality(recording: Recording, quality: Quality) -> dict[str, Any]:
    return {
        "frames": quality.frames,
        "frames_left_out": dict(quality.frames_left_out),
        "duplicates": quality.duplicates,
        "clock_steps": [asdict(step) for step in quality.clock_steps],
        "gaps": [asdict(gap) for gap in recording.gaps],
    }
