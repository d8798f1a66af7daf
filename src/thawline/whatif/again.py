"""Run a recorded morning again on its fitted model, with something changed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from thawline.errors import RequestError
from thawline.forecast.allowed import LearnedLimits, usual_limit
from thawline.forecast.under import Course, Programme, Soaked, run_under
from thawline.recording.flows import Flows
from thawline.recording.recording import Recording
from thawline.story.story import Story
from thawline.warmup.case import make_case
from thawline.warmup.grid import INPUTS, pack_degC, step_means
from thawline.warmup.warmup import WarmUp
from thawline.whatif.change import FURTHEST_K, Change, Comes, Side, WhatIf, check_change

Array = NDArray[np.float64]
#: Looked at beyond the recording [s]; heat below this is none [kW].
BEYOND_S, ON_KW = 7200.0, 0.2
COMFORTABLE_DEGC = 18.0
#: Heat below this share of the largest tapers towards its end [1].
FULL_SHARE = 0.85
SECONDS = 3600.0
#: Melting point of ice: what counts as thawed [degC].
THAWED_DEGC = 0.0


def _rows(
    recording: Recording, flows: Flows, story: Story
) -> tuple[Programme, float, Array, Array]:
    """Read what was done from the recording, its start, the supply and charging [kW]."""
    grid = make_case(recording, flows, story, recording.duration_s).grid
    column = {name: grid.inputs[:, i] for i, name in enumerate(INPUTS)}
    supply = flows.flows.get("supply")
    taken = np.zeros(len(flows.t)) if supply is None else np.nan_to_num(supply.kW)
    pack = flows.flows.get("pack")
    into = np.zeros(len(flows.t)) if pack is None else np.maximum(np.nan_to_num(pack.kW), 0.0)
    shares = np.maximum(grid.flows[grid.level], 0.0)
    did = Programme(
        grid.step_s,
        column["drive"],
        column["heater"],
        np.sqrt(np.maximum(column["cells"], 0.0)),  # run with one kilowatt of heat per kW2
        column["cabin"],
        column["outside"],
        shares,
    )
    start = float(grid.ends[0] - grid.step_s)
    means = [step_means(flows.t, each, grid.ends, grid.step_s) for each in (taken, into)]
    return did, start, means[0], means[1]


def _longer(did: Programme, supply: Array) -> tuple[Programme, Array]:
    """Go on after the recording's end as it ended, but without pack power."""
    more = int(BEYOND_S / did.step_s)
    still = {
        name: np.append(getattr(did, name), np.full(more, getattr(did, name)[-1]))
        for name in ("cabin_kW", "outside_degC", "flow_share", "drive_kW", "heater_kW")
    }
    pack = np.append(did.pack_kW, np.zeros(more))
    return Programme(did.step_s, pack_kW=pack, **still), np.append(
        supply, np.full(more, supply[-1])
    )


def _changed(
    did: Programme, supply: Array, charging: Array, change: Change, units: int
) -> Programme:
    """Change what is done: loads are served first, then heat; charging gets what is left."""
    heat, cabin = did.drive_kW + did.heater_kW, did.cabin_kW
    freed = cabin if change.no_cabin else np.zeros_like(cabin)
    scale = 1.0 if change.drive_units is None else change.drive_units / units
    ceiling = max(float(supply.max()), ON_KW) if change.supply_kW is None else change.supply_kW
    room = np.maximum(ceiling - np.maximum(supply - heat - freed - charging, 0.0), 0.0)
    full = np.where(heat > ON_KW, np.maximum(heat, float(heat.max()) * (freed > 0.0)), 0.0) * scale
    helped = _pack_helps(heat, supply)
    weaker = change.supply_kW is not None and bool((supply > ON_KW).any())
    kept = np.minimum(full, room) if weaker and not helped else full
    share = np.where(heat > ON_KW, kept / np.maximum(heat, ON_KW), 1.0)
    return replace(
        did,
        drive_kW=did.drive_kW * share,
        heater_kW=did.heater_kW * share,
        cabin_kW=cabin - freed,
        outside_degC=did.outside_degC - change.colder_K
        if change.garage_degC is None
        else np.full_like(did.outside_degC, change.garage_degC),
    )


def _pack_helps(heat: Array, supply: Array) -> bool:
    """Tell whether the car heats with more than its supply gives: the pack adds the rest."""
    fed = (heat > ON_KW) & (supply > ON_KW)
    return bool(fed.any() and np.median(heat[fed] - supply[fed]) > ON_KW)


def _held(did: Programme, ended: int) -> Programme:
    """Hold the heat on from where it ended."""
    rows = {}
    for name in ("drive_kW", "heater_kW", "flow_share"):
        row = getattr(did, name).copy()
        row[ended:] = row[max(ended - 6, 0) : ended].mean()
        rows[name] = row
    return replace(did, **rows)


def _tailed(did: Programme, held: Programme, taper: int, ended: int, at: int) -> Programme:
    """End the heat later, as it ended: what tapered from one step on does so from another."""
    rows = {}
    for name in ("drive_kW", "heater_kW"):
        row, tail = getattr(held, name).copy(), getattr(did, name)[taper:ended]
        row[at:] = 0.0
        part = tail[: len(row) - at]
        row[at : at + len(part)] = part
        rows[name] = row
    return replace(held, **rows)


def _when(kind: str, t: Array, values: Array, level: Array | float) -> Comes:
    past = values >= level
    hit = past.any(axis=0)
    times = np.where(hit, t[past.argmax(axis=0)], np.inf)
    low, middle, high = np.quantile(times, (0.1, 0.5, 0.9), method="nearest").tolist()
    told = [each if np.isfinite(each) else None for each in (low, middle, high)]
    return Comes(kind, told[0], told[1], told[2], float(np.mean(~hit)))


def _side(
    recording: Recording,
    limits: LearnedLimits | None,
    course: Course,
    did: Programme,
    start: float,
    until: int,
    price: float,
) -> Side:
    t, rng = course.t + start, np.random.default_rng(0)
    comes = []
    for kind, what in (("regeneration-returns", "regeneration"), ("charging-begins", "charging")):
        known = (limits and getattr(limits, what)) or usual_limit(recording.vehicle, what)
        level = known.from_degC + known.sd_K * rng.standard_normal(course.coldest.shape[1])
        name = kind if what == "regeneration" else "charging-allowed"
        comes.append(_when(name, t, course.coldest, level))
    comes.append(_when("coldest-cell-thaws", t, course.coldest, THAWED_DEGC))
    if course.cabin is not None:
        stated = recording.vehicle.cabin.comfortable_from_degC
        level_degC = COMFORTABLE_DEGC if stated is None else stated
        comes.append(_when("cabin-comfortable", t, course.cabin, level_degC))
    heat, cabin = did.drive_kW + did.heater_kW, did.cabin_kW
    hours = did.step_s / SECONDS
    energy = {
        "pack-heating": float(heat.sum() * hours),
        "cabin-heating": float(cabin[:until].sum() * hours),
    }
    cuts = (0.1, 0.5, 0.9)
    return Side(
        np.quantile(course.coldest, cuts, axis=1),
        None if course.cabin is None else np.quantile(course.cabin, cuts, axis=1),
        heat,
        tuple(comes),
        energy,
        price * sum(energy.values()),
    )


def run_again(
    recording: Recording,
    flows: Flows,
    story: Story,
    warmup: WarmUp,
    limits: LearnedLimits | None,
    change: Change,
    price_per_kWh: float = 0.0,
) -> WhatIf:
    """Run a recorded morning again, as it was and with something changed.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    story : Story
        Its story.
    warmup : WarmUp
        Its fitted model.
    limits : LearnedLimits or None
        What the vehicle's mornings teach of its limits.
    change : Change
        What is changed.
    price_per_kWh : float
        Price of energy [currency/kWh].

    Returns
    -------
    WhatIf
        Both mornings, of the same cars.

    Raises
    ------
    RequestError
        If the change cannot be, or the recording shows no heat or no pack temperature.
    """
    check_change(change)
    did, start, supply, charging = _rows(recording, flows, story)
    read = pack_degC(recording, np.array([start + did.step_s]))
    heat = did.drive_kW + did.heater_kW
    on = np.flatnonzero(heat > ON_KW)
    if read is None or not on.size:
        missing = "temperature of the pack" if read is None else "heating of the pack"
        raise RequestError(
            f"{recording.id} shows no {missing}",
            cure="choose a morning with it",
        )
    until, ended = len(heat), int(on[-1]) + 1
    most_kW = float(supply.max())
    did, supply = _longer(did, supply)
    charging = np.append(charging, np.zeros(len(supply) - until))
    begins = Soaked(float(read[0]))
    units = recording.vehicle.drive_units.count or 1
    other = _changed(did, supply, charging, change, max(units, 1))
    garage = change.garage_degC
    colder = Soaked(begins.pack_degC - change.colder_K if garage is None else garage)
    if garage is not None and abs(garage - begins.pack_degC) > FURTHEST_K:
        raise RequestError(
            f"garage (={garage:g}) is over {FURTHEST_K:g} K from the recorded pack",
            cure="a model is not to be believed so far from its recording",
        )

    def run(programme: Programme, begin: Soaked) -> Course:
        return run_under(warmup, programme, begin, cell_heat_per_kW2=1.0)

    before = run(did, begins)
    after = run(other, colder)
    if ended < until:  # the car stopped of itself: it will at the same coldest cell
        full = did.drive_kW + did.heater_kW
        taper = int(np.flatnonzero(full >= FULL_SHARE * full.max())[-1]) + 1
        goal = float(np.median(before.coldest[taper]))
        held = _held(other, taper)
        warm = np.flatnonzero(np.median(run(held, colder).coldest, axis=1) >= goal)
        stops = int(warm[0]) if warm.size else len(full)
        other = _tailed(other, held, taper, ended, max(stops, int(on[0]) + 1))
        after = run(other, colder)
    helped = _pack_helps(heat, supply[:until])
    assumes = (
        "The model is that of the recorded morning; what it has not seen it carries on.",
        f"Loads are served first, then heat; the recorded supply gave at most {most_kW:.1f} kW.",
        "Heating goes on until the coldest cell is as warm as when it stopped in the recording"
        if ended < until
        else "Heating goes on as it was at the recording's end, for two hours at most.",
        "The pack adds what the supply lacks for heating, as it did in the recording."
        if helped
        else "The pack adds nothing to what the supply gives for heating.",
        "What charging puts into the pack is not computed again.",
    )
    price = price_per_kWh
    return WhatIf(
        recording.id,
        change,
        before.t + start,
        _side(recording, limits, before, did, start, until, price),
        _side(recording, limits, after, other, start, until, price),
        warmup.verdict.sentence,
        assumes,
    )
