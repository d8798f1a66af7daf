"""Plans against all programmes that there are, on problems small enough to try them all."""

from itertools import product

import numpy as np
import pytest

from tests.plan.made import asked, sure_car, two_prices
from thawline.plan.bench import lay_out
from thawline.plan.margins import aim
from thawline.plan.programme import Programme, runs
from thawline.plan.score import bill, chance
from thawline.plan.secure import secure
from thawline.plan.trial import try_out

#: Steps of a quarter of an hour, and cars in the sample: few, so that all can be tried.
STEP_S, MEMBERS = 900.0, 20


def blocks(count: int) -> list[np.ndarray]:
    """All ways in which something is on in at most two stretches."""
    every = (np.array(bits, dtype=np.bool_) for bits in product((False, True), repeat=count))
    return [on for on in every if len(runs(on)) <= 2]


def least(bench) -> float | None:
    """The cost of the cheapest programme that is ready as surely as the plan must be."""
    n, found = len(bench.clock.begins_s), None
    charges = bench.asked.wishes.charge_pct is not None
    off = np.zeros(n, dtype=np.bool_)
    leads = range(len(bench.cabins[0].air))
    for heat in blocks(n):
        for charge in [on for on in blocks(n) if len(runs(on)) <= 1] if charges else [off]:
            for lead in leads:
                if bench.asked.wishes.wants_cabin and (
                    bench.cabins[0].chance[lead] < bench.asked.chance
                ):
                    continue
                wish = bench.asked.wishes.charge_pct or 100.0
                trial = try_out(bench, Programme(heat, charge, (lead,), wish))
                cost = bill(bench, trial).counts
                if (found is None or cost < found) and chance(bench, trial) >= aim(bench):
                    found = cost
    return found


CASES = {
    "regeneration": {"hours": 1.5, "charge": None, "regeneration": 8.0},
    "charge": {"hours": 1.5, "charge": 52.0, "outside": -4.0},
    "cheap hour": {
        "hours": 1.5, "charge": 51.5, "outside": -4.0, "price": two_prices(0.75, 1.5),
    },
    "weak supply": {"hours": 1.75, "charge": None, "regeneration": 6.0, "amps": 10.0},
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_a_plan_costs_no_more_than_3_percent_above_the_least(name):
    """Of all programmes that are ready as surely, none is cheaper by more than 3 %."""
    bench = lay_out(sure_car(), asked(**CASES[name]), step_s=STEP_S, members=MEMBERS)
    found, best = secure(bench), least(bench)
    assert best is not None
    assert found.best.chance >= aim(bench)
    assert best - 1e-9 <= found.best.bill.counts <= 1.03 * best
