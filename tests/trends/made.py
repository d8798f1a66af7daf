"""Mornings of a made-up car whose warm-up follows an energy balance, apart from the regression."""

from __future__ import annotations

import numpy as np

from thawline.findings.finding import Figures
from thawline.trends.morning import Morning, Value

QUANTITY = "time.coldest-cell-thaws"
DAY_S = 86_400.0


def mornings(
    count: int,
    seed: int,
    grown: float = 0.0,
    colder_K: float = 0.0,
    odd: float = 0.0,
    days: float = 100.0,
) -> list[Morning]:
    """A winter: time = wait + rise * capacity / power, with scatter; not linear in anything."""
    chance = np.random.default_rng(seed)
    at = np.sort(chance.uniform(0.0, days, count))
    at[0], at[-1] = 0.0, days
    made = []
    for number, day in enumerate(at.tolist()):
        outside = -5.0 - colder_K * (day / days - 0.5) + chance.normal(0.0, 4.0)
        coldest = min(outside + chance.normal(1.0, 1.5), -1.0)
        supply = float(chance.choice([7.0, 7.0, 3.6]))
        minutes = 20.0 + (3.0 - coldest) * 21.0 / supply
        minutes *= float(np.exp(chance.normal(0.0, 0.08) + grown * day / days))
        if chance.random() < odd:
            minutes *= 1.8
        name = f"gannet-{number:03d}"
        made.append(
            Morning(
                name,
                "Gannet",
                "quay",
                1.7e9 + DAY_S * day,
                3000.0,
                {"outside": outside, "coldest": coldest, "supply": supply,
                 "charge": float(chance.uniform(20.0, 80.0))},
                True,
                {QUANTITY: Value(minutes, 0.3), "energy.supply": Value(minutes / 10.0, 0.05)},
                Figures(name, 1.7e9 + DAY_S * day, outside),
            )
        )  # fmt: skip
    return made
