"""What-ifs on cars that nobody has seen, against the simulator with the same change."""

from dataclasses import replace

import pytest

from tests.strange_cars import record, strange_car, strange_morning
from thawline.library.library import open_library
from thawline.recording.flows import make_flows
from thawline.simulator.run import simulate
from thawline.story.tell import tell
from thawline.walk import add
from thawline.warmup.fit import fit
from thawline.whatif.again import run_again
from thawline.whatif.change import Change


def colder(scenario):
    return replace(
        scenario, ambient_degC=scenario.ambient_degC - 2.0, soak_degC=scenario.soak_degC - 2.0
    )


def weaker(scenario):
    supply = scenario.supply
    return replace(scenario, supply=replace(supply, amps=2400.0 / supply.volts / supply.phases))


def without_cabin(scenario):
    return replace(scenario, wishes=tuple(w for w in scenario.wishes if w.what != "cabin"))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("seed", "change", "other"),
    [
        (21, Change(colder_K=2.0), colder),
        (21, Change(supply_kW=2.4), weaker),
        (45, Change(no_cabin=True), without_cabin),
    ],
)
def test_turning_points_come_when_the_simulator_has_them(seed, change, other, tmp_path):
    """Thaw, charging and full power within a tenth of the time, or half a minute."""
    written = record(seed, tmp_path)
    library = open_library(tmp_path / "library")
    recording = add([written.log], [written.database], written.vehicle_file, library).recording
    flows = make_flows(recording)
    story = tell(recording, flows)
    model = fit(recording, flows, story, None)
    found = run_again(recording, flows, story, model, None, change)
    truth = {
        point.kind: point.t_s
        for point in reversed(
            simulate(strange_car(seed)[0], other(strange_morning(seed))).truth.points
        )
    }
    told = {each.kind: each.p50_s for each in found.after.comes}
    for kind in ("coldest-cell-thaws", "charging-begins", "charger-at-full-power"):
        assert told[kind] == pytest.approx(truth[kind], rel=0.1, abs=30.0)
