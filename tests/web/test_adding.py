"""Adding by upload: the same checks and the same words as the command, and nothing half kept."""

import time

import pytest

from tests.cli.running import thawline
from tests.recording.making import TOML, lines, write
from tests.web.conftest import OURS, client_of
from thawline.library.library import open_library
from thawline.library.listing import listing
from thawline.library.load import load
from thawline.web.known import known_vehicles


@pytest.fixture
def car(tmp_path):
    return write(tmp_path)


@pytest.fixture
def library(tmp_path):
    return open_library(tmp_path / "library")


@pytest.fixture
def client(library):
    with client_of(library) as opened:
        yield opened


def send(client, logs, databases=(), vehicle=None, **fields):
    files = [("logs", (path.name, path.read_bytes())) for path in logs]
    files += [("databases", (path.name, path.read_bytes())) for path in databases]
    if vehicle is not None:
        files.append(("vehicle", (vehicle.name, vehicle.read_bytes())))
    return client.post("/add", files=files, data=fields, headers=OURS)


def ended(client, answer):
    """Wait for the work that an upload began."""
    assert answer.status_code == 303, answer.text
    there = answer.headers["location"]
    for _ in range(300):
        told = client.get(there, headers={"Accept": "application/json"}).json()
        if told["state"] in ("done", "failed"):
            return told, there
        time.sleep(0.05)
    raise AssertionError("never ended")


def test_an_upload_becomes_a_recording(client, library, car):
    """Log, database and vehicle file, and the page of the recording follows."""
    log, database, vehicle = car
    told, there = ended(client, send(client, [log], [database], vehicle))
    (entry,) = listing(library)
    assert told["state"] == "done" and told["then"] == f"/recordings/{entry.id}"
    assert client.get(there).headers["location"] == told["then"]
    assert "Gannet" in client.get(told["then"]).text
    assert not list((library.folder / "uploads").iterdir())
    # what is told of the log says nothing of the folder that it came through
    assert "upload" not in str(load(library, entry.id).quality)


def test_the_next_log_needs_nothing_but_itself(client, library, car, tmp_path):
    """A vehicle that is known already brings its file and its database along."""
    log, database, vehicle = car
    ended(client, send(client, [log], [database], vehicle))
    (known,) = known_vehicles(library)
    assert known.name == "Gannet" and len(known.databases) == 1
    other = tmp_path / "next.log"
    other.write_text("\n".join(lines(90.0)) + "\n", "utf-8")
    told, _ = ended(client, send(client, [other], known="Gannet"))
    assert told["state"] == "done" and len(listing(library)) == 2


def test_several_logs_are_several_recordings_unless_they_belong_together(client, library, car):
    """One recording per log; one of all if the person says so."""
    log, database, vehicle = car
    half = log.with_name("half.log")
    half.write_text("\n".join(lines(30.0, 1_768_640_000.0)) + "\n", "utf-8")
    told, _ = ended(client, send(client, [log, half], [database], vehicle))
    assert told["then"] == "/" and len(listing(library)) == 2
    told, _ = ended(client, send(client, [log, half], [database], vehicle, together="yes"))
    assert told["state"] == "done" and len(listing(library)) == 3


@pytest.mark.parametrize("fault", ["log", "toml", "dbc"])
def test_a_bad_file_is_told_in_the_words_of_the_command(client, library, car, fault, tmp_path):
    """The same message, with the person's own file name; nothing is kept."""
    log, database, vehicle = car
    if fault == "log":
        log.write_text("no log at all\n" * 5, "utf-8")
    elif fault == "toml":
        vehicle.write_text(TOML.replace('"PackPower.Amps"', '"PackPower.Ampere"'), "utf-8")
    else:
        database.write_text("VERSION\nBO_ what", "utf-8")
    command = thawline(
        "add", log, "--database", database, "--vehicle", vehicle, library=tmp_path / "other"
    )
    told, there = ended(client, send(client, [log], [database], vehicle))
    words = command.stderr.strip().removeprefix("thawline: ").replace(f"{tmp_path}/", "")
    assert command.returncode == 2 and told["state"] == "failed"
    assert told["error"] == words
    page = client.get(there)
    assert page.status_code == 400 and "Back to the form" in page.text
    assert listing(library) == [] and known_vehicles(library) == []
    assert not list((library.folder / "uploads").iterdir())


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (lambda car: {"logs": []}, "no log is given"),
        (lambda car: {"logs": [car[0]]}, "no vehicle file is given"),
        (lambda car: {"logs": [car[0]], "known": "Petrel"}, "is not known"),
        (lambda car: {"logs": [car[0]], "vehicle": car[2], "starts_at": "noon"}, "is no time"),
    ],
)
def test_what_is_missing_is_asked_for(client, library, car, made, words):
    """The form comes back with the reason, and nothing was begun."""
    answer = send(client, **made(car)) if made(car)["logs"] else client.post(
        "/add", files=[("databases", ("a.dbc", b""))], headers=OURS
    )  # fmt: skip
    assert answer.status_code == 400 and words in answer.text
    assert "<form" in answer.text and not list((library.folder / "uploads").iterdir())


def test_an_upload_beyond_the_limit_is_refused(library, car):
    """413, in words, and nothing is kept."""
    with client_of(library, upload_limit_bytes=1000) as client:
        answer = send(client, [car[0]], [car[1]], car[2])
        assert answer.status_code == 413 and "must be at most 0.0 MB" in answer.text
    assert listing(library) == []


def test_work_that_nobody_knows_is_told(client):
    """An old or invented address of work is no error of ours."""
    assert client.get("/jobs/none").status_code == 404
