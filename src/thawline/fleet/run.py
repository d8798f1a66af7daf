"""Study a fleet: every recording, then every vehicle, then every model.

look at each recording -> findings beside earlier ones -> limits and warm-up of each vehicle ->
trends, pooling. Sums are made here, in the order of names and starts, so that it does not matter
who did what and when.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from thawline.findings.figures import plain
from thawline.fleet import work
from thawline.fleet.borrow import borrow_levels, borrow_limits, borrow_warm_ups
from thawline.fleet.done import Done
from thawline.fleet.fleet import Fleet
from thawline.fleet.pool import setting
from thawline.fleet.source import Entry, Source
from thawline.fleet.workforce import Failure, Task, Workforce
from thawline.trends.follow import follow
from thawline.trends.morning import Morning, morning_from
from thawline.trends.study import Study, Told, before
from thawline.trends.version import code_version

#: Called with the stage, the tasks done and the tasks in all.
Progress = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True)
class _Job:
    """One task: who it is for, what it takes, and what its result is made from."""

    name: str
    takes: tuple[Any, ...]
    made_from: object


@dataclass(slots=True)
class _Tally:
    computed: int
    reused: int
    errors: list[tuple[str, str, str]]


def run(
    source: Source,
    force: Workforce,
    done: Done,
    progress: Progress | None = None,
    price_per_kWh: float | None = None,
    *,
    with_warm_ups: bool = True,
) -> Fleet:
    """Study a fleet.

    Parameters
    ----------
    source : Source
        Its recordings.
    force : Workforce
        Who does the work.
    done : Done
        What is done already; what is done now is kept there at once.
    progress : callable, optional
        Called with the stage, the tasks done and the tasks in all.
    price_per_kWh : float, optional
        The tariff, for the cost [1/kWh].
    with_warm_ups : bool
        Whether the warm-up model is fitted to each vehicle's latest mornings.

    Returns
    -------
    Fleet
        What was found.
    """
    tally = _Tally(0, 0, [(place, "list", why) for place, why in source.errors])

    def stage(title: str, task: Task, jobs: Sequence[_Job]) -> dict[str, Any]:
        return _stage(title, task, jobs, force, done, tally, progress)

    looked = stage("look", work.look, [
        _Job(one.id, (one.folder,), one.content_key) for one in source.entries
    ])  # fmt: skip
    mornings = {name: morning_from(told) for name, told in looked.items()}
    vehicles = _by_vehicle(source.entries, mornings)
    ordered = {
        name.casefold(): [mornings[one.id] for one in ones] for name, ones in vehicles.items()
    }
    found = stage("findings", work.find, [
        _finding_job(one, mornings[one.id], ordered[one.vehicle.casefold()])
        for one in source.entries
        if one.id in mornings
    ])  # fmt: skip
    studies = {
        one.id: Study(
            mornings[one.id],
            tuple(Told(*told) for told in found[one.id]) if one.id in found else None,
        )
        for one in source.entries
        if one.id in mornings
    }
    limits = stage("limits", work.allow, [
        _limit_job(name, ones) for name, ones in vehicles.items()
    ])  # fmt: skip
    models = {name: mornings[ones[-1].id].model for name, ones in vehicles.items()}
    trends = tuple(
        follow([mornings[one.id] for one in ones], price_per_kWh) for ones in vehicles.values()
    )
    trends = tuple(sorted(trends, key=lambda one: one.vehicle))
    fits: dict[str, list[dict[str, Any]]] = {name: [] for name in vehicles}
    if with_warm_ups:
        latest = {name: ones[-int(setting("warmup_mornings")) :] for name, ones in vehicles.items()}
        fitted = stage("warm-up", work.warm, [
            _Job(one.id, (one.folder,), one.content_key) for ones in latest.values() for one in ones
        ])  # fmt: skip
        fits = {n: [fitted[o.id] for o in ones if o.id in fitted] for n, ones in latest.items()}
    if progress is not None:
        progress("pooling", 0, 1)
    learned, priors = borrow_warm_ups(fits, models)
    learned += borrow_limits(limits, models)
    learned += borrow_levels(trends, models)
    return Fleet(
        source.address, code_version(), source.entries, studies, tuple(sorted(tally.errors)),
        trends, limits, tuple(learned), priors, tally.computed, tally.reused,
    )  # fmt: skip


def _stage(
    title: str,
    task: Task,
    jobs: Sequence[_Job],
    force: Workforce,
    done: Done,
    tally: _Tally,
    progress: Progress | None,
) -> dict[str, Any]:
    """Do a stage: what is known is read, what fails is told, the rest is kept as it comes."""
    keys = {job.name: done.key(title, job.made_from) for job in jobs}
    known = done.known(list(keys.values()))
    results = {job.name: known[keys[job.name]] for job in jobs if keys[job.name] in known}
    todo = [job for job in jobs if job.name not in results]
    tally.reused += len(results)
    if progress is not None:
        progress(title, len(results), len(jobs))
    for number, result in force.each(task, [job.takes for job in todo]):
        job = todo[number]
        if isinstance(result, Failure):
            tally.errors.append((job.name, title, str(result)))
        else:
            results[job.name] = done.keep(keys[job.name], result)
            tally.computed += 1
        if progress is not None:
            progress(title, len(results), len(jobs))
    return {job.name: results[job.name] for job in jobs if job.name in results}


def _by_vehicle(entries: Sequence[Entry], mornings: dict[str, Morning]) -> dict[str, list[Entry]]:
    """Gather the recordings of each vehicle that could be looked at; letters' case is one."""
    found: dict[str, list[Entry]] = {}
    names: dict[str, str] = {}
    for one in entries:
        if one.id in mornings:
            name = names.setdefault(one.vehicle.casefold(), one.vehicle)
            found.setdefault(name, []).append(one)
    return dict(sorted(found.items()))


def _finding_job(entry: Entry, morning: Morning, same: Sequence[Morning]) -> _Job:
    earlier = [plain(one) for one in before(same, morning)]
    return _Job(entry.id, (entry.folder, earlier), [entry.content_key, earlier])


def _limit_job(name: str, entries: Sequence[Entry]) -> _Job:
    latest = entries[-int(setting("limit_mornings")) :]
    return _Job(name, ([one.folder for one in latest],), [one.content_key for one in latest])
