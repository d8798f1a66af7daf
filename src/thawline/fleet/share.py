"""What vehicles take from others of their model, as one file that forecasts read.

For each vehicle of the fleet it holds what the *others* taught, so that a vehicle's own mornings
are never counted twice; for each model, what all of its vehicles taught.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from contextlib import suppress
from typing import Any

from thawline.errors import LibraryError
from thawline.fleet.fleet import Fleet, Shared
from thawline.library.handle import Library
from thawline.teaching import FLEET, FLEET_LAYOUT, FOLDER, write_whole


def shared_of(models: Mapping[str, str], warm_ups: Shared, limits: Shared) -> dict[str, Any]:
    """Put together what is shared.

    Parameters
    ----------
    models : mapping of str to str
        Model of each vehicle.
    warm_ups, limits : Shared
        What was pooled.

    Returns
    -------
    dict
        ``vehicles``, by their names in small letters, and ``models``.
    """

    def told(warm_up: Any, limit: Any) -> dict[str, Any]:
        return {"warm_up": warm_up, "limits": limit or {}}

    return {
        "vehicles": {
            name.casefold(): {"model": model}
            | told(warm_ups.vehicles.get(name), limits.vehicles.get(name))
            for name, model in sorted(models.items())
        },
        "models": {
            model: told(warm_ups.models.get(model), limits.models.get(model))
            for model in sorted(set(models.values()))
        },
    }


def priors_document(fleet: Fleet) -> dict[str, Any]:
    """Lay out what the file ``priors.json`` holds.

    Parameters
    ----------
    fleet : Fleet
        The fleet.

    Returns
    -------
    dict
        ``priors`` of each vehicle, and what ``shared_of`` gave.
    """
    return {
        "layout": FLEET_LAYOUT,
        "code": fleet.code,
        "priors": dict(fleet.priors),
        **fleet.shared,
    }


def keep_shared(library: Library, fleet: Fleet) -> None:
    """Keep what is shared in a library, for forecasts; where it cannot be written it is not.

    Parameters
    ----------
    library : Library
        The library.
    fleet : Fleet
        What was found on it.
    """
    with suppress(OSError, LibraryError):
        folder = library.folder / FOLDER
        folder.mkdir(exist_ok=True)
        write_whole(folder / FLEET, json.dumps(priors_document(fleet), allow_nan=False))
