"""First mornings of vehicles that no fleet has seen, with and without what it taught."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from typing import Any

import numpy as np

from fleet_mornings import MODELS, VEHICLES, One, add

#: Unseen vehicles of each model; mornings that are tried for one that has something to foresee.
UNSEEN, TRIES = 2, 12
EVERY_S = 180.0
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


def borrow(folder: Path) -> None:
    """Print errors of first-morning forecasts with and without the fleet's teaching."""
    from thawline.library.library import open_library
    from thawline.looking import replay

    priors = folder / "results" / "priors.json"
    rows: list[tuple[str, str, float, float, float, float, float, float]] = []
    with tempfile.TemporaryDirectory() as place:
        library = open_library(Path(place))
        for model in range(MODELS):
            for vehicle in range(VEHICLES, VEHICLES + UNSEEN):
                name = _morning(model, vehicle, library)
                if name is None:
                    print(f"  model {model}, vehicle {vehicle}: nothing to foresee", flush=True)
                    continue
                alone = {s.kind: s for s in replay(library, name, EVERY_S).scores}
                taught = {s.kind: s for s in replay(library, name, EVERY_S, priors=priors).scores}
                for kind in KINDS:
                    if kind in alone and kind in taught:
                        a, b = alone[kind], taught[kind]
                        rows.append((name, kind, a.median_error_s, b.median_error_s, a.crps_s,
                                     b.crps_s, a.coverage, b.coverage))  # fmt: skip
                        print("  {} {:24s} error {:5.0f} -> {:5.0f} s  CRPS {:5.0f} -> {:5.0f} s"
                              .format(*rows[-1][:6]), flush=True)  # fmt: skip
    cars = len({row[0] for row in rows})
    print(f"{cars} unseen vehicles, first mornings: medians over vehicles without -> with")
    for kind in KINDS:
        mine = np.array([row[2:] for row in rows if row[1] == kind])
        if not len(mine):
            continue
        middle, mean = np.median(mine, axis=0), np.mean(mine, axis=0)
        print(f"  {kind:24s} {len(mine):3d} cars  error {middle[0]:5.0f} -> {middle[1]:5.0f} s  "
              f"CRPS {middle[2]:5.0f} -> {middle[3]:5.0f} s (means {mean[2]:.0f} -> "
              f"{mean[3]:.0f} s)  inside p10-p90 {100 * mean[4]:.0f} -> {100 * mean[5]:.0f} %  "
              f"better for {int(np.sum(mine[:, 3] < mine[:, 2]))}")  # fmt: skip
    sys.stdout.flush()
