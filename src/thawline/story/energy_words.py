"""The headline's sentence about energy."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from thawline.story.figures import energy, joined
from thawline.story.scene import Scene

#: Energies below this are not worth a word [kWh].
LEAST_KWH = 0.02


def _kWh(scene: Scene, name: str, sign: float = 1.0) -> float | None:
    """Add up the energy of one direction of a power [kWh]."""
    flow = scene.flow(name)
    if flow is None or np.isnan(flow.kW).all():
        return None
    return float(np.nansum(np.maximum(sign * flow.kW, 0.0))) * scene.step_s / 3600.0


def energies_of(scene: Scene) -> dict[str, float | None]:
    """Add up energies by the names of their lines, without times that no data tell.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.

    Returns
    -------
    dict of str to float or None
        ``supply``, ``pack-out``, ``pack-heating``, ``cabin-heating``, ``pack-in`` [kWh].
    """
    heat = [_kWh(scene, "drive-unit-heating"), _kWh(scene, "pack-heater")]
    return {
        "supply": _kWh(scene, "supply"),
        "pack-out": _kWh(scene, "pack", -1.0),
        "pack-heating": sum(each for each in heat if each is not None),
        "cabin-heating": _kWh(scene, "cabin-heating"),
        "pack-in": _kWh(scene, "pack"),
    }


def money(energies: Mapping[str, float | None]) -> str | None:
    """Say where the energy of the supply went, and what the pack gave.

    Parameters
    ----------
    energies : mapping of str to float or None
        Energies by the names of their lines [kWh].

    Returns
    -------
    str or None
        A sentence; None if neither gave anything.
    """
    taken, given = energies.get("supply"), energies.get("pack-out")
    parts = []
    for what, line in (
        ("the pack's heating", "pack-heating"),
        ("the cabin", "cabin-heating"),
        ("the pack", "pack-in"),
    ):
        kWh = energies.get(line)
        if kWh is not None and kWh > LEAST_KWH:
            parts.append(f"{energy(kWh)} to {what}")
    if taken is not None and taken > LEAST_KWH:
        text = f"{energy(taken)} came from the supply"
        if given is not None and given > LEAST_KWH:
            text += f" and {energy(given)} from the pack"
    elif given is not None and given > LEAST_KWH:
        text = f"{energy(given)} came from the pack"
    else:
        return None
    if parts:
        parts[0] = parts[0].replace(" to ", " went to ", 1)
    return f"{text}; {joined(parts)}." if parts else f"{text}."
