"""Keep computed maps, so that each is computed once."""

from __future__ import annotations

import hashlib
import json
import os
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

import numpy as np

from thawline.plating.cell import (
    MODEL,
    PAPER,
    PARAMETERS,
    Progress,
    compute,
    grid,
    setting,
    version,
)
from thawline.plating.plating import PlatingMap


def cache_folder() -> Path:
    """Find the folder in which programs of this platform keep what they can compute again.

    Returns
    -------
    Path
        The folder, perhaps not there yet.
    """
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or "~/AppData/Local")
    elif sys.platform == "darwin":
        base = Path("~/Library/Caches")
    else:
        base = Path(os.environ.get("XDG_CACHE_HOME") or "~/.cache")
    return base.expanduser() / "thawline"


def _name(package_version: str) -> str:
    degC, charge_pct = grid()
    told = [PARAMETERS, MODEL, package_version, setting("charge_s"), setting("rate_accuracy"),
            setting("lifted_cutoff_V"), degC.tolist(), charge_pct.tolist()]  # fmt: skip
    sum_of = hashlib.sha256(json.dumps(told).encode()).hexdigest()[:16]
    return f"plating-{PARAMETERS}-{sum_of}.json"


def _read(path: Path, package_version: str) -> PlatingMap | None:
    """Read a kept map; anything that is not one counts as not kept."""
    try:
        kept = json.loads(path.read_text("utf-8"))
        degC, charge_pct = np.asarray(kept["degC"], float), np.asarray(kept["charge_pct"], float)
        rates = np.asarray(kept["rate_per_h"], float)
    except (OSError, ValueError, KeyError, TypeError):
        return None
    if rates.shape != (len(degC), len(charge_pct)) or not np.all(np.isfinite(rates)):
        return None
    return PlatingMap(
        PARAMETERS,
        PAPER,
        MODEL,
        package_version,
        setting("charge_s"),
        degC,
        charge_pct,
        rates,
        is_cached=True,
    )


def _write(path: Path, found: PlatingMap) -> None:
    """Keep a map in one step; a folder that cannot be written only costs the next time."""
    text = json.dumps(
        {
            "parameter_set": found.parameter_set,
            "paper": found.paper,
            "version": found.version,
            "degC": found.degC.tolist(),
            "charge_pct": found.charge_pct.tolist(),
            "rate_per_h": found.rate_per_h.tolist(),
        }
    )
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(
            "w", dir=path.parent, delete=False, suffix=".part", encoding="utf-8"
        ) as file:
            file.write(text)
        Path(file.name).replace(path)
    except OSError:
        return


def plating_map(folder: Path | None = None, progress: Progress | None = None) -> PlatingMap:
    """Give the map: the kept one, or else compute and keep it.

    Parameters
    ----------
    folder : Path, optional
        Where maps are kept; by default the person's cache folder.
    progress : callable, optional
        Called with the points done and the points in all, while it is computed.

    Returns
    -------
    PlatingMap
        The map.

    Raises
    ------
    RequestError
        If the extra is not installed.
    """
    package_version = version()
    path = (folder or cache_folder()) / _name(package_version)
    kept = _read(path, package_version)
    if kept is not None:
        return kept
    found = compute(*grid(), progress)
    _write(path, found)
    return replace(found, is_cached=False)
