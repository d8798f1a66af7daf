"""Run a recorded morning again on its fitted model, with something changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from thawline.errors import RequestError
from thawline.forecast.allowed import LearnedLimits, TemperatureLimit
from thawline.forecast.settings import setting
from thawline.forecast.under import Course, Programme, Soaked, run_under
from thawline.recording.flows import Flows
from thawline.recording.recording import Recording
from thawline.story.story import Story
from thawline.warmup.case import make_case
from thawline.warmup.grid import INPUTS, pack_degC
from thawline.warmup.warmup import WarmUp
from thawline.whatif.change import FURTHEST_K, Change, Comes, Side, WhatIf, check_change
from thawline.whatif.charging import Feeding, charge, fed_by, go_on, limits_known, read_feeding
from thawline.whatif.energy import cost_of, drawn_kW, energies, net_kW

Array = NDArray[np.float64]
#: Looked at beyond the recording [s]; heat below this is none [kW].
BEYOND_S, ON_KW = 7200.0, 0.2
COMFORTABLE_DEGC = 18.0
#: Heat below this share of the largest tapers towards its end [1].
FULL_SHARE = 0.85
#: Heat may ease off for so long before that; its level is read over so long [s].
EASES_S, LEVEL_S = 120.0, 300.0
#: Melting point of ice: what counts as thawed [degC].
THAWED_DEGC = 0.0


def _rows(recording: Recording, flows: Flows, story: Story) -> tuple[Programme, float]:
    """Read what was done from the recording, and its start."""
    grid = make_case(recording, flows, story, recording.duration_s).grid
    column = {name: grid.inputs[:, i] for i, name in enumerate(INPUTS)}
    did = Programme(
        grid.step_s,
        column["drive"],
        column["heater"],
        np.sqrt(np.maximum(column["cells"], 0.0)),  # run with one kilowatt of heat per kW2
        column["cabin"],
        column["outside"],
        np.maximum(grid.flows[grid.level], 0.0),
    )
    return did, float(grid.ends[0] - grid.step_s)


def _longer(did: Programme, more: int) -> Programme:
    """Go on after the recording's end as it ended, but without pack power."""
    still = {
        name: np.append(getattr(did, name), np.full(more, getattr(did, name)[-1]))
        for name in ("cabin_kW", "outside_degC", "flow_share", "drive_kW", "heater_kW")
    }
    return Programme(did.step_s, pack_kW=np.append(did.pack_kW, np.zeros(more)), **still)


def _changed(
    did: Programme, was: Feeding, feeding: Feeding, change: Change, units: int, able_kW: float
) -> Programme:
    """Change what is done: loads are served first, then heat, which the supply bounds."""
    heat, cabin = did.drive_kW + did.heater_kW, did.cabin_kW
    on, free = heat > ON_KW, cabin if change.no_cabin else np.zeros_like(cabin)
    scale = 1.0 if change.drive_units is None else change.drive_units / units
    loads = heat + cabin + was.other_kW
    busy = on & was.there & (loads >= setting("busy_share") * was.given_kW)
    asks = change.supply_kW is not None or change.drive_units is not None
    bound = busy & (was.into_kW < ON_KW) & (asks and not was.helps)
    most = np.where(bound, max(able_kW, float(heat.max())), float(heat.max()))
    full = np.where(bound | (free > 0.0), np.maximum(heat, most), heat) * scale
    room = np.maximum(feeding.given_kW - (cabin - free) - feeding.other_kW, 0.0)
    if change.supply_kW is None:  # what the supply gave in the recording it can give
        room = np.maximum(room, heat + free)
    kept = np.where(feeding.there & (not feeding.helps), np.minimum(full, room), full)
    share = np.where(on, kept / np.maximum(heat, ON_KW), 1.0)
    return replace(
        did,
        drive_kW=did.drive_kW * share,
        heater_kW=did.heater_kW * share,
        cabin_kW=cabin - free,
        outside_degC=did.outside_degC - change.colder_K
        if change.garage_degC is None
        else np.full_like(did.outside_degC, change.garage_degC),
    )


def _recharged(other: Programme, nets: tuple[Array, Array], root: float) -> Array:
    """Give the changed pack power: as recorded, and the change of what the model has."""
    was, will = (root * np.abs(np.median(net, axis=1)) for net in nets)
    return np.maximum(other.pack_kW + will - was, 0.0)


def _held(did: Programme, first: int, taper: int) -> Programme:
    """Hold the heat on from its taper, as it was for some minutes before it eased off."""
    to = taper - int(EASES_S / did.step_s)
    since = max(first, to - int(LEVEL_S / did.step_s))
    seen = slice(since, to) if since < to else slice(max(taper - 6, 0), taper)
    rows = {}
    for name in ("drive_kW", "heater_kW", "flow_share"):
        row = getattr(did, name).copy()
        row[taper:] = row[seen].mean()
        rows[name] = row
    for name in ("drive_kW", "heater_kW"):
        eased = slice(max(seen.stop, 0), taper)
        rows[name][eased] = np.maximum(rows[name][eased], rows[name][-1])
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
    past = np.asarray(values >= level)
    hit = past.any(axis=0)
    times = np.where(hit, t[past.argmax(axis=0)], np.inf)
    low, middle, high = np.quantile(times, (0.1, 0.5, 0.9), method="nearest").tolist()
    told = [each if np.isfinite(each) else None for each in (low, middle, high)]
    return Comes(kind, told[0], told[1], told[2], float(np.mean(~hit)))


def _side(
    recording: Recording,
    limits: Mapping[str, TemperatureLimit],
    course: Course,
    feeding: Feeding,
    did: Programme,
    charge_kW: Array,
    start: float,
    until: int,
    price: float,
) -> Side:
    t, rng = course.t + start, np.random.default_rng(0)
    comes = []
    for name, what in (("regeneration-returns", "regeneration"), ("charging-allowed", "charging")):
        known = limits[what]
        level = known.from_degC + known.sd_K * rng.standard_normal(course.coldest.shape[1])
        comes.append(_when(name, t, course.coldest, level))
    if feeding.wanted.any():
        comes.append(_when("charging-begins", t[:-1], charge_kW, setting("on_kW")))
    if feeding.there.any():
        drawn = drawn_kW(feeding, did, charge_kW)[0]
        full = np.asarray(drawn >= setting("full_share") * feeding.most_kW)
        lasts = max(1, int(np.ceil(setting("full_for_s") / did.step_s)))
        runs = np.lib.stride_tricks.sliding_window_view(full, lasts, axis=0).all(axis=-1)
        if feeding.most_kW > ON_KW:
            comes.append(_when("charger-at-full-power", t, np.asarray(runs, dtype=np.float64), 1.0))
    comes.append(_when("coldest-cell-thaws", t, course.coldest, THAWED_DEGC))
    if course.cabin is not None:
        stated = recording.vehicle.cabin.comfortable_from_degC
        level_degC = COMFORTABLE_DEGC if stated is None else stated
        comes.append(_when("cabin-comfortable", t, course.cabin, level_degC))
    energy = energies(feeding, did, charge_kW, until)
    cuts = (0.1, 0.5, 0.9)
    return Side(
        np.quantile(course.coldest, cuts, axis=1),
        None if course.cabin is None else np.quantile(course.cabin, cuts, axis=1),
        did.drive_kW + did.heater_kW,
        charge_kW.mean(axis=1),
        tuple(comes),
        energy,
        cost_of(energy, feeding.efficiency, price),
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
    did, start = _rows(recording, flows, story)
    read = pack_degC(recording, np.array([start + did.step_s]))
    heat = did.drive_kW + did.heater_kW
    on = np.flatnonzero(heat > ON_KW)
    if read is None or not on.size:
        missing = "temperature of the pack" if read is None else "heating of the pack"
        raise RequestError(
            f"{recording.id} shows no {missing}",
            cure="choose a morning with it",
        )
    until = count = len(heat)
    ended = int(on[-1]) + 1
    more = int(BEYOND_S / did.step_s)
    was = go_on(read_feeding(recording, flows, story, did, start), more)
    feeding, did = fed_by(was, change.supply_kW), _longer(did, more)
    begins, units = Soaked(float(read[0])), max(recording.vehicle.drive_units.count or 1, 1)
    able_kW = units * (recording.vehicle.drive_units.standstill_heat_kW or 0.0)
    other = _changed(did, was, feeding, change, units, able_kW)
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
        held = _held(other, int(on[0]), taper)
        warm = np.flatnonzero(np.median(run(held, colder).coldest, axis=1) >= goal)
        stops = int(warm[0]) if warm.size else len(full)
        other = _tailed(other, held, taper, ended, max(stops, int(on[0]) + 1))
        after = run(other, colder)
    own = limits_known(recording, limits)

    def charged(fed: Feeding, course: Course, done: Programme) -> Array:
        return charge(fed, own["charging"], course.coldest, done, np.random.default_rng(1))

    put = charged(was, before, did), charged(feeding, after, other)
    nets = net_kW(was, did, put[0]), net_kW(feeding, other, put[1])
    other = replace(other, pack_kW=_recharged(other, nets, was.root_per_kW))
    after = run(other, colder)
    put = put[0], charged(feeding, after, other)
    if ended < until:  # both mornings are summed up over the same time
        hot = [np.flatnonzero(d.drive_kW + d.heater_kW > ON_KW) for d in (did, other)]
        until = max(until, *(int(h[-1]) + 1 for h in hot if h.size))
    assumes = (
        "The model is that of the recorded morning; what it has not seen it carries on.",
        f"Loads are served first, then heat; the recorded supply gives at most {was.most_kW:.1f} "
        "kW.",
        "Heating goes on until the coldest cell is as warm as when it stopped in the recording"
        if ended < count
        else "Heating goes on as it was at the recording's end, for two hours at most.",
        "The pack adds what the supply lacks for heating, as it did in the recording."
        if was.helps
        else "The pack adds nothing to what the supply gives for heating; if that was always "
        "enough in the recording, nothing shows whether it would.",
        "Charging takes what heat and loads leave of supply and charger, as far as the coldest "
        "cell allows."
        if was.wanted.any()
        else "Charging was not wanted in the recording, and is not wanted here.",
        f"Energy is summed up over {until * did.step_s / 60.0:.0f} min in both mornings; what is "
        "left in the pack is no cost.",
    )
    price = price_per_kWh
    return WhatIf(
        recording.id,
        change,
        before.t + start,
        _side(recording, own, before, was, did, put[0], start, until, price),
        _side(recording, own, after, feeding, other, put[1], start, until, price),
        warmup.verdict.sentence,
        assumes,
    )
