"""The command, run in its own small app: the large one is wired elsewhere."""

import json

import pytest
import typer
from typer.testing import CliRunner

from tests.recording.making import DBC, lines
from thawline.cli import suggest
from thawline.errors import RequestError
from thawline.vehicle.read import read_vehicle

app = typer.Typer()
app.command()(suggest.suggest)


@pytest.fixture
def files(tmp_path):
    (tmp_path / "m.log").write_text("\n".join(lines(600.0)) + "\n")
    (tmp_path / "car.dbc").write_text(DBC)
    return tmp_path / "m.log", tmp_path / "car.dbc"


def run(*words):
    return CliRunner().invoke(app, [str(word) for word in words], catch_exceptions=False)


def test_the_file_goes_to_standard_output(files):
    """Nothing else does; what is said to the person goes to standard error."""
    log, database = files
    done = run(log, "--database", database, "--name", "Gannet")
    assert done.exit_code == 0
    assert done.stdout.startswith("# Proposed from a log")
    assert 'name = "Gannet"' in done.stdout
    assert "signals proposed from 10 min" in done.stderr


def test_one_json_document(files):
    """Proposals with confidence and evidence, and what was left out."""
    log, database = files
    document = json.loads(run(log, "-d", database, "--json").stdout)
    paths = {one["path"]: one for one in document["proposals"]}
    volts = paths["Powertrain.TractionBattery.CurrentVoltage"]
    assert volts["from"] == "PackPower.Volts"
    assert 0.75 <= volts["confidence"] <= 1.0
    assert volts["because"]
    assert (
        {"from", "why", "nearest"} == set(document["left_out"][0]) if document["left_out"] else True
    )


def test_a_file_is_written_once(files, tmp_path):
    """It is a vehicle file; it is not replaced unless asked."""
    log, database = files
    out = tmp_path / "new.toml"
    assert run(log, "-d", database, "--out", out).exit_code == 0
    assert read_vehicle(out).name == "My car"
    with pytest.raises(RequestError, match=r"there already.*Add --force"):
        run(log, "-d", database, "--out", out)
    assert run(log, "-d", database, "--out", out, "--force").exit_code == 0


def test_a_place_that_cannot_be_written(files, tmp_path):
    """One clear error."""
    log, database = files
    with pytest.raises(RequestError, match="cannot be written"):
        run(log, "-d", database, "--out", tmp_path / "none" / "x.toml")
