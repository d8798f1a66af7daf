"""The walk to what would have been: a kept recording run again, or a simulated car's log."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from thawline.errors import RequestError, did_you_mean
from thawline.library.library import Library
from thawline.library.load import load
from thawline.looking import learn_earlier
from thawline.recording.flows import make_flows
from thawline.simulator.demo import FRAMES_PER_S, mornings, vehicle
from thawline.simulator.events import Fault
from thawline.simulator.run import simulate
from thawline.simulator.scenario import checked
from thawline.simulator.tables import table
from thawline.simulator.write import Written, write
from thawline.story.tell import tell
from thawline.warmup.fit import fit
from thawline.whatif.again import run_again
from thawline.whatif.change import Change, WhatIf, check_change

CARS = ("gannet", "petrel")


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


def _fault(text: str) -> Fault:
    kind, _, size = text.partition("=")
    rows = {row["kind"]: row for row in table("faults.csv")}
    if kind not in rows:
        cure = did_you_mean(kind, rows) or f"it may be {', '.join(rows)}"
        raise RequestError(f"fault (={kind!r}) is not known", cure=cure)
    by, where = rows[kind]["sized_by"], rows[kind]["where"]
    if where and "empty" not in where:
        raise RequestError(
            f"fault (={kind!r}) needs a place ({where})", cure="choose one that needs none"
        )
    try:
        value = float(size) if size else 1.0
    except ValueError as error:
        raise RequestError(
            f"size (={size!r}) of {kind} is no number", cure=f"write {kind}=0.5"
        ) from error
    if by == "size":
        return Fault(kind, size=value)
    return Fault(kind, share=value)


def simulate_build(
    build: str, change: Change, folder: Path, wind: float = 1.0, faults: tuple[str, ...] = ()
) -> Written:
    """Simulate a car's plain morning with something changed, and write its bus log.

    Parameters
    ----------
    build : str
        ``gannet`` or ``petrel``.
    change : Change
        What is changed; nothing is fine.
    folder : Path
        Where to write.
    wind : float
        Loss to the air outside over that in still air [1].
    faults : tuple of str
        Such as ``weak-pump=0.5``.

    Returns
    -------
    Written
        Log, database, vehicle file and truth.

    Raises
    ------
    RequestError
        If there is no such car or fault, or the change cannot be.
    """
    if build not in CARS:
        cure = did_you_mean(build, CARS) or f"it may be {' or '.join(CARS)}"
        raise RequestError(f"build (={build!r}) is not known", cure=cure)
    if change != Change():
        check_change(change)
    car, layout = vehicle(build)
    scenario = next(each for name, each in mornings() if name == build)
    units = car.drive_units
    if change.drive_units is not None and change.drive_units != len(units.positions):
        raise RequestError(
            f"the bus of {build} has {len(units.positions)} drive units, not {change.drive_units}",
            cure="run a recording again on its fitted model instead",
        )
    supply = scenario.supply
    if change.supply_kW is not None and supply is not None:
        supply = replace(supply, amps=change.supply_kW * 1e3 / supply.volts)
    garage = change.garage_degC
    wishes = tuple(w for w in scenario.wishes if not (change.no_cabin and w.what == "cabin"))
    other = replace(
        scenario,
        name=f"{build}-simulated",
        ambient_degC=garage if garage is not None else scenario.ambient_degC - change.colder_K,
        soak_degC=garage if garage is not None else scenario.soak_degC - change.colder_K,
        supply=supply,
        wishes=wishes,
        wind=wind,
        faults=tuple(_fault(text) for text in faults),
    )
    return write(simulate(car, checked(other, build)), layout, folder, FRAMES_PER_S)
