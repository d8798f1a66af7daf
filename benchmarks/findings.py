"""Inject faults of random size at random times into random mornings, and count what is found.

    .venv/bin/python benchmarks/findings.py --seeds 7000 7067

Each seed is a car that nobody has seen, with two earlier sound mornings, a third sound one, and
some broken ones. Told are: false findings on sound mornings, the share found and named right
among faults that could be found (the rule is in ``findings_sizes.csv``, written in terms of the
simulator's truth), the share found by size, delays, and what was called what.
"""

from __future__ import annotations

import argparse
import pickle
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from multiprocessing import Pool
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.findings.exposure import hidden_by, lacking, sizes
from tests.findings.mornings import FAULTS, Car, Injected, broken, car, lived, mapped, morning
from thawline.findings.find import find
from thawline.findings.finding import Finding, Findings
from thawline.ledger.account import account
from thawline.recording.flows import make_flows
from thawline.recording.recording import Recording
from thawline.remembering import figures_of
from thawline.simulator.morning import Morning
from thawline.story.tell import tell

#: Sound mornings and broken ones of a car [1]; every so many steps of the truth are kept [1].
SOUND, BROKEN, EVERY = 3, 4, 8
#: Findings that no fault here is called: accounts that do not close.
ACCOUNTS = ("electrical-account-open", "heat-account-open")
#: A finding may begin this long before the fault, for averages reach back [s].
EARLY_S = 180.0


@dataclass(frozen=True)
class Made:
    """A morning with what is to be found on it."""

    name: str
    injected: Injected | None
    recording: Recording
    truth: Morning


@dataclass(frozen=True)
class Row:
    """What was found on a morning."""

    seed: int
    name: str
    kind: str
    size: float
    from_s: float
    hidden: str
    found: tuple[Finding, ...]
    took_s: float

    @property
    def kinds(self) -> list[str]:
        """Kinds found, accounts aside."""
        return [one.kind for one in self.found if one.kind not in ACCOUNTS]


def _thin(full: Morning) -> Morning:
    def every(values: dict) -> dict:
        return {name: series[::EVERY] for name, series in values.items()}

    return replace(
        full, t=full.t[::EVERY], step_s=full.step_s * EVERY, values=every(dict(full.values)),
        powers=every(dict(full.powers)), modules_degC=full.modules_degC[::EVERY],
    )  # fmt: skip


def _kinds_for(seed: int, of: Car, count: int) -> list[str]:
    """Choose faults in turn, of those whose signals the car records."""
    names = [n for n in sorted(FAULTS) if not lacking(n, of.build, mapped(of))]
    begin = seed * 7 % len(names)
    every = max(1, len(names) // max(count, 1))
    return (names[begin:] + names[:begin])[::every][:count]


def make(seed: int, count: int = BROKEN) -> list[Made]:
    """Simulate, write and read all mornings of a car."""
    of = car(seed)
    made = []
    for which in range(SOUND):
        kept, truth = lived(of, morning(of, seed, which))
        made.append(Made(f"sound-{which}", None, kept, _thin(truth)))
    for what in _kinds_for(seed, of, count):
        one = broken(of, seed, what)
        kept, truth = lived(of, one.scenario)
        made.append(Made(what, one, kept, _thin(truth)))
    return made


def _made(seed: int, folder: Path | None, count: int = BROKEN) -> list[Made]:
    if folder is None:
        return make(seed, count)
    path = folder / f"{seed}.pickle"
    if not path.exists():
        folder.mkdir(parents=True, exist_ok=True)
        path.write_bytes(pickle.dumps(make(seed, count)))
    return pickle.loads(path.read_bytes())


def look(recording: Recording, earlier: Sequence = ()) -> tuple[Findings, float]:
    """Look for findings, and tell how long that took beyond explaining."""
    flows = make_flows(recording)
    story = tell(recording, flows)
    ledger = account(recording, flows, story)
    begin = time.perf_counter()
    found = find(recording, flows, story, ledger, earlier)
    return found, time.perf_counter() - begin


def run(seed: int, folder: Path | None, count: int = BROKEN) -> list[Row]:
    """Look at all mornings of a car; its first two teach what is usual."""
    made = _made(seed, folder, count)
    truths = [one.truth for one in made[:2]]
    rows, earlier = [], []
    for one in made:
        found, took = look(one.recording, tuple(earlier))
        if one.name in ("sound-0", "sound-1"):
            earlier.append(figures_of(one.recording))
        hurt = one.injected
        if hurt is None:
            rows.append(Row(seed, one.name, "", 0.0, 0.0, "", found.found, took))
            continue
        hidden = hidden_by(one.name, hurt, one.truth, set(one.recording.channels), truths)
        rows.append(Row(seed, one.name, hurt.kind, hurt.size, hurt.fault.from_s, hidden,
                        found.found, took))  # fmt: skip
    return rows


def bound(part: int, whole: int) -> str:
    """Tell a share with its 95 % interval (Clopper and Pearson, Biometrika 26 (1934) 404)."""
    from scipy.stats import beta  # only here

    if not whole:
        return "  0 of   0"
    low = float(beta.ppf(0.025, part, whole - part + 1)) if part else 0.0
    high = float(beta.ppf(0.975, part + 1, whole - part)) if part < whole else 1.0
    return (f"{part:3d} of {whole:3d} {100.0 * part / whole:5.1f} % "
            f"(95 %: {100.0 * low:.1f} to {100.0 * high:.1f})")  # fmt: skip


def _told(rows: list[Row]) -> list[str]:
    sound = [r for r in rows if not r.kind]
    false = [r for r in sound if r.kinds]
    open_accounts = [r for r in sound if any(f.kind in ACCOUNTS for f in r.found)]
    lines = [f"sound mornings with a false finding: {bound(len(false), len(sound))}"]
    lines += [f"    seed {r.seed} {r.name}: {', '.join(r.kinds)}" for r in false]
    lines += [f"sound mornings with an account that does not close: "
              f"{bound(len(open_accounts), len(sound))}"]  # fmt: skip
    hurt = [r for r in rows if r.kind]
    counted = [r for r in hurt if not r.hidden]
    found = [r for r in counted if r.kinds]
    named = [r for r in counted if r.kind in r.kinds]
    lines += [
        f"faults injected: {len(hurt)}; they could be found: {len(counted)}",
        f"found: {bound(len(found), len(counted))}",
        f"named right, of all that could be found: {bound(len(named), len(counted))}",
        f"nothing else named besides: "
        f"{bound(sum(set(r.kinds) == {r.kind} for r in named), len(named))}",
        f"time for the findings: median {1e3 * sorted(r.took_s for r in rows)[len(rows) // 2]:.0f} "
        f"ms, longest {1e3 * max(r.took_s for r in rows):.0f} ms (other programs ran besides)",
        "",
    ]
    return lines + _by_fault(hurt) + _confusion(counted) + _hidden(hurt)


def _by_fault(hurt: list[Row]) -> list[str]:
    lines = ["by fault: could be found, found, named right; named right by size, thirds of the",
             "range that was drawn, whether or not it could be found; median delay"]  # fmt: skip
    for what, (_, low, high) in FAULTS.items():
        mine = [r for r in hurt if r.name == what]
        counted = [r for r in mine if not r.hidden]
        found = sum(bool(r.kinds) for r in counted)
        named = [r for r in counted if r.kind in r.kinds]
        thirds = []
        for i in range(3):
            a, b = (low + (high - low) * k / 3.0 for k in (i, i + 1))
            inside = [r for r in mine if a <= r.size <= b]
            thirds.append(f"{sum(r.kind in r.kinds for r in inside)}/{len(inside)}")
        waits = sorted(
            max(0.0, f.from_s - r.from_s)
            for r in named for f in r.found if f.kind == r.kind and f.from_s is not None
        )  # fmt: skip
        delay = f"{waits[len(waits) // 2]:5.0f} s" if waits else "whole"
        lines.append(f"  {what:18s}{len(counted):4d}{found:4d}{len(named):4d}   "
                     f"{'  '.join(f'{t:>5s}' for t in thirds)}   {delay}")  # fmt: skip
    return [*lines, ""]


def _confusion(counted: list[Row]) -> list[str]:
    table: dict[str, Counter[str]] = defaultdict(Counter)
    for r in counted:
        for kind in r.kinds or ["nothing"]:
            table[r.kind][kind] += 1
    lines = ["what was called what, of faults that could be found"]
    for kind, called in sorted(table.items()):
        lines.append(f"  {kind:24s}" + ", ".join(f"{k} {n}" for k, n in called.most_common()))
    return [*lines, ""]


def _hidden(hurt: list[Row]) -> list[str]:
    counted = Counter(r.hidden for r in hurt if r.hidden)
    return ["why the others could not be found"] + [
        f"  {number:4d}  {why}" for why, number in counted.most_common()
    ]


def draw(rows: list[Row], path: Path) -> None:
    """Draw each fault by its size: named right, missed, or not to be found."""
    import matplotlib  # only for this picture

    matplotlib.use("Agg")
    import matplotlib.pyplot as plt

    names = list(FAULTS)
    figure, axes = plt.subplots(figsize=(9, 7.5), layout="constrained")
    for y, what in enumerate(names):
        _, low, high = FAULTS[what]
        least = max((float(sizes()[what]["smallest"]) - low) / (high - low), 0.0)
        axes.plot([least, least], [y - 0.35, y + 0.35], color="0.3", lw=1.2)
        for r in rows:
            if r.name != what:
                continue
            x = (r.size - low) / (high - low)
            right = r.kind in r.kinds
            colour = "#0072b2" if right else ("0.6" if r.hidden else "#d55e00")
            axes.plot(x, y, "o" if right else "x", color=colour, ms=6, mfc=colour if not r.hidden
                      else "none")  # fmt: skip
    axes.set_yticks(range(len(names)), [f"{n}: {FAULTS[n][0]}" for n in names])
    axes.set_xlabel("size, from the smallest to the largest that was drawn")
    axes.set_title(
        "named right (disc), missed (vermilion cross), could not be found (grey cross; ring:\n"
        "found all the same); upright lines: from here on a technician would call it out",
        fontsize=9,
    )
    axes.invert_yaxis()
    figure.savefig(path, dpi=130)


def main() -> None:
    """Run the campaign and print what came of it."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    parser.add_argument("--seeds", nargs=2, type=int, default=(7000, 7006), metavar=("FROM", "TO"))
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument(
        "--keep", type=Path, help="folder to keep recordings in, for this version only"
    )
    parser.add_argument("--broken", type=int, default=BROKEN, help="broken mornings of each car")
    parser.add_argument("--only-make", action="store_true", help="make the recordings only")
    parser.add_argument("--picture", type=Path, help="draw every fault by its size there")
    parser.add_argument("--missed", action="store_true", help="list faults that were missed")
    told = parser.parse_args()
    seeds = range(*told.seeds)
    rows: list[Row] = []
    assert set(sizes()) == set(FAULTS)
    with Pool(told.processes) as pool:
        task = _made if told.only_make else run
        for i, part in enumerate(
            pool.imap_unordered(partial(task, folder=told.keep, count=told.broken), seeds)
        ):
            print(f"{i + 1}/{len(seeds)}", end="\r", file=sys.stderr, flush=True)
            if not told.only_make:
                rows += part
    if told.only_make:
        return
    print("\n".join(_told(sorted(rows, key=lambda r: (r.seed, r.name)))))
    if told.picture is not None:
        draw([r for r in rows if r.kind], told.picture)
    if told.missed:
        for r in rows:
            if r.kind and not r.hidden and r.kinds != [r.kind]:
                print(f"  {r.seed} {r.name} {r.size:.2f} from {r.from_s:.0f} s: {r.kinds}")


if __name__ == "__main__":
    main()
