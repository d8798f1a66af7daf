"""Propose which signal of a database is which: gather the votes, settle them, tell the rest."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from thawline.signals.catalogue import catalogue, find_signal
from thawline.signals.database import Database
from thawline.suggest.anchors import SUPPLY, Anchors, find_anchors, narrowed
from thawline.suggest.candidate import Scene
from thawline.suggest.claims import claims_of
from thawline.suggest.dull import why_dull
from thawline.suggest.guess import Guess
from thawline.suggest.guessing import guess_units
from thawline.suggest.kinds import Reading, all_readings
from thawline.suggest.naming import favours, position_words, tell_names
from thawline.suggest.places import CURRENT, VOLTAGE
from thawline.suggest.read_logs import Progress, read_logs
from thawline.suggest.resolve import resolve
from thawline.suggest.rest_powers import rest_powers
from thawline.suggest.rest_shares import rest_shares
from thawline.suggest.rest_temperatures import rest_temperatures
from thawline.suggest.scale import on_the_right_scale
from thawline.suggest.settle import Settled, settle
from thawline.suggest.suggestion import LeftOut, Proposal, Suggestion
from thawline.suggest.tell_cabin import tell_cabin
from thawline.suggest.tell_cells import find_summaries, tell_cells
from thawline.suggest.tell_heat import tell_heat
from thawline.suggest.tell_levels import tell_levels
from thawline.suggest.tell_limits import tell_limits
from thawline.suggest.tell_motion import drive_terms, tell_motion
from thawline.suggest.tell_pack import cell_voltages, tell_pack
from thawline.suggest.tell_states import tell_states
from thawline.suggest.tell_supply import tell_supply
from thawline.suggest.thresholds import threshold
from thawline.suggest.votes import Case, Vote, gather_cases
from thawline.suggest.warming import CELLS, OUTLET
from thawline.suggest.weights import weight
from thawline.vehicle.measures import unit_problem

Readings = Mapping[str, Sequence[Reading]]


@dataclass(frozen=True, slots=True)
class Seen:
    """What the data alone showed.

    Parameters
    ----------
    votes : tuple of Vote
        Votes of the data's own physics.
    anchors : Anchors
        Pack, supply, balance and warm-up.
    cells_in_series : int or None
        Cells in series, where pack and cell voltages tell [1].
    """

    votes: tuple[Vote, ...]
    anchors: Anchors
    cells_in_series: int | None = None


def propose(
    logs: Sequence[Path], database: Database | None, *, progress: Progress | None = None
) -> Suggestion:
    """Propose which signals of a database the catalogue's paths come from.

    Parameters
    ----------
    logs : sequence of Path
        Logs, or tables, of one car.
    database : Database or None
        The signal database; not needed for tables.
    progress : callable, optional
        Called with the bytes done and the bytes in all, file by file.

    Returns
    -------
    Suggestion
        Proposals with evidence and confidence, and what was left out.

    Raises
    ------
    InputError
        If a log or the database is at fault.
    """
    return propose_from(read_logs(logs, database, progress=progress))


def propose_from(scene: Scene) -> Suggestion:
    """Propose from a scene that was read.

    Parameters
    ----------
    scene : Scene
        All signals on one clock.

    Returns
    -------
    Suggestion
        Proposals with evidence and confidence, and what was left out.
    """
    dull = {one.key: why for one in scene.candidates if (why := why_dull(one))}
    kept = replace(scene, candidates=tuple(one for one in scene.candidates if one.key not in dull))
    kept, guesses = guess_units(kept)
    named = list(tell_names(kept.candidates))
    seen = look(kept, favours(named, {VOLTAGE: 0.5, CURRENT: 0.5}))
    order = {one.key: one.order for one in kept.candidates}
    words = position_words(kept.candidates)
    cases = gather_cases(resolve([*seen.votes, *named], words, order))
    primed = {
        pair: Case(*pair, (*case.votes, Vote(*pair, weight("prior"), "")))
        for pair, case in cases.items()
    }
    settled = settle(primed)
    proposals = [
        _proposal(one, kept, guesses)
        for one in settled
        if one.chance >= threshold("confidence_least")
    ]
    return _suggestion(scene, seen, proposals, settled, dull)


def look(scene: Scene, favour: Mapping[str, float]) -> Seen:
    """Ask the data alone what is what.

    Parameters
    ----------
    scene : Scene
        The signals that may measure something.
    favour : mapping of str to float
        What names say for a signal being the pack's voltage or current [1].

    Returns
    -------
    Seen
        Votes, and what they rest on.
    """
    readings: Readings = all_readings(scene.candidates)
    anchors = find_anchors(scene, readings, favour)
    balanced = frozenset(term.reading.key for term in anchors.balance.terms)
    anchors = on_the_right_scale(anchors, readings["power"], balanced | _pair_keys(anchors))
    readings = narrowed(readings, anchors)
    summaries = find_summaries(anchors.warming, scene, readings["temperature"])
    votes = [
        *tell_pack(anchors, readings, scene.segment),
        *tell_supply(anchors, readings, scene.segment),
        *tell_heat(anchors, readings),
        *tell_cells(summaries, anchors.warming),
        *tell_motion(anchors, readings),
        *tell_levels(anchors, readings),
    ]
    taken = _taken(anchors)
    powers = [one for one in readings["power"] if one.key not in taken or one.is_said]
    coldest = summaries[0] if summaries else None
    votes += tell_limits(anchors, coldest, powers, balanced | _pair_keys(anchors))
    drives = {term.reading.key for term in drive_terms(anchors)}
    lost = {vote.key for vote in votes if vote.path.endswith("PowerLoss")}
    cabin = list(
        tell_cabin(
            anchors,
            readings["temperature"],
            readings["power"],
            taken | drives | lost | {SUPPLY},
        )
    )
    heaters = [vote.key for vote in cabin if ".Heater." in vote.path]
    votes += cabin
    votes += tell_states(scene.candidates, anchors, heaters)
    claims = claims_of(votes)
    votes += rest_powers(anchors, readings, claims)
    votes += rest_shares(readings["share"], claims)
    votes += rest_temperatures(readings["temperature"], claims)
    return Seen(tuple(votes), anchors, _cells_in_series(anchors, readings["voltage"]))


def _cells_in_series(anchors: Anchors, voltages: Sequence[Reading]) -> int | None:
    if anchors.pair is None:
        return None
    times = [value for _, value in cell_voltages(anchors.pair, voltages)]
    return round(float(np.mean(times))) if times else None


def _pair_keys(anchors: Anchors) -> frozenset[str]:
    pair = anchors.pair
    return frozenset() if pair is None else frozenset((pair.voltage.key, pair.current.key))


def _taken(anchors: Anchors) -> frozenset[str]:
    """Name the signals whose part is known, so that they are taken for nothing else."""
    keys = set(_pair_keys(anchors))
    warming = anchors.warming
    if warming is not None and warming.score > threshold("warming_good"):
        keys.add(warming.inlet.key)
        keys |= {one.reading.key for role in (CELLS, OUTLET) for one in warming.of(role)}
    keys |= {one.reading.key for one in anchors.sharing.windings}
    keys |= {one.reading.key for one in anchors.sharing.heats}
    return frozenset(keys)


def _proposal(settled: Settled, scene: Scene, guesses: Mapping[str, Guess]) -> Proposal:
    case = settled.case
    candidate = scene.candidate(case.key)
    row = find_signal(case.path)
    told = sorted((v for v in case.votes if v.because and v.weight > 0.0), key=lambda v: -v.weight)
    sign = case.sign or 1
    states = [vote.true_when for vote in told if vote.true_when]
    unit = candidate.unit or case.unit or (row.unit if row else "")
    if row is not None and not row.is_state and unit_problem(unit, row):
        unit = row.unit  # a spelling that a vehicle file cannot take
    is_state = row is not None and row.is_state
    seen = [vote.evidence for vote in told if vote.evidence]
    if case.key in guesses and not is_state:
        guess = guesses[case.key]
        seen.append(f"no unit is stated; taken as {guess.unit}: {guess.because}")
    return Proposal(
        path=case.path,
        from_=case.key,
        unit="" if is_state else unit,
        sign=1 if is_state else sign,
        confidence=settled.chance,
        because=tuple(dict.fromkeys(vote.because for vote in told)),
        evidence=tuple(dict.fromkeys(seen)),
        true_when=states[0] if states and is_state else (),
        meaning=row.meaning if row else "",
    )


def _suggestion(
    scene: Scene,
    seen: Seen,
    proposals: Sequence[Proposal],
    settled: Sequence[Settled],
    dull: Mapping[str, str],
) -> Suggestion:
    places = {path: i for i, path in enumerate(catalogue())}

    def place(path: str) -> tuple[int, str]:
        row = find_signal(path)
        return (places[row.path] if row else len(places), path)

    counted = [one for one in seen.anchors.counted if one.is_counted]
    return Suggestion(
        proposals=tuple(sorted(proposals, key=lambda one: place(one.path))),
        left_out=tuple(_left_out(scene, proposals, settled, dull, _cell_keys(seen.anchors))),
        usable_energy_kWh=counted[0].energy_kWh if counted else None,
        usable_energy_plus_minus_kWh=counted[0].energy_plus_minus_kWh if counted else 0.0,
        cells_in_series=seen.cells_in_series,
        drive_units=max(len(seen.anchors.sharing.windings), len(seen.anchors.sharing.heats))
        or None,
        seconds=len(scene),
        warnings=scene.warnings,
    )


def _cell_keys(anchors: Anchors) -> frozenset[str]:
    warming = anchors.warming
    if warming is None or warming.score < threshold("warming_good"):
        return frozenset()
    return frozenset(one.reading.key for one in warming.of(CELLS))


def _left_out(
    scene: Scene,
    proposals: Sequence[Proposal],
    settled: Sequence[Settled],
    dull: Mapping[str, str],
    cells: frozenset[str],
) -> list[LeftOut]:
    used = {one.from_ for one in proposals}
    near = {one.case.key: one for one in settled}
    found = []
    for one in scene.candidates:
        if one.key in used:
            continue
        if one.key in dull:
            found.append(LeftOut(one.key, dull[one.key]))
        elif one.key in near:
            best = near[one.key]
            why = f"might be {best.case.path} ({best.chance:.0%})"
            if best.rival:
                why += f"; {best.rival} comes close"
            found.append(LeftOut(one.key, why, best.case.path))
        elif one.key in cells:
            found.append(LeftOut(one.key, "one of many temperatures of cells"))
        elif np.nanmax(one.values) == np.nanmin(one.values):
            found.append(LeftOut(one.key, f"never changes ({np.nanmin(one.values):g} {one.unit})"))
        else:
            found.append(LeftOut(one.key, "nothing speaks for any path"))
    found += [LeftOut(key, "the log has no value of it") for key in scene.silent]
    return found
