"""The demo."""

import json
from dataclasses import replace

from thawline.signals.database import read_database
from thawline.simulator.demo import make, mornings
from thawline.vehicle.read import read_vehicle


def test_the_demo_writes_its_mornings(tmp_path, monkeypatch):
    """Each morning has a log, a database, a vehicle file and its truth."""
    short = [(car, replace(s, duration_s=30.0)) for car, s in mornings()]
    monkeypatch.setattr("thawline.simulator.demo.mornings", lambda: short)
    written = make(tmp_path)
    assert len(written) >= 5
    for files in written:
        assert files.log.stat().st_size > 50_000
        assert read_vehicle(files.vehicle_file).signals
        assert read_database([files.database])
        assert json.loads(files.truth_json.read_text())["frames"] > 2000


def test_the_mornings_differ():
    """Both cars, with a supply and without, with a drop-out, a gap and a drive."""
    found = list(mornings())
    assert {car for car, _ in found} == {"gannet", "petrel"}
    assert {s.supply is None for _, s in found} == {True, False}
    assert any(s.lost_s for _, s in found)
    assert any(s.logger.gaps for _, s in found)
    assert any(s.drive for _, s in found)
    assert len({s.name for _, s in found}) == len(found) >= 5
