"""A check as text and as plain data."""

import json

from tests.vehicle.files import BATTERY, mapping
from thawline.vehicle.check import Capability, Check, check
from thawline.vehicle.check_show import check_json, check_text
from thawline.vehicle.finding import Finding
from thawline.vehicle.read import read_vehicle_text

SMALL = Check(
    "Gannet",
    "car.toml",
    (
        Capability("turning-point", "drive-begins", "cannot", "", "not there: speed", "map Speed"),
        Capability("turning-point", "plugged-in", "can", "the cable's signal", "", ""),
        Capability("turning-point", "drive-ends", "cannot", "", "not there: speed", "map Speed"),
        Capability("heat", "stored-in-pack", "can_roughly", "a rise", "a prior stands in", ""),
    ),
    (Finding("implausible", 6, "count (=9) is odd.", "Check it."),),
)

TEXT = """\
Gannet (car.toml): of 4 things, 1 can be told, 1 roughly, 2 not.

To look at
  - line 6: count (=9) is odd. Check it.

Turning points
  yes     plugged-in
  no      drive-begins, drive-ends: not there: speed.

Heat account
  roughly stored-in-pack: a prior stands in.

To add to the vehicle file, for instance
  - map Speed
      gives drive-begins (turning points), drive-ends (turning points)"""


def test_the_text_says_each_thing_once():
    """Counts first, then what to look at, what can be told in groups, and what to add."""
    assert check_text(SMALL) == TEXT


def test_the_text_of_a_whole_table_keeps_paths_whole():
    """Lines are short unless a path is longer."""
    whole = check(read_vehicle_text(mapping(BATTERY + "Temperature.Min"), "car.toml"), None, None)
    text = check_text(whole)
    assert "map Powertrain.TractionBattery.Limits.RegenerationPower" in text
    assert all(len(line) <= 96 or " " not in line.strip(" -") for line in text.splitlines())


def test_plain_data_has_everything():
    """By verdict, without empty entries; JSON takes it."""
    plain = check_json(SMALL)
    assert json.loads(json.dumps(plain)) == plain
    assert list(plain) == ["vehicle", "file", "can", "can_roughly", "cannot", "findings"]
    assert plain["can"] == [
        {"group": "turning-point", "name": "plugged-in", "how": "the cable's signal"}
    ]
    assert plain["cannot"][0]["cure"] == "map Speed"
    assert plain["findings"] == [
        {"kind": "implausible", "line": 6, "what": "count (=9) is odd.", "cure": "Check it."}
    ]
