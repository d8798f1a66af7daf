"""What a worker does with one recording, or with one vehicle: plain values in, plain values out.

The same functions run in a process of a cluster and on a single machine.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np

from thawline.charge.known import limits_of
from thawline.charge.observed import observe
from thawline.findings.figures import from_plain
from thawline.fleet.source import fetch
from thawline.recording.flows import make_flows
from thawline.story.known_limits import KnownLimit
from thawline.story.tell import tell
from thawline.trends.follow import follow
from thawline.trends.morning import morning_from, morning_plain
from thawline.trends.study import find_beside, look_at
from thawline.trends.trends import Trends
from thawline.warmup.fit import fit


def in_words(task: Callable[..., Any], *given: Any) -> str:
    """Do a task and write its result as JSON, so that who asked only has to keep it.

    Parameters
    ----------
    task : callable
        What is done; it gives plain values.
    *given : Any
        What it takes.

    Returns
    -------
    str
        The result.
    """
    return json.dumps(task(*given), allow_nan=False)


def look(folder: str) -> dict[str, Any]:
    """Explain a recording by itself.

    Parameters
    ----------
    folder : str
        Where it lies.

    Returns
    -------
    dict
        Its morning, as plain values.
    """
    return morning_plain(look_at(fetch(folder)))


def find(folder: str, earlier: Sequence[dict[str, Any]]) -> list[list[Any]]:
    """Find what shows on a recording beside earlier ones.

    Parameters
    ----------
    folder : str
        Where it lies.
    earlier : sequence of dict
        Figures of the mornings before it.

    Returns
    -------
    list of list
        Kind, since when, confidence and reason of each finding.
    """
    found = find_beside(fetch(folder), [from_plain(one) for one in earlier])
    return [[one.kind, one.from_s, one.confidence, one.because] for one in found]


def warm(folder: str) -> dict[str, Any]:
    """Fit the warm-up model to a recording, with nothing learned before.

    Parameters
    ----------
    folder : str
        Where it lies.

    Returns
    -------
    dict
        Each part's parameters: names, mean, covariance, and the same of its prior.
    """
    recording = fetch(folder)
    flows = make_flows(recording)
    fitted = fit(recording, flows, tell(recording, flows))
    return {
        "lumps": list(fitted.structure.lumps) if fitted.is_tested else None,
        "parts": [
            {
                "names": list(part.names),
                "mean": part.mean.tolist(),
                "covariance": part.covariance.tolist(),
                "prior_mean": part.prior_mean.tolist(),
                "prior_covariance": part.prior_covariance.tolist(),
            }
            for part in (fitted.pack, fitted.cabin)
            if part is not None
        ],
    }


def allow(folders: Sequence[str]) -> dict[str, Any]:
    """Learn what a vehicle's pack allows.

    Parameters
    ----------
    folders : sequence of str
        Where its recordings lie, in the order of their start.

    Returns
    -------
    dict
        Both limits, None for one that nothing tells.
    """
    seen = []
    for folder in folders:
        recording = fetch(folder)
        seen.append(observe(recording, make_flows(recording)))
    found = limits_of(seen)
    return {"charging": _limit(found.charging), "regeneration": _limit(found.regeneration)}


def follow_vehicle(mornings: Sequence[Mapping[str, Any]], price_per_kWh: float | None) -> Trends:
    """Follow one vehicle over its mornings.

    Parameters
    ----------
    mornings : sequence of mapping
        What ``look`` gave of each of its recordings.
    price_per_kWh : float or None
        The tariff, for the cost [1/kWh].

    Returns
    -------
    Trends
        Its quantities.
    """
    return follow([morning_from(one) for one in mornings], price_per_kWh)


def _limit(limit: KnownLimit | None) -> dict[str, Any] | None:
    if limit is None:
        return None
    return {
        "origin": limit.origin,
        "against": limit.against,
        "from_degC": limit.from_degC,
        "from_sigma_K": limit.from_sigma_K,
        "mornings": limit.mornings,
        **{
            name: [float(value) if np.isfinite(value) else None for value in values.tolist()]
            for name, values in (
                ("degC", limit.degC),
                ("kW", limit.kW),
                ("sigma_kW", limit.sigma_kW),
            )
        },
    }
