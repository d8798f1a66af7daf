"""Study a fleet: every recording, then every vehicle, then every model.

look at each recording -> findings beside earlier ones -> limits, trends and warm-ups of each
vehicle -> pooling. What is done for a recording or for a vehicle is done by who is hired; only what
models share is summed up here, in the order of names. So it does not matter who did what and when.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from thawline.fleet import work
from thawline.fleet.borrow import borrow_levels, borrow_warm_ups
from thawline.fleet.borrow_limits import borrow_limits
from thawline.fleet.done import Done
from thawline.fleet.fleet import Fleet
from thawline.fleet.pool import setting
from thawline.fleet.share import shared_of
from thawline.fleet.source import Entry, Source
from thawline.fleet.workforce import Failure, Task, Workforce
from thawline.trends.morning import morning_from
from thawline.trends.study import MOST, Study, Told
from thawline.trends.trends import Trends
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
    vehicles = _by_vehicle(source.entries, looked)
    found = stage("findings", work.find, [
        _finding_job(one, ones, looked) for ones in vehicles.values() for one in ones
    ])  # fmt: skip
    studies = {
        one.id: Study(
            morning_from(looked[one.id]),
            tuple(Told(*told) for told in found[one.id]) if one.id in found else None,
        )
        for one in source.entries
        if one.id in looked
    }
    limits = stage("limits", work.allow, [
        _limit_job(name, ones) for name, ones in vehicles.items()
    ])  # fmt: skip
    models = {name: str(looked[ones[-1].id]["model"]) for name, ones in vehicles.items()}
    trends = _trends(vehicles, looked, price_per_kWh, force, tally, progress)
    fits: dict[str, list[dict[str, Any]]] = {name: [] for name in vehicles}
    if with_warm_ups:
        latest = {name: ones[-int(setting("warmup_mornings")) :] for name, ones in vehicles.items()}
        fitted = stage("warm-up", work.warm, [
            _Job(one.id, (one.folder,), one.content_key) for ones in latest.values() for one in ones
        ])  # fmt: skip
        fits = {n: [fitted[o.id] for o in ones if o.id in fitted] for n, ones in latest.items()}
    if progress is not None:
        progress("pooling", 0, 1)
    learned, priors, warm_ups = borrow_warm_ups(fits, models)
    thresholds, allowed = borrow_limits(limits, models)
    learned += thresholds + borrow_levels(trends, models)
    return Fleet(
        source.address, code_version(), source.entries, studies, tuple(sorted(tally.errors)),
        trends, limits, tuple(learned), priors, shared_of(models, warm_ups, allowed),
        tally.computed, tally.reused,
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
    written = partial(work.in_words, task)
    for number, result in force.each(written, [job.takes for job in todo]):
        job = todo[number]
        if isinstance(result, Failure):
            tally.errors.append((job.name, title, str(result)))
        else:
            results[job.name] = done.keep(keys[job.name], result)
            tally.computed += 1
        if progress is not None:
            progress(title, len(results), len(jobs))
    return {job.name: results[job.name] for job in jobs if job.name in results}


def _trends(
    vehicles: Mapping[str, Sequence[Entry]],
    looked: Mapping[str, Mapping[str, Any]],
    price_per_kWh: float | None,
    force: Workforce,
    tally: _Tally,
    progress: Progress | None,
) -> tuple[Trends, ...]:
    """Follow each vehicle; that costs less than keeping it."""
    names = list(vehicles)
    found = list[Trends]()
    given = [([looked[one.id] for one in vehicles[name]], price_per_kWh) for name in names]
    for done, (number, result) in enumerate(force.each(work.follow_vehicle, given), 1):
        if isinstance(result, Failure):
            tally.errors.append((names[number], "trends", str(result)))
        else:
            found.append(replace(result, vehicle=names[number]))  # however it was spelt last
        if progress is not None:
            progress("trends", done, len(names))
    return tuple(sorted(found, key=lambda one: one.vehicle))


def _by_vehicle(
    entries: Sequence[Entry], looked: Mapping[str, Mapping[str, Any]]
) -> dict[str, list[Entry]]:
    """Gather the recordings of each vehicle that could be looked at; letters' case is one."""
    found: dict[str, list[Entry]] = {}
    names: dict[str, str] = {}
    for one in entries:
        if one.id in looked:
            name = names.setdefault(one.vehicle.casefold(), one.vehicle)
            found.setdefault(name, []).append(one)
    return dict(sorted(found.items()))


def _finding_job(
    entry: Entry, same: Sequence[Entry], looked: Mapping[str, Mapping[str, Any]]
) -> _Job:
    """Ask for findings beside the latest mornings that began before; content names those."""
    until = bisect_left(same, entry.starts_at, key=lambda one: one.starts_at)
    earlier = same[max(until - MOST, 0) : until]
    figures = [looked[one.id]["figures"] for one in earlier]
    made_from = [entry.content_key, [one.content_key for one in earlier]]
    return _Job(entry.id, (entry.folder, figures), made_from)


def _limit_job(name: str, entries: Sequence[Entry]) -> _Job:
    latest = entries[-int(setting("limit_mornings")) :]
    return _Job(name, ([one.folder for one in latest],), [one.content_key for one in latest])
