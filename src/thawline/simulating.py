"""The walk to what would have been: a kept recording run again, or a simulated car's log."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from thawline.errors import RequestError
from thawline.forecast.from_learned import learn_earlier_limits
from thawline.library.library import Library
from thawline.library.load import load
from thawline.looking import EARLIER, learn_earlier
from thawline.recording.flows import make_flows
from thawline.recording.recording import Recording
from thawline.report.trip_shown import FirstTrip
from thawline.simulator.any_build import CARS, any_build, placed_faults, with_units
from thawline.simulator.demo import FRAMES_PER_S, mornings
from thawline.simulator.events import Fault
from thawline.simulator.run import simulate
from thawline.simulator.scenario import checked
from thawline.simulator.usual_bus import usual_bus
from thawline.simulator.write import Written, write
from thawline.story import names
from thawline.story.tell import tell
from thawline.teaching import names_before
from thawline.trip.against import against
from thawline.trip.begin import Begin
from thawline.trip.car import trip_car
from thawline.trip.drive import first_trip
from thawline.trip.traces import find_trace
from thawline.warmup.fit import fit
from thawline.whatif.again import run_again
from thawline.whatif.change import Change, WhatIf, check_change

#: No cell of a car that can be is this cold or warm, either way [degC].
IMPOSSIBLE_DEGC = 150.0


def what_if(library: Library, id_or_prefix: str, change: Change, price: float = 0.0) -> WhatIf:
    """Run a kept morning again with something changed.

    Parameters
    ----------
    library : Library
        The library.
    id_or_prefix : str
        The recording's name, or the beginning of it.
    change : Change
        What is changed.
    price : float
        Price of energy [currency/kWh].

    Returns
    -------
    WhatIf
        Both mornings.

    Raises
    ------
    RequestError
        If there is no such recording, or the change cannot be.
    """
    check_change(change)
    recording = load(library, id_or_prefix)
    earlier = learn_earlier(library, recording)
    flows = make_flows(recording)
    story = tell(recording, flows)
    model = fit(recording, flows, story, earlier.prior)
    return run_again(recording, flows, story, model, earlier.limits, change, price)


def _at(recording: Recording, path: str, at_s: float) -> float | None:
    """Give the last value up to an instant, else the first one; None where it is not recorded."""
    channel = recording.channels.get(path)
    if channel is None or not len(channel.t):
        return None
    i = int(np.searchsorted(channel.t, at_s, side="right")) - 1
    return float(channel.values[max(i, 0)])


def _begin(recording: Recording, at_s: float, outside: float, wish: float | None) -> Begin:
    mean = _at(recording, names.MEAN_TEMPERATURE, at_s)
    coldest = _at(recording, names.COLDEST, at_s)
    pack = coldest if mean is None else mean
    if pack is None:
        raise RequestError(
            f"{recording.id} tells no temperature of the pack",
            cure=f"map {names.COLDEST} or {names.MEAN_TEMPERATURE} in the vehicle file",
        )
    return Begin(outside, pack, coldest, _at(recording, names.CABIN_AIR, at_s), wish)


def first_trips(
    library: Library, id_or_prefix: str, leave_s: float, road: str, price: float = 0.0
) -> FirstTrip:
    """Drive the first trip of a kept morning twice: leaving cold, and at an instant.

    Parameters
    ----------
    library : Library
        The library.
    id_or_prefix : str
        The recording's name, or the beginning of it.
    leave_s : float
        When the car leaves, since the recording's start [s].
    road : str
        A shipped road, or the path of a table of speeds.
    price : float
        Price of energy [currency/kWh].

    Returns
    -------
    FirstTrip
        Both trips, of the same cars on the same road in the same air.

    Raises
    ------
    RequestError
        If there is no such recording or road, the instant lies outside the recording, or the
        recording tells no temperature of the pack.
    SourceError
        If the table of speeds is at fault.
    """
    trace, recording = find_trace(road), load(library, id_or_prefix)
    if not 0.0 <= leave_s <= recording.duration_s:
        raise RequestError(
            f"leave-at (={leave_s:g} s) must be in [0, {recording.duration_s:g}] s, the length "
            f"of {recording.id}",
            cure="give seconds from the first sample",
        )
    said = ["The air is as it was when the car leaves, in both trips."]
    outside = _at(recording, names.OUTSIDE_AIR, leave_s)
    if outside is None:
        outside = float(np.mean(_begin(recording, 0.0, 0.0, None).pack_degC))
        said = ["The air outside is not recorded: it is taken to be as cold as the pack was at "
                "the recording's start."]  # fmt: skip
    wish = _at(recording, names.CABIN_TARGET, leave_s)
    wish = recording.vehicle.cabin.comfortable_from_degC if wish is None else wish
    said.append("The cabin is not heated on the road: nothing tells what it should be heated to."
                if wish is None else f"The cabin is kept at {wish:g} °C on the road.")  # fmt: skip
    if names.CABIN_AIR not in recording.channels:
        said.append("Cabin air is not recorded: in both trips it begins as cold as outside.")
    vehicle = recording.vehicle
    known = names_before(library, vehicle.name, (recording.id,), recording.starts_at)[-EARLIER:]
    # the morning is over: what it shows of the limit itself counts as well
    limits = learn_earlier_limits([*(load(library, name) for name in known), recording])
    car = trip_car(vehicle, None if limits is None else limits.regeneration)
    cold, warmed = (
        first_trip(car, trace, _begin(recording, at_s, outside, wish),
                   price_per_kWh=price, seed=1)
        for at_s in (0.0, leave_s)
    )  # fmt: skip
    notes = tuple(dict.fromkeys((*said, *cold.notes, *warmed.notes)))
    return FirstTrip(
        recording.id, leave_s, cold, warmed, against(cold, warmed), price, notes
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Simulated:
    """A simulated morning.

    Parameters
    ----------
    written : Written
        Its files.
    faults : tuple of Fault
        What is broken, and where.
    """

    written: Written
    faults: tuple[Fault, ...]


def simulate_build(
    build: str,
    change: Change,
    folder: Path,
    wind: float = 1.0,
    faults: tuple[str, ...] = (),
    seed: int | None = None,
) -> Simulated:
    """Simulate a car's plain morning with something changed, and write its bus log.

    Parameters
    ----------
    build : str
        ``gannet``, ``petrel``, or the path of a car's file; its bus is laid out by the seed.
    change : Change
        What is changed; nothing is fine. Other drive units get a bus by the seed, too.
    folder : Path
        Where to write.
    wind : float
        Loss to the air outside over that in still air [1].
    faults : tuple of str
        Such as ``weak-pump=0.5`` or ``dead-heater@Left=1``; a place that is not given is drawn.
    seed : int, optional
        Of all chance; None: that of the demo's morning [1].

    Returns
    -------
    Simulated
        Log, database, vehicle file and truth, and the faults with their places.

    Raises
    ------
    RequestError
        If there is no such car or fault, its file is at fault, or the change cannot be.
    """
    if change != Change():
        check_change(change)
    if not wind > 0.0 or not np.isfinite(wind):
        raise RequestError(f"wind (={wind:g}) must be above 0", cure="still air is 1")
    if seed is not None and seed < 0:
        raise RequestError(f"seed (={seed}) must be 0 or more", cure="give for instance 7")
    car, layout = any_build(build)
    plain = build if build in CARS else CARS[0]
    scenario = next(each for name, each in mornings() if name == plain)
    seed = scenario.seed if seed is None else seed
    count = change.drive_units
    if count is not None and count != len(car.drive_units.positions):
        car, layout = with_units(car, count), None
    supply = scenario.supply
    if change.supply_kW is not None and supply is not None:
        amps = change.supply_kW * 1e3 / (supply.volts * supply.phases)
        supply = replace(supply, amps=amps)
    if layout is None:
        layout = usual_bus(car, supply, seed)
    broken = placed_faults(faults, car, layout, seed)
    garage = change.garage_degC
    wishes = tuple(w for w in scenario.wishes if not (change.no_cabin and w.what == "cabin"))
    other = replace(
        scenario,
        name=f"{car.name.lower()}-simulated",
        ambient_degC=garage if garage is not None else scenario.ambient_degC - change.colder_K,
        soak_degC=garage if garage is not None else scenario.soak_degC - change.colder_K,
        supply=supply,
        wishes=wishes,
        wind=wind,
        faults=broken,
        seed=seed,
    )
    if (
        build not in CARS
        and (folder / f"{car.name.lower()}.toml").resolve() == Path(build).resolve()
    ):
        raise RequestError(
            f"the vehicle file would be written over {build}", cure="choose another folder by --out"
        )
    with np.errstate(all="ignore"):  # what has no solution is told below, in words
        morning = simulate(car, checked(other, build))
    coldest = morning.values[names.COLDEST]
    if not np.all(np.abs(coldest) < IMPOSSIBLE_DEGC):
        raise RequestError(
            f"{build}: the pack's temperature leaves all bounds when the car is simulated",
            cure="look at its conductances (W_per_K): one is too large for its heat capacity",
        )
    return Simulated(write(morning, layout, folder, FRAMES_PER_S), broken)
