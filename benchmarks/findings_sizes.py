"""Tell the share found by size, for every fault, on mornings on which it acts.

    .venv/bin/python benchmarks/findings_sizes.py --faults weak-unit module-contact --cars 12

Cars that nobody has seen and that record what the fault needs, two sound mornings before, sizes
spread evenly over the range. A morning on which the fault had no occasion after all is told apart.
"""

from __future__ import annotations

import argparse
import pickle
import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from benchmarks.findings import look

from tests.findings.acting import acting
from tests.findings.exposure import hidden_by, lacking, sizes
from tests.findings.mornings import FAULTS, car, lived, mapped
from thawline.remembering import figures_of

#: Parts that the range of sizes is told in [1]; most cars that are looked through for one [1].
PARTS, LOOKED = 4, 300
#: Marks of what came: named right, named otherwise, nothing; no occasion.
MARKS = {"right": "o", "other": "x", "nothing": ".", "hidden": "-"}


def trial(seed: int, what: str, size: float) -> tuple[str, str, str] | None:
    """Break a car: what came, what it was called or what hid it; None if it lacks signals."""
    of = car(seed)
    if lacking(what, of.build, mapped(of)):
        return None
    one, before = acting(of, seed, what, size)
    sound = [lived(of, scenario) for scenario in before]
    earlier = tuple(figures_of(recording) for recording, _ in sound)
    recording, truth = lived(of, one.scenario)
    kinds = {f.kind for f in look(recording, earlier)[0].found if not f.kind.endswith("open")}
    channels = set(recording.channels)
    hidden = hidden_by(what, one, truth, channels, [morning for _, morning in sound])
    if hidden and hidden != "too small":
        return "hidden", hidden, ", ".join(sorted(kinds))
    if one.kind in kinds:
        return "right", hidden, ""
    return ("other" if kinds else "nothing"), hidden, ", ".join(sorted(kinds))


def study(
    what: str, first: int, count: int, file: Path | None
) -> list[tuple[int, float, str, str, str]]:
    """Break so many cars with sizes from the smallest to the largest; go on where it ended."""
    _, low, high = FAULTS[what]
    rows = pickle.loads(file.read_bytes()) if file is not None and file.exists() else []
    for seed in range(rows[-1][0] + 1 if rows else first, first + LOOKED):
        if len(rows) >= count:
            break
        # the order is turned; 7 has no factor in common with 10 or 12 trials
        place = (len(rows) * 7 + 2) % count
        size = low + (high - low) * (place + 0.5) / count
        came = trial(seed, what, size)
        if came is not None:
            rows.append((seed, size, *came))
            print(f"{what} {len(rows)}/{count}", end="\r", file=sys.stderr, flush=True)
            if file is not None:
                file.parent.mkdir(parents=True, exist_ok=True)
                file.write_bytes(pickle.dumps(rows))
    return rows


def line(what: str, rows: list[tuple[int, float, str, str, str]]) -> str:
    """Tell one fault: named right of trials, in parts of the range; what else came."""
    _, low, high = FAULTS[what]
    parts = []
    for i in range(PARTS):
        a, b = (low + (high - low) * k / PARTS for k in (i, i + 1))
        inside = [r for r in rows if a <= r[1] <= b and r[2] != "hidden"]
        parts.append(f"{sum(r[2] == 'right' for r in inside)}/{len(inside)}")
    counted = [r for r in rows if not r[3]]
    right = sum(r[2] == "right" for r in counted)
    found = sum(r[2] in ("right", "other") for r in counted)
    others = Counter(r[4] for r in rows if r[2] == "other")
    hidden = Counter(r[3] for r in rows if r[2] == "hidden")
    more = ["called " + f"{k} {n}" for k, n in others.items()]
    more += [f"{n} hidden: {k}" for k, n in hidden.items()]
    return (f"  {what:18s} {low:g}..{high:g}, to be called out from {sizes()[what]['smallest']}: "
            f"{'  '.join(parts)}; found {found}, named {right} of {len(counted)}; "
            f"{'; '.join(more)}")  # fmt: skip


def main() -> None:
    """Run the faults and print what came."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    parser.add_argument("--faults", nargs="*", default=list(FAULTS))
    parser.add_argument("--cars", type=int, default=12)
    parser.add_argument("--first", type=int, default=61_000, help="seed of the first car")
    parser.add_argument("--keep", type=Path, help="folder for what came, one file a fault")
    parser.add_argument("--each", action="store_true", help="list every trial")
    asked = parser.parse_args()
    for what in asked.faults:
        file = None if asked.keep is None else asked.keep / f"{what}.pickle"
        rows = study(what, asked.first, asked.cars, file)
        print(line(what, rows), flush=True)
        for seed, size, came, hidden, called in rows if asked.each else []:
            print(f"      {MARKS[came]} {seed} {size:.2f} {hidden} {called}")


if __name__ == "__main__":
    main()
