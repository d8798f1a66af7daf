"""The accounts against the simulator's truth: the demo's mornings, and cars nobody has seen."""

from __future__ import annotations

import json
import sys
from collections import defaultdict
from pathlib import Path

import numpy as np
import pytest

from tests.ledger.made import NO_STORY
from tests.strange_cars import record
from thawline.charge.split import split
from thawline.ledger.account import account
from thawline.ledger.closing import BOUND_SIGMAS
from thawline.recording.flows import make_flows
from thawline.recording.gather import gather
from thawline.signals.database import read_database
from thawline.simulator.demo import FRAMES_PER_S, mornings, vehicle
from thawline.simulator.run import simulate
from thawline.simulator.write import Written, write
from thawline.vehicle.read import read_vehicle

#: Energies below this are nothing [kWh].
NOTHING = 0.002
#: Error, standard uncertainty and truth of a line [kWh, or percent for the charge].
Found = dict[str, list[tuple[float, float, float]]]


def held_against_truth(written: Written) -> tuple[Found, list[str]]:
    """Walk from a log to the accounts; names of lines that cannot be told come second."""
    car = read_vehicle(written.vehicle_file)
    made = gather([written.log], car, read_database([written.database]))
    flows = make_flows(made)
    ledger = account(made, flows, NO_STORY)
    truth = json.loads(written.truth_json.read_text("utf-8"))
    found: Found = defaultdict(list)
    untold = []
    for name, lines in (("electrical", ledger.electrical), ("heat", ledger.heat)):
        true = {row["line"]: row["kWh"] for row in truth["ledger"][name]}
        for line in lines:
            if line.kWh is None or line.plus_minus_kWh is None:
                untold.append(f"{name} {line.line}")
                continue
            error = line.kWh - true[line.line]
            found[f"{name} {line.line}"].append((error, line.plus_minus_kWh, true[line.line]))
            if line.line == "unaccounted":
                found[f"{name} left over"].append((line.kWh, line.plus_minus_kWh, 0.0))
    charge = split(made, flows)
    for name, gain in (
        ("shown", charge.shown),
        ("charged", charge.charged),
        ("warmed_back", charge.warmed_back),
    ):
        true_pct = truth["charge"][f"{name}_{'pct' if name == 'warmed_back' else 'gain_pct'}"]
        if gain.pct is not None and gain.plus_minus_pct is not None:
            found[f"charge {name}"].append((gain.pct - true_pct, gain.plus_minus_pct, true_pct))
    return found, untold


def table(found: Found) -> str:
    """Shares of errors within 3 % or one sigma, one sigma, two sigma; and the usual sigma."""
    rows = [f"{'':32}{'n':>4}{'3%/1s':>7}{'1s':>6}{'2s':>6}{'sigma':>8}"]
    for name, triples in found.items():
        error, sigma, truth = np.array(triples).T
        fits = np.abs(error) <= np.maximum(sigma, 0.03 * np.abs(truth)) + NOTHING
        one, two = (np.abs(error) <= n * sigma + NOTHING for n in (1.0, 2.0))
        rows.append(
            f"{name:32}{len(error):4}{fits.mean():7.2f}{one.mean():6.2f}{two.mean():6.2f}"
            f"{np.median(sigma):8.3f}"
        )
    return "\n".join(rows)


def shares(found: Found, kind: str) -> tuple[float, float]:
    """Shares of all lines of an account within 3 % or one sigma, and within two sigma."""
    rows = np.array(
        [t for name, triples in found.items() if name.startswith(kind) for t in triples]
    )
    error, sigma, truth = rows.T
    fits = np.abs(error) <= np.maximum(sigma, 0.03 * np.abs(truth)) + NOTHING
    return float(fits.mean()), float((np.abs(error) <= 2.0 * sigma + NOTHING).mean())


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> list[Found]:
    """Two of the demo's mornings: two drive units at the quay, one with a ferry to catch."""
    folder = tmp_path_factory.mktemp("demo")
    found = []
    for name, scenario in mornings():
        if scenario.name in ("gannet-quay", "petrel-ferry"):
            build, layout = vehicle(name)
            written = write(simulate(build, scenario), layout, folder / scenario.name, FRAMES_PER_S)
            lines, untold = held_against_truth(written)
            assert not untold
            found.append(lines)
    assert len(found) == 2
    return found


def test_demo_lines_are_within_three_per_cent_or_their_uncertainty(demo: list[Found]) -> None:
    """Every line of both accounts: within 3 % of the truth, or its standard uncertainty."""
    for found in demo:
        for name, [(error, sigma, truth)] in found.items():
            if not name.startswith("charge"):
                assert abs(error) <= max(sigma, 0.03 * abs(truth)) + NOTHING, name


def test_demo_accounts_close(demo: list[Found]) -> None:
    """What is left over lies within its 95 % bound, on both mornings and in both accounts."""
    for found in demo:
        for name in ("electrical left over", "heat left over"):
            [(left, sigma, _)] = found[name]
            assert abs(left) <= BOUND_SIGMAS * sigma, name


def test_demo_charge_is_split_within_two_sigma(demo: list[Found]) -> None:
    """Shown, charged and warmed back within two standard uncertainties of the truth."""
    for found in demo:
        for name in ("charge shown", "charge charged", "charge warmed_back"):
            [(error, sigma, _)] = found[name]
            assert abs(error) <= 2.0 * sigma, name


def test_demo_uncertainties_are_small(demo: list[Found]) -> None:
    """A well instrumented car knows its large electrical lines to 3 %."""
    for found in demo:
        for name in ("supply", "drive-unit-heating", "cabin-heating", "pack-in", "pack-out"):
            [(_, sigma, truth)] = found[f"electrical {name}"]
            assert sigma <= 0.03 * abs(truth) + 0.01, name


def campaign(seeds: range, folder: Path) -> Found:
    found: Found = defaultdict(list)
    for seed in seeds:
        lines, _ = held_against_truth(record(seed, folder / str(seed)))
        for name, triples in lines.items():
            found[name] += triples
    return found


def test_a_few_strange_cars(tmp_path: Path) -> None:
    """Cars that nobody has seen: most lines within one sigma, nearly all within two."""
    found = campaign(range(300, 303), tmp_path)
    for kind in ("electrical", "heat"):
        fits, two = shares(found, kind)
        assert fits >= 0.75, table(found)
        assert two >= 0.9, table(found)


@pytest.mark.slow
def test_strange_cars(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Forty strange cars; the table of what was covered is printed."""
    found = campaign(range(100, 140), tmp_path)
    with capsys.disabled():
        sys.stdout.write(f"\n{table(found)}\n")
    for kind, least in (("electrical", 0.9), ("heat", 0.75), ("charge", 0.6)):
        fits, two = shares(found, kind)
        assert fits >= least
        assert two >= 0.95
    for name in ("electrical left over", "heat left over"):
        hits = [abs(left) <= BOUND_SIGMAS * sigma for left, sigma, _ in found[name]]
        assert np.mean(hits) >= 0.93, name
