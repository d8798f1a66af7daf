"""The plan's form: what may be typed, what is refused, and never a path."""

import time

import pytest

from tests.web.conftest import OURS, client_of, filled
from thawline.errors import InputError
from thawline.report.choice import USUAL, Choice
from thawline.web.desk import desk_for
from thawline.web.planning import asked_of
from thawline.web.settings import Settings

TYPED = {
    "vehicle": "Gannet", "now": "2031-01-15T22:00", "leave": "07:45", "supply": "230V16A",
    "outside": "-8", "cabin": "18", "tariff": "0.30",
}  # fmt: skip


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    return desk_for(filled(tmp_path_factory.mktemp("plan")), Settings(is_apart=False))


def test_what_is_typed_is_what_is_asked(desk):
    """Numbers, several times of leaving, and a table of prices by the time of day."""
    typed = {**TYPED, "leave": "07:45 16:30", "charge": "60", "clear_glass": "yes",
             "chance": "80", "tariff": "00:00, 0.20\n06:00, 0.40\n"}  # fmt: skip
    asked = asked_of(desk, typed, USUAL)
    assert len(asked.wishes.leave_s) == 2 and asked.wishes.charge_pct == 60.0
    assert asked.wishes.clear_glass and asked.chance == pytest.approx(0.8)
    night, day = asked.now_s + 4 * 3600.0, asked.wishes.leave_s[0]
    assert [float(asked.price.at([t])[0]) for t in (night, day)] == [0.20, 0.40]
    assert not list((desk.library.folder / "uploads").iterdir())


def test_temperatures_are_typed_in_the_units_chosen(desk):
    """A reader of °F types °F."""
    asked = asked_of(desk, {**TYPED, "outside": "14", "cabin": "68"}, Choice("degF"))
    assert float(asked.outside.at([asked.now_s])[0]) == pytest.approx(-10.0)
    assert asked.wishes.cabin_degC == pytest.approx(20.0)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"leave": ""}, "no time of leaving"),
        ({"leave": "soon"}, "soon"),
        ({"outside": ""}, "air outside is not given"),
        ({"supply": "much"}, "is not volts and amps"),
        ({"cabin": "warm"}, "Cabin, °C (='warm') is no number"),
        ({"outside": "06:00, cold"}, "is no number"),
        ({"tariff": "x" * 70_000}, "too long"),
    ],
)
def test_what_makes_no_sense_is_told(desk, changed, words):
    """The message names the field, and nothing of the server's folders."""
    with pytest.raises(InputError) as caught:
        asked_of(desk, {**TYPED, **changed}, USUAL)
    assert words in str(caught.value) and str(desk.library.folder) not in str(caught.value)


@pytest.mark.parametrize("field", ["outside", "tariff", "carbon"])
def test_no_file_of_the_server_is_read(desk, field, tmp_path):
    """A path in a field is a bad row, not a file; a vehicle is a name, not a file."""
    secret = tmp_path / "secret.csv"
    secret.write_text("time,value\n00:00,42.42\n", "utf-8")
    with pytest.raises(InputError) as caught:
        asked_of(desk, {**TYPED, field: str(secret)}, USUAL)
    assert "42.42" not in str(caught.value)


def test_a_plan_is_asked_for_and_made(tmp_path):
    """From the form to the steps; what is wrong brings the form back as it was filled."""
    with client_of(filled(tmp_path)) as client:
        back = client.post("/plan", data={**TYPED, "supply": "much"}, headers=OURS)
        assert back.status_code == 400 and 'value="07:45"' in back.text
        for wrong in ({"vehicle": "../car.toml"}, {"trip": "/etc/passwd"}):
            assert client.post("/plan", data={**TYPED, **wrong}, headers=OURS).status_code == 400
        led = client.post("/plan", data=TYPED, headers=OURS)
        assert led.status_code == 303
        for _ in range(900):
            page = client.get(led.headers["location"])
            if 'id="work"' not in page.text:
                break
            time.sleep(0.1)
        assert page.status_code == 200 and "What to do" in page.text
        assert client.get("/plan/none").status_code == 404
