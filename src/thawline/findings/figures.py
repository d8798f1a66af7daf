"""Write a recording's figures as plain values, and read them back."""

from __future__ import annotations

from typing import Any

from thawline.findings.finding import Figure, Figures


def plain(figures: Figures) -> dict[str, Any]:
    """Turn figures to what JSON has.

    Parameters
    ----------
    figures : Figures
        The figures.

    Returns
    -------
    dict
        The same; ``values`` by name as value, sigma, unit, at.
    """
    return {
        "recording": figures.recording_id,
        "starts_at": figures.starts_at,
        "outside_degC": figures.outside_degC,
        "values": {k: [v.value, v.sigma, v.unit, v.at] for k, v in figures.values.items()},
        "suspected": list(figures.suspected),
    }


def from_plain(kept: dict[str, Any]) -> Figures:
    """Turn what ``plain`` gave back to figures.

    Parameters
    ----------
    kept : dict
        What was kept.

    Returns
    -------
    Figures
        The figures.

    Raises
    ------
    KeyError, TypeError, ValueError
        If it is not what ``plain`` gives.
    """
    outside = kept["outside_degC"]
    values = {
        str(name): Figure(float(value), float(sigma), str(unit), float(at))
        for name, (value, sigma, unit, at) in kept["values"].items()
    }
    return Figures(
        str(kept["recording"]),
        float(kept["starts_at"]),
        None if outside is None else float(outside),
        values,
        tuple(str(kind) for kind in kept["suspected"]),
    )
