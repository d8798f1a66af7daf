"""First mornings of vehicles that no fleet has seen, with and without what it taught."""

from __future__ import annotations

import json
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np

from fleet_mornings import MODELS, VEHICLES, One, add

#: Unseen vehicles of each model; mornings that are tried for one that has something to foresee.
UNSEEN, TRIES = 1, 12
EVERY_S = 300.0
KINDS = ("regeneration-returns", "coldest-cell-thaws", "charging-begins", "charger-at-full-power")


def _morning(model: int, vehicle: int, library: Any) -> str | None:
    """Add a sound first morning of an unseen vehicle on which the pack is warmed for charging."""
    from thawline.library.add import remove
    from thawline.library.load import load
    from thawline.recording.flows import make_flows
    from thawline.story.tell import tell

    for which in range(TRIES):
        number = 900_000 + 1000 * model + 100 * (vehicle - VEHICLES) + which
        with tempfile.TemporaryDirectory() as scratch:
            told = add(One(number, model, vehicle, 0), 1, library, Path(scratch))
        recording = load(library, told["recording"])
        points = {p.kind for p in tell(recording, make_flows(recording)).turning_points}
        if told["fault"] is None and {"charging-begins", "regeneration-returns"} & points:
            return str(told["recording"])
        remove(library, told["recording"])
    return None


def borrow(folder: Path, for_s: float) -> None:
    """Print errors of first-morning forecasts with and without the fleet's teaching."""
    until, kept = time.time() + for_s, folder / "borrow.json"
    rows: dict[str, list[list[Any]]] = {}
    if kept.exists():
        rows = json.loads(kept.read_text("utf-8"))
    cars = [(m, v) for v in range(VEHICLES, VEHICLES + UNSEEN) for m in range(MODELS)]
    for model, vehicle in cars:
        car = f"{model}-{vehicle}"
        if car not in rows and time.time() < until:
            rows[car] = _compared(model, vehicle, folder / "results" / "priors.json")
            kept.write_text(json.dumps(rows), "utf-8")
            for kind, *figures in rows[car]:
                print("  {:6s} {:24s} error {:5.0f} -> {:5.0f} s  CRPS {:5.0f} -> {:5.0f} s"
                      .format(car, kind, *figures[:4]), flush=True)  # fmt: skip
    _tell(rows)


def _compared(model: int, vehicle: int, priors: Path) -> list[list[Any]]:
    """Replay a first morning with and without; error, CRPS and coverage by turning point."""
    from thawline.library.library import open_library
    from thawline.looking import replay

    with tempfile.TemporaryDirectory() as place:
        library = open_library(Path(place))
        name = _morning(model, vehicle, library)
        if name is None:
            return []
        alone = {s.kind: s for s in replay(library, name, EVERY_S).scores}
        taught = {s.kind: s for s in replay(library, name, EVERY_S, priors=priors).scores}
    return [
        [kind, a.median_error_s, b.median_error_s, a.crps_s, b.crps_s, a.coverage, b.coverage]
        for kind in KINDS
        if (a := alone.get(kind)) is not None and (b := taught.get(kind)) is not None
    ]


def _tell(rows: dict[str, list[list[Any]]]) -> None:
    told = [row for each in rows.values() for row in each]
    print(f"{sum(map(bool, rows.values()))} unseen vehicles, first mornings, replayed every "
          f"{EVERY_S:g} s: medians over vehicles without -> with the fleet")  # fmt: skip
    for kind in KINDS:
        mine = np.array([row[1:] for row in told if row[0] == kind])
        if not len(mine):
            continue
        middle, mean = np.median(mine, axis=0), np.mean(mine, axis=0)
        print(f"  {kind:24s} {len(mine):3d} cars  error {middle[0]:5.0f} -> {middle[1]:5.0f} s  "
              f"CRPS {middle[2]:5.0f} -> {middle[3]:5.0f} s (means {mean[2]:.0f} -> "
              f"{mean[3]:.0f} s)  inside p10-p90 {100 * mean[4]:.0f} -> {100 * mean[5]:.0f} %  "
              f"better for {int(np.sum(mine[:, 3] < mine[:, 2]))}")  # fmt: skip
