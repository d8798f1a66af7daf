"""One run over thousands of recordings, in slices: what it took, and whether it is right.

A slice ends after so many seconds by breaking the run off, wherever it is; the next one goes on
there. A worker is killed (SIGKILL) halfway through the first stage. What was found is then held
against what was simulated, and the vehicles of one model, studied again in this process alone,
against the run, to the last digit.
"""

from __future__ import annotations

import json
import os
import signal
import time
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from fleet_mornings import coldest_off_K, damage, is_few, make, truth
from fleet_study import resident_MB, source_of

if TYPE_CHECKING:
    from thawline.fleet.fleet import Fleet

#: Shares of a stage at which the workers' memory is told [percent].
SHARES = (1, 10, 25, 50, 75, 100)


class SliceOver(Exception):  # noqa: N818  # nothing is wrong
    """The slice's time is over."""


def _told(folder: Path) -> dict[str, Any]:
    path = folder / "campaign.json"
    empty = {"seconds": 0.0, "slices": 0, "memory": {}, "killed": 0, "hurt": None}
    return json.loads(path.read_text("utf-8")) if path.exists() else empty


def campaign(folder: Path, count: int, for_s: float, workers: int = 2) -> bool:
    """Do a slice of the campaign; give whether all is done."""
    until = time.time() + for_s
    if make(folder, count, until):
        return False
    told = _told(folder)
    if told["hurt"] is None:
        told["hurt"] = damage(folder)
        (folder / "campaign.json").write_text(json.dumps(told), "utf-8")
    found = _slice(folder, told, until, workers)
    (folder / "campaign.json").write_text(json.dumps(told), "utf-8")
    if found is None:
        print(f"slice {told['slices']} is over; {told['seconds']:.0f} s of studying so far")
        return False
    report(folder, found, told)
    return True


def _pids(force: Any) -> list[int]:
    """Name the workers' processes; none while one is being replaced."""
    try:
        return list(force.pids())
    except Exception as error:  # whatever the cluster says, it is asked again later
        print(f"  workers do not tell their numbers: {error}", flush=True)
        return []


def _slice(folder: Path, told: dict[str, Any], until: float, workers: int) -> Fleet | None:
    from thawline.fleet.done import open_done
    from thawline.fleet.hire import hired
    from thawline.fleet.run import run
    from thawline.fleet.tables import write_tables

    begin = time.perf_counter()
    source = source_of(folder / "library")
    listed = time.perf_counter() - begin
    print(f"{len(source.entries)} recordings listed in {listed:.2f} s", flush=True)
    told["slices"] += 1
    last = [0.0]
    try:
        with open_done(folder / "results") as done, hired(workers) as force:

            def progress(stage: str, number: int, total: int) -> None:
                pids = _pids(force) if number * 200 % max(total, 1) < 200 else []
                for share in SHARES:
                    name = f"{stage} {share} %"
                    if pids and number * 100 >= share * total and name not in told["memory"]:
                        told["memory"][name] = [round(resident_MB(pid)) for pid in pids]
                if pids and stage == "look" and 2 * number >= total and not told["killed"]:
                    told["killed"] = pids[0]
                    os.kill(pids[0], signal.SIGKILL)
                    print(f"killed worker {pids[0]} at {number} of {total}", flush=True)
                if time.perf_counter() - last[0] > 10.0:
                    last[0] = time.perf_counter()
                    print(f"  {stage}: {number} of {total}", flush=True)
                if time.time() > until:
                    raise SliceOver

            found = run(source, force, done, progress)
        write_tables(found, folder / "results")
    except SliceOver:
        return None
    finally:
        told["seconds"] += time.perf_counter() - begin
    return found


def report(folder: Path, found: Fleet, told: dict[str, Any]) -> None:
    """Print what the campaign took and what came of it."""
    seconds, count = told["seconds"], len(found.entries)
    print(f"{count} recordings of {len(found.trends)} vehicles in {told['slices']} slices, "
          f"{seconds:.0f} s: {count / seconds:.1f} recordings a second")  # fmt: skip
    print(f"tasks done now {found.computed}, before {found.reused}; worker killed: "
          f"{told['killed']}")  # fmt: skip
    stages = Counter(stage for _, stage, _ in found.errors)
    hurt, failed = set(told["hurt"]), {name for name, _, _ in found.errors}
    print(f"damaged recordings {len(hurt)}, told {len(hurt & failed)}, others that failed "
          f"{len(failed - hurt)}; errors by stage {dict(stages)}")  # fmt: skip
    print("memory of workers, MB:")
    for name, sizes in told["memory"].items():
        print(f"  {name:18s} {sizes}")
    _findings(folder, found)
    _limits(folder, found)
    _lasting(folder, found)


def _findings(folder: Path, found: Fleet) -> None:
    rows = {row["recording"]: row for row in truth(folder) if row["recording"] is not None}
    seen = {name: {one.kind for one in study.findings or ()}
            for name, study in found.studies.items()}  # fmt: skip
    sound = [name for name in seen if rows[name]["kind"] is None]
    print(f"sound mornings {len(sound)}, with a finding {sum(bool(seen[n]) for n in sound)}: "
          f"{dict(Counter(kind for n in sound for kind in seen[n]).most_common(8))}")  # fmt: skip
    kinds = sorted({row["kind"] for row in rows.values() if row["kind"]})
    print("injected, found anything, named right (sizes from nothing on, exposed or not):")
    for kind in kinds:
        mine = [name for name in seen if rows[name]["kind"] == kind]
        right = sum(kind in seen[name] for name in mine)
        print(f"  {kind:24s} {len(mine):4d} {sum(bool(seen[n]) for n in mine):4d} {right:4d}")


def _limits(folder: Path, found: Fleet) -> None:
    true = {row["vehicle"]: row for row in truth(folder) if row["recording"] is not None}
    print("where limits leave zero, learned less true as the car's own thermometer shows it, K; "
          "share within two standard uncertainties")  # fmt: skip
    for what in ("charging", "regeneration"):
        mine = [one for one in found.learned if one.name == f"{what}-from"]
        for which, few in ((w, f) for w in ("own", "pooled") for f in (False, True)):
            off = [
                (getattr(one, which) - true[one.vehicle][f"{what}_from_degC"]
                 - coldest_off_K(one.vehicle), getattr(one, f"{which}_sigma"))
                for one in mine
                if getattr(one, which) is not None and is_few(one.vehicle) == few
            ]  # fmt: skip
            far = np.array([each for each, _ in off])
            sure = np.mean([abs(each) <= 2.0 * sigma for each, sigma in off])
            print(f"  {what:13s} {which:7s} {'three' if few else 'many'} mornings {len(off):3d} "
                  f"vehicles  median {np.median(far):+.2f}  rms {np.sqrt(np.mean(far**2)):.2f}  "
                  f"90 % below {np.quantile(abs(far), 0.9):.2f}  {100 * sure:.0f} %")  # fmt: skip


def _lasting(folder: Path, found: Fleet) -> None:
    rows = [row for row in truth(folder) if row["recording"] is not None]
    lasting = Counter(row["vehicle"] for row in rows if row["fault"])
    sick = {name: next(r["kind"] for r in rows if r["vehicle"] == name and r["fault"])
            for name, count in lasting.items() if count > 20}  # fmt: skip
    changed = {each.vehicle: [one.quantity for one in each.trends if one.is_change]
               for each in found.trends}  # fmt: skip
    print(f"vehicles with a fault that stays: {len(sick)}, changed by their trends "
          f"{sum(bool(changed.get(name)) for name in sick)}; others {len(changed) - len(sick)}, "
          f"changed {sum(bool(v) for name, v in changed.items() if name not in sick)}")  # fmt: skip
    for name, kind in sorted(sick.items()):
        print(f"  {name:16s} {kind:22s} {', '.join(changed.get(name, [])) or 'no change'}")


def equality(folder: Path, place: int = 0) -> bool:
    """Study the vehicles of one model in this process alone, and hold the run against that."""
    from thawline.fleet.done import open_done
    from thawline.fleet.run import run
    from thawline.fleet.tables import tables
    from thawline.fleet.workforce import Here

    source = source_of(folder / "library")
    with open_done(folder / "results") as done:
        whole = run(source, Here(), done)
    model = sorted({each.model for each in whole.trends})[place]
    names = {each.vehicle for each in whole.trends if each.model == model}
    mine = replace(source, entries=tuple(e for e in source.entries if e.vehicle in names))
    with open_done(folder / f"alone-{place}") as done:
        alone = run(mine, Here(), done)
    ids = {entry.id for entry in mine.entries}
    mine_rows, rows = tables(alone), tables(whole)
    same = {
        "studies": alone.studies == {n: s for n, s in whole.studies.items() if n in ids},
        "limits": alone.limits == {n: s for n, s in whole.limits.items() if n in names},
        "learned": list(alone.learned) == [one for one in whole.learned if one.vehicle in names],
        "priors": alone.priors == {n: s for n, s in whole.priors.items() if n in names},
        "shared": alone.shared["models"][model] == whole.shared["models"][model],
        "trends": mine_rows["trends"] == [r for r in rows["trends"] if r["vehicle"] in names],
        "findings": mine_rows["findings"] == [r for r in rows["findings"] if r["vehicle"] in names],
    }
    print(f"{model}: {len(ids)} recordings of {len(names)} vehicles, alone (computed "
          f"{alone.computed}) against the run (computed {whole.computed}): {same}")  # fmt: skip
    return all(same.values())
