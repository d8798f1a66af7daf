"""Judge the findings on cars by arithmetic that share nothing with the simulator.

    .venv/bin/python benchmarks/findings_apart.py --cars 5000 5020

Each car has up to four sound mornings, all of them judged, and faults of a size to be called out
in turn; recordings are as crude as logs are: few signals, whole degrees, ten seconds, other units.
"""

from __future__ import annotations

import argparse
import pickle
import sys
from collections import Counter, defaultdict
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from benchmarks.findings import ACCOUNTS, bound, look

from tests.findings.plain_faults import KINDS, draw_car, draw_crude, draw_day, draw_fault
from tests.findings.plain_log import Errors, lived
from thawline.findings.finding import Figures, Finding

#: Sound mornings of a car [1].
SOUND = 4


@dataclass(frozen=True)
class Row:
    """What was found on a morning."""

    seed: int
    what: str
    kind: str
    size: float
    from_s: float
    found: tuple[Finding, ...]

    @property
    def kinds(self) -> list[str]:
        """Kinds found, accounts aside."""
        return [one.kind for one in self.found if one.kind not in ACCOUNTS]


def sound(seed: int) -> list[Row]:
    """Look at the sound mornings of a car, each with those before it."""
    car, crude, errors = draw_car(seed), draw_crude(seed), Errors(seed)
    earlier: list[Figures] = []
    rows = []
    for which in range(SOUND):
        made = lived(car, draw_day(seed, which), crude, errors, {}, f"{seed}-{which}", which)
        found = look(made, tuple(earlier))[0]
        earlier.append(found.figures)
        rows.append(Row(seed, f"sound-{which}", "", 0.0, 0.0, found.found))
    return rows


def hurt(seed: int, what: str, apart_K: float | None = None) -> Row:
    """Look at a morning with a fault."""
    one = draw_fault(seed, what, apart_K)
    errors = Errors(seed)
    earlier: list[Figures] = []
    for which, day in enumerate(one.earlier):
        made = lived(one.car, day, one.crude, errors, {}, f"{seed}-{which}", which)
        earlier.append(look(made, tuple(earlier))[0].figures)
    made = lived(one.car, one.day, one.crude, errors, one.offs, f"{seed}-{what}", 9)
    return Row(seed, what, one.kind, one.size, one.from_s, look(made, tuple(earlier))[0].found)


def told(rows: list[Row]) -> list[str]:
    """Count what was found and what it was called."""
    healthy = [r for r in rows if not r.kind]
    false = [r for r in healthy if r.kinds]
    faults = [r for r in rows if r.kind]
    found, named = [r for r in faults if r.kinds], [r for r in faults if r.kind in r.kinds]
    alone = [r for r in named if set(r.kinds) == {r.kind}]
    lines = [
        f"sound mornings with a false finding: {bound(len(false), len(healthy))}",
        *(f"    car {r.seed} {r.what}: {', '.join(r.kinds)}" for r in false),
        f"faults found: {bound(len(found), len(faults))}",
        f"named right: {bound(len(named), len(faults))}",
        f"nothing else named besides: {bound(len(alone), len(named))}",
        "", "by fault: trials, found, named right; what else it was called",
    ]  # fmt: skip
    called: dict[str, Counter[str]] = defaultdict(Counter)
    for r in faults:
        called[r.what].update([k for k in dict.fromkeys(r.kinds) if k != r.kind])
    for what in KINDS:
        mine = [r for r in faults if r.what == what]
        counts = (len(mine), sum(bool(r.kinds) for r in mine), sum(r.kind in r.kinds for r in mine))
        others = ", ".join(f"{k} {n}" for k, n in called[what].most_common())
        lines.append(f"  {what:18s}" + "".join(f"{n:4d}" for n in counts) + f"   {others}")
    return lines


def judged(seed: int, asked: argparse.Namespace) -> list[Row]:
    """Judge one car."""
    names = list(KINDS)
    rows = [] if asked.no_sound else sound(seed)
    # the step has no factor in common with the number of faults, so that all come round
    mine = asked.only or [
        names[(seed * asked.faults + k) * 7 % len(names)] for k in range(asked.faults)
    ]
    return rows + [hurt(seed, what, asked.apart_K) for what in mine]


def main() -> None:
    """Run the cars and print what came of them."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    parser.add_argument("--cars", nargs=2, type=int, default=(5000, 5004), metavar=("FROM", "TO"))
    parser.add_argument("--faults", type=int, default=6, help="faults of each car; they go round")
    parser.add_argument("--only", nargs="*", default=[], help="these faults on every car")
    parser.add_argument("--no-sound", action="store_true", help="leave sound mornings out")
    parser.add_argument("--apart-K", type=float, help="earlier mornings are so much warmer [K]")
    parser.add_argument("--keep", type=Path, help="folder for what was found, for this version")
    parser.add_argument("--missed", action="store_true", help="list what was missed")
    asked = parser.parse_args()
    rows: list[Row] = []
    seeds = range(*asked.cars)
    for i, seed in enumerate(seeds):
        print(f"{i + 1}/{len(seeds)}", end="\r", file=sys.stderr, flush=True)
        file = None if asked.keep is None else asked.keep / f"{seed}.pickle"
        if file is not None and file.exists():
            rows += pickle.loads(file.read_bytes())
            continue
        mine = judged(seed, asked)
        if file is not None:
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(pickle.dumps(mine))
        rows += mine
    print("\n".join(told(rows)))
    if asked.missed:
        for r in rows:
            if r.kind and set(r.kinds) != {r.kind}:
                print(f"  {r.seed} {r.what} {r.size:.2f} from {r.from_s:.0f} s: {r.kinds}")


if __name__ == "__main__":
    main()
