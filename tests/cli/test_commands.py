"""The commands as a person types them, on a log made by hand."""

import json

import pytest

from tests.cli.running import document, thawline
from tests.recording.making import TOML, write


@pytest.fixture
def car(tmp_path):
    log, database, vehicle = write(tmp_path)
    return log, ("--database", database, "--vehicle", vehicle), tmp_path / "library"


def test_add_twice_is_one_recording(car):
    """The same content twice is one recording, and says so."""
    log, options, library = car
    first = document("add", log, *options, library=library)["recordings"][0]
    again = document("add", log, *options, library=library)["recordings"][0]
    assert first["is_new"] and not again["is_new"] and first["id"] == again["id"]
    assert len(document("recordings", library=library)["recordings"]) == 1


def test_add_tells_what_the_contract_says(car):
    """id, vehicle, start, length, frames, channels, warnings."""
    log, options, library = car
    added = document("add", log, *options, library=library)["recordings"][0]
    assert added["vehicle"] == "Gannet" and added["starts_at"] == "2026-01-17T06:12:00.000Z"
    assert added["duration_s"] == pytest.approx(59.9, abs=0.2)
    assert added["frames"] == 720 and added["frames_left_out"] == 0
    units = {channel["path"]: channel["unit"] for channel in added["channels"]}
    assert units["Powertrain.TractionBattery.CurrentCurrent"] == "A" and len(units) == 4
    assert isinstance(added["warnings"], list)


def test_a_log_without_a_date_has_none_unless_one_is_given(car):
    """A logger that counts from zero has no calendar; `--starts-at` gives it one."""
    log, options, library = car
    text = [
        f"({float(row[1:18]) - 1_768_630_320:.6f}{row[18:]}" for row in log.read_text().splitlines()
    ]
    log.write_text("\n".join(text) + "\n")
    added = document("add", log, *options, library=library)["recordings"][0]
    assert added["starts_at"] is None and any("no date" in w for w in added["warnings"])
    other = library.parent / "dated"
    given = ("--starts-at", "2026-01-17T07:12:00+01:00")
    dated = document("add", log, *options, *given, library=other)["recordings"][0]
    assert dated["starts_at"] == "2026-01-17T06:12:00.000Z"


def test_explain_takes_a_log_at_once(car):
    """One command from a log to the story and the page."""
    log, options, library = car
    page = log.parent / "morning.html"
    done = thawline("explain", log, *options, "--html", page, library=library)
    assert done.returncode == 0, done.stderr
    assert "Gannet" in done.stdout and "unaccounted" in done.stdout
    assert page.read_text("utf-8").lstrip().lower().startswith("<!doctype html>")


def test_explain_json_is_one_document_with_the_contracts_keys(car):
    """Nothing else stands on standard output."""
    log, options, library = car
    name = document("add", log, *options, library=library)["recordings"][0]["id"]
    told = document("explain", name, library=library)
    wanted = {"recording", "turning_points", "spans", "ledger", "charge", "findings"}
    assert wanted <= set(told) and told["recording"] == name
    assert [line["line"] for line in told["ledger"]["electrical"]] == [
        "supply", "charger-loss", "drive-unit-heating", "cabin-heating", "other-loads",
        "pack-in", "pack-out", "unaccounted",
    ]  # fmt: skip
    plugged = [p for p in told["turning_points"] if p["kind"] == "plugged-in"]
    assert len(plugged) == 1 and plugged[0]["t_s"] == pytest.approx(20.06, abs=1.0)
    assert plugged[0]["at"].startswith("2026-01-17T06:12:") and plugged[0]["at"].endswith("Z")


def test_a_prefix_of_the_name_is_enough_and_why_not_answers(car):
    """`explain gannet --why-not charging --at 30` gives one sentence."""
    log, options, library = car
    thawline("add", log, *options, library=library)
    done = thawline("explain", "gannet", "--why-not", "charging", "--at", "30", library=library)
    assert done.returncode == 0 and len(done.stdout.strip()) > 20
    told = document("explain", "gan", "--why-not", "charging", "--at", 30, library=library)
    assert told["why_not"]["what"] == "charging" and told["why_not"]["t_s"] == 30


def test_notes_are_kept_and_counted(car):
    """A note belongs to a moment and shows up in the list."""
    log, options, library = car
    thawline("add", log, *options, library=library)
    kept = document("note", "gannet", "opened the door", "--at", 12.5, library=library)
    assert kept["note"] == {"t_s": 12.5, "text": "opened the door"}
    assert document("recordings", library=library)["recordings"][0]["notes"] == 1


def test_vehicle_check_says_what_cannot_be_told(car):
    """Text for people, a document for programs; with a log it counts samples."""
    log, options, _ = car
    done = thawline("vehicle", "check", options[3], "--database", options[1])
    assert done.returncode == 0 and "supply" in done.stdout
    told = document("vehicle", "check", options[3], log, "--database", options[1])
    assert told["recorded"]["Powertrain.TractionBattery.CurrentCurrent"] == 600
    assert told["cannot"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["explain", "nothing-of-the-kind"], "nothing-of-the-kind"),
        (["add", "no.log"], "no vehicle file"),
        (["note", "nothing", "text"], "nothing"),
        (["recordings", "--since", "yesterday"], "'yesterday' is no time"),
        (["vehicle", "check", "none.toml"], "none.toml"),
        (["explain"], "Missing argument"),
        (["frobnicate"], "No such command"),
    ],
)
def test_wrong_requests_leave_with_two_and_one_clear_error(tmp_path, words, told):
    """Exit code 2, the cause on standard error, nothing on standard output, no traceback."""
    done = thawline(*words, library=tmp_path / "library")
    assert done.returncode == 2 and done.stdout == ""
    assert told in done.stderr and "Traceback" not in done.stderr


BAD = {
    "truncated-database": lambda f: f["db"].write_text(f["db"].read_text()[:180]),
    "other-database": lambda f: f["db"].write_text(f["db"].read_text().replace("BO_ 25", "BO_ 95")),
    "empty-log": lambda f: f["log"].write_text(""),
    "rubbish-log": lambda f: f["log"].write_bytes(bytes(range(256)) * 99),
    "backward-log": lambda f: f["log"].write_text(
        "\n".join(reversed(f["log"].read_text().splitlines())) + "\n"
    ),
    "missing-log": lambda f: f["log"].unlink(),
    "bad-toml": lambda f: f["toml"].write_text(TOML + "[pack\n"),
    "wrong-unit": lambda f: f["toml"].write_text(TOML.replace('unit = "V"', 'unit = "degC"')),
    "unknown-unit": lambda f: f["toml"].write_text(TOML.replace('unit = "V"', 'unit = "Vlot"')),
    "unknown-path": lambda f: f["toml"].write_text(TOML.replace("CurrentVoltage", "Voltage")),
    "not-in-database": lambda f: f["toml"].write_text(TOML.replace("PackCells.", "PackCell.")),
}


@pytest.mark.parametrize("fault", sorted(BAD))
def test_bad_files_leave_with_two_and_nothing_kept_is_lost(car, fault):
    """One clear error that names the file; what was kept before is still there."""
    log, options, library = car
    kept = document("add", log, *options, library=library)["recordings"][0]["id"]
    log.write_text(log.read_text().replace("can0", "can1"))  # other content, so it is read
    files = {"log": log, "db": options[1], "toml": options[3]}
    BAD[fault](files)
    done = thawline("add", log, *options, "--json", library=library)
    assert done.returncode == 2 and done.stdout == "", done.stderr
    assert "Traceback" not in done.stderr
    assert any(path.name in done.stderr for path in files.values())
    assert [r["id"] for r in document("recordings", library=library)["recordings"]] == [kept]


def test_a_table_needs_no_database(tmp_path):
    """A laboratory's CSV with `;`, decimal commas and latin-1 becomes a recording."""
    rows = ["Zeit [s];Spannung [V];Strom [A];Kühlste [°C]"]
    rows += [
        f"{i * 0.5:.1f};350,0;{-10 + i * 0.01:.2f};{-9 + i * 0.01:.2f}".replace(".", ",")
        for i in range(400)
    ]
    table, vehicle = tmp_path / "m.csv", tmp_path / "car.toml"
    table.write_text("\n".join(rows), encoding="latin-1")
    vehicle.write_text(
        '[vehicle]\nname = "Petrel"\n[pack]\nusable_energy_kWh = 58\n'
        '[signals."Powertrain.TractionBattery.CurrentVoltage"]\nfrom = "Spannung"\n'
        '[signals."Powertrain.TractionBattery.CurrentCurrent"]\nfrom = "Strom"\n'
        '[signals."Powertrain.TractionBattery.Temperature.Min"]\nfrom = "Kühlste"\n'
    )  # fmt: skip
    added = document("add", table, "--vehicle", vehicle, library=tmp_path / "l")["recordings"][0]
    assert len(added["channels"]) == 3 and added["duration_s"] == pytest.approx(199.5)
    assert json.dumps(added)


def test_a_table_without_rows_is_an_error(tmp_path):
    """A heading alone holds nothing."""
    table, vehicle = tmp_path / "m.csv", tmp_path / "car.toml"
    table.write_text("time [s];a [V]\n")
    vehicle.write_text(
        '[vehicle]\nname = "P"\n[pack]\nusable_energy_kWh = 58\n'
        '[signals."Powertrain.TractionBattery.CurrentVoltage"]\nfrom = "a"\n'
    )
    done = thawline("add", table, "--vehicle", vehicle, library=tmp_path / "l")
    assert done.returncode == 2 and "m.csv" in done.stderr
