"""``thawline plan`` as a person and a program call it."""

import re

import pytest

from tests.cli.running import document, thawline

CAR = """
[vehicle]
name = "Gannet"
[pack]
usable_energy_kWh = 72.0
cells_in_series = 108
[drive_units]
count = 2
[charger]
rated_kW = 11.0
"""
TARIFF = 'currency = "crowns"\n[[band]]\nfrom = "22:00"\nvalue = 0.1\n[[band]]\nfrom = "06:00"\nvalue = 0.3\n'  # fmt: skip  # noqa: E501  # one file


@pytest.fixture
def car(tmp_path):
    """A vehicle file, and the options of a plain evening."""
    path, tariff = tmp_path / "car.toml", tmp_path / "tariff.toml"
    path.write_text(CAR)
    tariff.write_text(TARIFF)
    return ["plan", "--vehicle", path, "--now", "2026-01-17T05:00", "--leave", "2026-01-17T08:00",
            "--outside=-4", "--supply", "230V32A", "--tariff", tariff, "--quick"]  # fmt: skip


def test_a_plan_as_json_and_as_a_page(car, tmp_path):
    """One strict document on standard output; a page that needs no network beside it."""
    page = tmp_path / "plan.html"
    found = document(*car, "--charge", 53, "--charge-now", 50, "--html", page)
    assert found["currency"] == "crowns"
    assert found["steps"][0]["do"] == "plug-in"
    assert {step["do"] for step in found["steps"]} <= {"plug-in", "heat-pack", "charge"}
    assert all(re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", s["at"]) for s in found["steps"])
    assert found["alternatives"][0]["first_trip"]["kWh"] > found["first_trip"]["kWh"]
    text = page.read_text("utf-8")
    assert "Ways of leaving" in text
    assert "http" not in text.split("<main>")[1].split("</main>")[0]


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ([], "nothing is wished for"),
        (["--charge", "60", "--supply", "a socket"], "not volts and amps"),
        (["--charge", "60", "--leave", "late"], "is no time"),
        (["--charge", "160"], "must be in"),
        (["--charge", "60", "--vehicle", "Tern"], "neither in the library nor a vehicle file"),
    ],
)
def test_what_is_at_fault_is_said_in_one_line(car, tmp_path, more, says):
    """Exit code 2, the value and the cure on standard error, nothing on standard output."""
    done = thawline(*car, *more, library=tmp_path / "library")
    assert done.returncode == 2
    assert says in done.stderr
    assert done.stdout == ""
