"""The walk to a plan: from a vehicle in a library, or from its file, to what to do tomorrow.

Recordings -> Flows, Story, WarmUp, limits -> PlanCar -> Plan
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from thawline.errors import RequestError, did_you_mean
from thawline.forecast.limits import learn
from thawline.library.library import Library
from thawline.library.listing import listing
from thawline.library.load import load
from thawline.plan.asked import Asked
from thawline.plan.car import PlanCar
from thawline.plan.know import know_car
from thawline.plan.make import make_plan
from thawline.plan.plan import Plan
from thawline.plan.shown import Morning
from thawline.recording.flows import make_flows
from thawline.story.tell import tell
from thawline.vehicle.read import read_vehicle
from thawline.warmup.fit import fit
from thawline.warmup.mornings import prior_from

if TYPE_CHECKING:  # only plans with a first trip pay for it
    from thawline.trip.trace import Trace

#: So many recordings of the vehicle are learned from, the latest ones [1].
EARLIER = 6
Progress = Callable[[str, int, int], None]


def car_for_plan(
    library: Library | None,
    vehicle: str,
    until_s: float | None = None,
    progress: Progress | None = None,
) -> PlanCar:
    """Learn a car from its recordings, or take it from its file.

    Parameters
    ----------
    library : Library or None
        Where recordings are kept; None: only a file will do.
    vehicle : str
        Name of a vehicle in the library, or path of a vehicle file.
    until_s : float, optional
        Use no recording that began after this, since 1970-01-01 UTC [s].
    progress : callable, optional
        Called with what is being done, how much is done, and how much there is.

    Returns
    -------
    PlanCar
        The car.

    Raises
    ------
    RequestError
        If there is neither such a vehicle nor such a file.
    """
    entries = [] if library is None else list(listing(library, vehicle=vehicle, until=until_s))
    path = Path(vehicle)
    if not entries:
        if path.suffix.lower() == ".toml" and path.is_file():
            return know_car(read_vehicle(path))
        known = [] if library is None else sorted({one.vehicle for one in listing(library)})
        raise RequestError(
            f"vehicle (={vehicle!r}) is neither in the library nor a vehicle file",
            cure=did_you_mean(vehicle, known) or "give --vehicle NAME or --vehicle car.toml",
        )
    names = [entry.id for entry in sorted(entries, key=lambda one: one.starts_at)][-EARLIER:]
    mornings, fits = [], []
    for i, name in enumerate(names):
        if progress is not None:
            progress("learning the car", i, len(names))
        recording = load(library, name) if library is not None else None
        assert recording is not None
        flows = make_flows(recording)
        morning = Morning(recording, flows, tell(recording, flows))
        mornings.append(morning)
        fits.append(fit(recording, flows, morning.story))
    limits = learn([each.recording for each in mornings])
    last = mornings[-1].recording.vehicle
    return know_car(last, mornings, fits, prior_from(fits), limits)


def plan_for(
    library: Library | None,
    vehicle: str,
    asked: Asked,
    trip: tuple[str, Trace] | None = None,
    *,
    is_quick: bool = False,
    progress: Progress | None = None,
) -> Plan:
    """Plan for a vehicle in a library, or for a vehicle file.

    Parameters
    ----------
    library : Library or None
        Where recordings are kept.
    vehicle : str
        Name of a vehicle in the library, or path of a vehicle file.
    asked : Asked
        What is asked for.
    trip : tuple of str and Trace, optional
        Name and speeds of the first trip.
    is_quick : bool
        Whether to leave out what the wishes cost.
    progress : callable, optional
        Called with what is being done, how much is done, and how much there is.

    Returns
    -------
    Plan
        The plan.

    Raises
    ------
    RequestError
        If there is no such vehicle, or what is asked for makes no sense.
    """
    car = car_for_plan(library, vehicle, asked.now_s, progress)
    return make_plan(car, asked, trip, is_quick=is_quick, progress=progress)
