"""The truth as JSON."""

import json
from dataclasses import replace

import pytest

from tests.simulator.made import demo_morning
from thawline.simulator.events import Logger
from thawline.simulator.truth_file import log_time_s, truth_document, write_truth


def test_the_document_holds_both_accounts_and_all_points(tmp_path):
    """What is written is what the morning knows."""
    morning = demo_morning("petrel-ferry")
    write_truth(morning, 1234, ["Speed"], tmp_path / "truth.json")
    document = json.loads((tmp_path / "truth.json").read_text())
    lines = {row["line"]: row["kWh"] for row in document["ledger"]["electrical"]}
    assert lines == pytest.approx(morning.truth.electrical)
    assert len(document["turning_points"]) == len(morning.truth.points)
    assert (document["frames"], document["signals"]) == (1234, ["Speed"])
    charge = document["charge"]
    whole = charge["charged_gain_pct"] + charge["warmed_back_pct"]
    assert charge["shown_gain_pct"] == pytest.approx(whole)


def test_points_in_a_gap_are_marked():
    """A turning point that the log cannot show says so."""
    morning = demo_morning("petrel-ferry")
    gap = Logger(gaps=((1490.0, 1510.0),))
    changed = replace(morning, scenario=replace(morning.scenario, logger=gap))
    points = truth_document(changed, 0)["turning_points"]
    hidden = {point["kind"] for point in points if point["in_gap"]}
    assert hidden == {"supply-lost", "charging-ends", "pack-heating-ends"}


def test_only_a_jump_forward_shows_in_the_log_s_time():
    """A jump back can be mended, one forward looks like a gap."""
    morning = demo_morning("petrel-ferry")
    for by, later in ((-20.0, 0.0), (600.0, 600.0)):
        clock = Logger(steps=((1000.0, by),))
        changed = replace(morning, scenario=replace(morning.scenario, logger=clock))
        assert log_time_s(changed, 900.0) == 900.0
        assert log_time_s(changed, 1500.0) == 1500.0 + later
