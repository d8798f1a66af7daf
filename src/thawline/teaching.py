"""What a library's other recordings of a vehicle teach, kept so that it is learned once."""

from __future__ import annotations

import hashlib
import json
import math
import os
import tempfile
from collections.abc import Collection, Mapping, Sequence
from contextlib import suppress
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np

from thawline import __version__
from thawline.charge.known import limits_of
from thawline.charge.observed import observe
from thawline.errors import LibraryError, RequestError
from thawline.library.library import Library
from thawline.library.listing import listing
from thawline.library.load import load
from thawline.recording.flows import make_flows
from thawline.story.known_limits import KnownLimit, KnownLimits
from thawline.trends.measure import model_of
from thawline.vehicle.vehicle import Vehicle

#: Recordings that are learned from, the latest ones [1].
MOST = 12
#: Folder of a library for what can be learned again at any time.
FOLDER = "learned"
#: Number of the layout of a kept file [1].
LAYOUT = 1
#: What a fleet's run leaves in that folder for forecasts, and the number of its layout [1].
FLEET, FLEET_LAYOUT = "fleet.json", 2
CURVES = ("degC", "kW", "sigma_kW", "charge_pct", "charge_kW")


def names_before(
    library: Library, vehicle: str, but: Collection[str] = (), until: float | None = None
) -> tuple[str, ...]:
    """Name the recordings of a vehicle to learn from.

    Parameters
    ----------
    library : Library
        The library.
    vehicle : str
        The vehicle's name.
    but : collection of str
        Recordings to leave out.
    until : float, optional
        Only recordings that began before this, since 1970-01-01 UTC [s].

    Returns
    -------
    tuple of str
        The latest ones, in the order of their start.
    """
    entries = listing(library, vehicle=vehicle)
    found = [
        entry.id
        for entry in entries
        if entry.id not in but and (until is None or entry.starts_at < until)
    ]
    return tuple(found[-MOST:])


def known_limits(
    library: Library, vehicle: str, but: Collection[str] = (), until: float | None = None
) -> KnownLimits | None:
    """Learn what a vehicle's pack allows, or read it where it was learned before.

    Parameters
    ----------
    library : Library
        The library.
    vehicle : str
        The vehicle's name.
    but : collection of str
        Recordings to leave out, such as the one that is being explained.
    until : float, optional
        Only recordings that began before this, since 1970-01-01 UTC [s].

    Returns
    -------
    KnownLimits or None
        None where there is no recording to learn from.
    """
    names = names_before(library, vehicle, but, until)
    if not names:
        return None
    path = library.folder / FOLDER / f"limits-{_sum_of(names)}.json"
    kept = _read(path, names)
    if kept is not None:
        return kept
    seen = []
    for name in names:
        with suppress(LibraryError):  # one that is damaged must not hide what the others teach
            recording = load(library, name)
            seen.append(observe(recording, make_flows(recording)))
    if not seen:
        return None
    found = limits_of(seen)
    _write(path, found)
    return found


def taught_by_others(
    library: Library, vehicle: Vehicle, priors: Path | None = None
) -> Mapping[str, Any] | None:
    """Read what a fleet's run learned from other vehicles of this one's model.

    Parameters
    ----------
    library : Library
        The library, whose last run with all of its recordings counts.
    vehicle : Vehicle
        The vehicle; what it taught itself is not in it.
    priors : Path, optional
        The file ``priors.json`` of another run.

    Returns
    -------
    mapping or None
        ``warm_up`` and ``limits``; None where no run knows its model.

    Raises
    ------
    RequestError
        If ``priors`` is named, and is no such file.
    """
    path = library.folder / FOLDER / FLEET if priors is None else priors
    try:
        kept = json.loads(path.read_text("utf-8"))
        if kept["layout"] != FLEET_LAYOUT:
            raise ValueError(f"its layout is {kept['layout']}, not {FLEET_LAYOUT}")
        known = kept["vehicles"].get(vehicle.name.casefold())
        model = model_of(vehicle)
        if known is not None and known["model"] == model:
            return dict(known)
        told = kept["models"].get(model)
        return None if told is None else dict(told)
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        if priors is None:
            return None
        raise RequestError(
            f"{priors} is no file of what a fleet learned ({type(error).__name__}: {error})",
            cure="give the priors.json that thawline fleet wrote",
        ) from error


def _sum_of(names: Sequence[str]) -> str:
    told = json.dumps([__version__, LAYOUT, list(names)])
    return hashlib.sha256(told.encode()).hexdigest()[:16]


def _read(path: Path, names: Sequence[str]) -> KnownLimits | None:
    """Read what is kept; anything that is not what it should be counts as not kept."""
    try:
        kept = json.loads(path.read_text("utf-8"))
        if kept["recordings"] != list(names):
            return None
        return KnownLimits(_limit(kept["charging"]), _limit(kept["regeneration"]), tuple(names))
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _limit(kept: dict[str, Any] | None) -> KnownLimit | None:
    if kept is None:
        return None
    arrays = {name: np.asarray(kept[name], dtype=np.float64) for name in CURVES}
    return KnownLimit(**{**kept, **arrays})


def _plain(limit: KnownLimit | None) -> dict[str, Any] | None:
    if limit is None:
        return None
    told = asdict(limit)
    for name in CURVES:
        told[name] = [value if math.isfinite(value) else None for value in told[name].tolist()]
    return told


def _write(path: Path, found: KnownLimits) -> None:
    """Keep it in one step; where nothing can be written it is learned again next time."""
    text = json.dumps({
        "charging": _plain(found.charging),
        "regeneration": _plain(found.regeneration),
        "recordings": list(found.recordings),
    })  # fmt: skip
    with suppress(OSError):
        path.parent.mkdir(exist_ok=True)
        write_whole(path, text)


def write_whole(path: Path, text: str) -> None:
    """Write a file in one step: a reader sees the old one or the new one.

    Parameters
    ----------
    path : Path
        The file; its folder exists.
    text : str
        What it holds.

    Raises
    ------
    OSError
        If it cannot be written.
    """
    handle, name = tempfile.mkstemp(dir=path.parent, suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        Path(name).replace(path)
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
