"""Do the stated uncertainties cover the truth? Mornings drawn at random, sensors that err."""

from __future__ import annotations

import sys
from collections import defaultdict

import numpy as np
import pytest

from tests.ledger.drawn import Morning, morning
from tests.ledger.made import ledger_of
from thawline.ledger.closing import BOUND_SIGMAS
from thawline.ledger.ledger import Line

#: Lines that hang on sensors alone: a well measured car knows them to a few per cent.
MEASURED = ("supply", "drive-unit-heating", "cabin-heating", "pack-in", "pack-out")


def lines(drawn: Morning) -> list[tuple[str, Line, float]]:
    ledger = ledger_of(drawn.recording)
    return [
        (f"{account} {line.line}", line, truth[line.line])
        for account, part, truth in (
            ("electrical", ledger.electrical, drawn.electrical),
            ("heat", ledger.heat, drawn.heat),
        )
        for line in part
    ]


def deviations(seeds: range, **kind: bool) -> dict[str, list[tuple[float, float, float]]]:
    """Error, standard uncertainty and truth of each line of each morning [kWh]."""
    found = defaultdict(list)
    for seed in seeds:
        for name, line, truth in lines(morning(seed, **kind)):
            assert line.kWh is not None, (name, line.note)
            assert line.plus_minus_kWh is not None
            found[name].append((line.kWh - truth, line.plus_minus_kWh, truth))
    return found


def check(found: dict[str, list[tuple[float, float, float]]]) -> str:
    """Hold the shares within one and two sigma against what is stated; give a table."""
    rows, everything = [], []
    for name, triples in found.items():
        error, sigma, truth = np.array(triples).T
        fits = np.abs(error) <= np.maximum(sigma, 0.03 * np.abs(truth)) + 1e-4
        one, two = np.abs(error) <= sigma + 1e-4, np.abs(error) <= 2.0 * sigma + 1e-4
        everything.append((fits, one, two))
        rows.append(f"{name:32}{one.mean():6.2f}{two.mean():6.2f}{np.median(sigma):8.3f} kWh")
        assert two.mean() >= 0.85, rows[-1]
    fits, one, two = (np.concatenate(parts).mean() for parts in zip(*everything, strict=True))
    assert one >= 0.62
    assert fits >= 0.68
    assert two >= 0.93
    return "\n".join([*rows, f"all{'':29}{one:6.2f}{two:6.2f}"])


def test_a_few_mornings() -> None:
    """Over a few mornings of each kind most lines hold the truth within one sigma."""
    found = deviations(range(6))
    for kind in ({"gap": True}, {"drive": True, "converter": False}):
        for name, more in deviations(range(20, 24), **kind).items():
            found[name] += more
    check(found)


def test_uncertainties_are_not_blown_up() -> None:
    """Lines that sensors of 1 to 3 % measure have standard uncertainties of a few per cent."""
    found = deviations(range(4))
    for name in MEASURED:
        shares = [s / abs(t) for _, s, t in found[f"electrical {name}"] if abs(t) > 0.3]
        assert np.median(shares) < 0.04, name


def test_what_is_left_over_lies_within_its_bound() -> None:
    """Nothing is hidden in these mornings: both accounts close within 95 % bounds."""
    found = deviations(range(100, 108))
    hits = [
        abs(error) <= BOUND_SIGMAS * sigma
        for name in ("electrical unaccounted", "heat unaccounted")
        for error, sigma, _ in found[name]
    ]
    assert np.mean(hits) >= 0.87


@pytest.mark.slow
@pytest.mark.parametrize(
    "kind",
    [{}, {"gap": True}, {"converter": False}, {"drive": True}],
    ids=["plain", "gap", "no converter", "drive"],
)
def test_campaign(kind: dict[str, bool], capsys: pytest.CaptureFixture[str]) -> None:
    """Over 100 mornings of each kind the shares are what one and two sigma promise."""
    text = check(deviations(range(100), **kind))
    with capsys.disabled():
        sys.stdout.write(f"\n{kind}\n{text}\n")
