"""`thawline forecast`, as a person types it, on a simulated morning."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.running import document, thawline
from thawline.simulator.demo import mornings, vehicle
from thawline.simulator.run import simulate
from thawline.simulator.write import write

NOW_S = 500.0


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """The first demo morning, whole in one library and cut at an instant in another."""
    folder = tmp_path_factory.mktemp("forecast")
    name, scenario = next(mornings())
    files = write(simulate(vehicle(name)[0], scenario), vehicle(name)[1], folder)
    lines = files.log.read_text().splitlines(keepends=True)
    start = float(lines[0][1:].split(")")[0])
    cut = folder / "cut.log"
    cut.write_text("".join(x for x in lines if float(x[1:].split(")")[0]) - start <= NOW_S))
    options = ("--database", files.database, "--vehicle", files.vehicle_file)
    names = {}
    for label, log in (("whole", files.log), ("cut", cut)):
        added = document("add", log, *options, library=folder / label)
        names[label] = (added["recordings"][0]["id"], Path(folder / label))
    return names


def test_a_forecast_has_the_contracts_keys_and_a_sensible_order(kept):
    """p10, p50, p90 in order, after now; regeneration at 15 kW comes after its first trickle."""
    name, library = kept["whole"]
    told = document("forecast", name, "--at", NOW_S, "--level", 15, library=library)
    assert {"made_at_s", "verdict", "turning_points"} <= set(told)
    assert told["made_at_s"] == pytest.approx(NOW_S, abs=1.0)
    by_kind = {point["kind"]: point for point in told["turning_points"]}
    for kind in ("regeneration-returns", "coldest-cell-thaws", "charging-begins"):
        point = by_kind[kind]
        assert NOW_S < point["p10_s"] <= point["p50_s"] <= point["p90_s"]
        assert 0.0 <= point["never"] <= 1.0
    assert by_kind["regeneration-at-kW"]["level_kW"] == 15.0
    assert by_kind["regeneration-at-kW"]["p50_s"] > by_kind["regeneration-returns"]["p50_s"]


def test_no_sample_after_the_instant_is_used(kept):
    """The same log cut at the instant gives the same forecast, but for the draw of its sample."""
    whole = document("forecast", kept["whole"][0], "--at", NOW_S, library=kept["whole"][1])
    cut = document("forecast", kept["cut"][0], library=kept["cut"][1])
    after = {point["kind"]: point for point in cut["turning_points"]}
    assert len(after) == len(whole["turning_points"])
    for point in whole["turning_points"]:
        for key in ("p10_s", "p50_s", "p90_s"):
            left = max(0.0, point[key] - NOW_S)
            assert point[key] == pytest.approx(after[point["kind"]][key], abs=1.0 + 0.05 * left)


def test_an_instant_outside_the_recording_is_refused(kept):
    """Exit code 2, and the range is named."""
    name, library = kept["whole"]
    done = thawline("forecast", name, "--at", 99_999, library=library)
    assert done.returncode == 2 and "99999" in done.stderr and "Traceback" not in done.stderr
    done = thawline("forecast", name, "--at", -5, library=library)
    assert done.returncode == 2 and "Traceback" not in done.stderr
