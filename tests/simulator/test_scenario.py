"""Mornings as files."""

from dataclasses import replace

import pytest

from tests.simulator.made import plain
from thawline.errors import RequestError
from thawline.simulator.events import Offer, Wish
from thawline.simulator.scenario import checked, read_scenario

GOOD = """
name = "m"
starts = "2026-01-17T06:05:00Z"
duration_s = 600
ambient_degC = -9
soak_degC = -9.0
charge_pct = 60
plugged_s = [[10, 500]]
supply = { volts = 208, amps = 24 }
wishes = [{ what = "cabin", from_s = 20, to_s = 400, set_point_degC = 21 }]
drive = [[510, 0], [520, 30], [590, 0]]
"""


def test_a_morning_is_read(tmp_path):
    """What the file says is what the morning does."""
    path = tmp_path / "m.toml"
    path.write_text(GOOD)
    morning = read_scenario(path)
    assert morning.starts_at == 1_768_629_900.0
    assert morning.offered_A(100.0) == 24.0
    assert morning.wish("cabin", 100.0).set_point_degC == 21.0
    assert morning.wish("cabin", 401.0) is None
    assert morning.speed_km_per_h(515.0) == pytest.approx(15.0)
    assert morning.speed_km_per_h(500.0) == 0.0


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (("soak_degC", "soack_degC"), "soak_degC"),
        (('"cabin"', '"cabbin"'), "cabin"),
        (("duration_s = 600", "duration_s = -1"), r"\(0, 86400\]"),
        (("charge_pct = 60", "charge_pct = 160"), r"\[0, 100\]"),
        (("supply =", "# supply ="), r"\[supply\]"),
        (("charge_pct = 60", 'charge_pct = "half"'), "charge_pct"),
        (('name = "m"', ""), "name is missing"),
        (("[[10, 500]]", "[[10, 500]"), "valid TOML"),
    ],
)
def test_a_faulty_file_gives_one_clear_error(change, says, tmp_path):
    """The error names the file and what to do."""
    path = tmp_path / "m.toml"
    path.write_text(GOOD.replace(*change))
    with pytest.raises(RequestError, match=says) as caught:
        read_scenario(path)
    assert "m.toml" in str(caught.value)


def test_a_missing_file_is_told(tmp_path):
    """A file that is not there is an error and no traceback."""
    with pytest.raises(RequestError, match="cannot be read"):
        read_scenario(tmp_path / "nothing.toml")


def test_offers_change_what_is_offered():
    """The last offer before an instant holds."""
    morning = plain(offers=(Offer(100.0, 16.0), Offer(200.0, 10.0)))
    assert [morning.offered_A(t) for t in (50.0, 150.0, 250.0)] == [24.0, 16.0, 10.0]


def test_a_checked_morning_is_the_same():
    """Nothing is changed by the check."""
    morning = replace(plain(), wishes=(Wish("pack", 0.0, 10.0),))
    assert checked(morning, "here") is morning
