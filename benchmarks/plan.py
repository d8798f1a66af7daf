"""How long a plan takes: a whole day in steps of five minutes, against one problem solved at once.

Run from the project's folder: ``python -m benchmarks.plan``. The problem in one piece goes to the
same solver (HiGHS through scipy) with the same limit of time; the ratio and both costs are told.
"""

from __future__ import annotations

import argparse
import time

from tests.plan.made import asked, sure_car, two_prices
from thawline.plan.bench import lay_out
from thawline.plan.margins import first_margins
from thawline.plan.secure import secure
from thawline.plan.solve import solve
from thawline.plan.trial import try_out


def main() -> None:
    """Time the parts and print them."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--hours", type=float, default=24.0, help="Hours until leaving.")
    parser.add_argument("--whole", action="store_true", help="Also the problem in one piece.")
    given = parser.parse_args()
    cases = {
        "one price": asked(hours=given.hours, charge=70.0, regeneration=8.0, cabin=20.0),
        "two prices": asked(hours=given.hours, charge=70.0, regeneration=8.0, cabin=20.0,
                            price=two_prices(2.0, 8.0)),
    }  # fmt: skip
    for name, request in cases.items():
        bench = lay_out(sure_car(), request)
        solve(bench, first_margins(bench))  # the first loads the solver
        began, cpu = time.perf_counter(), time.process_time()
        found, _ = solve(bench, first_margins(bench))
        wall, busy = time.perf_counter() - began, time.process_time() - cpu
        if found is None:
            print(f"{name}: no programme")
            continue
        print(f"{name}: {len(bench.clock.begins_s)} steps solved in {wall:.2f} s "
              f"({busy:.2f} s of processor), cost {found.counts:.3f}, "
              f"bound {found.bound:.3f}")  # fmt: skip
        began = time.perf_counter()
        try_out(bench, found.programme)
        print(f"  one trial of {bench.members.count} cars: {time.perf_counter() - began:.3f} s")
        began, cpu = time.perf_counter(), time.process_time()
        done = secure(bench)
        print(f"  a secured plan: {time.perf_counter() - began:.2f} s "
              f"({time.process_time() - cpu:.2f} s of processor), {done.rounds} rounds, "
              f"ready with {done.best.chance:.2f}")  # fmt: skip
        if given.whole:
            began = time.perf_counter()
            whole, _ = solve(bench, first_margins(bench), whole=True)
            took = time.perf_counter() - began
            cost = "none" if whole is None else f"{whole.counts:.3f}"
            print(f"  in one piece: {took:.2f} s, cost {cost}: {took / wall:.1f} times as long")


if __name__ == "__main__":
    main()
