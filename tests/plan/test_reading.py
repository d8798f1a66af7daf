"""Leaving times, supplies and tables by time, as people write them."""

from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import pytest

from thawline.errors import RequestError, SourceError
from thawline.plan.reading import read_by_time, read_moment, read_supply

ZONE = timezone(timedelta(hours=1))
NOW_S = datetime(2026, 1, 16, 22, 0, tzinfo=ZONE).timestamp()


def test_a_time_of_day_is_the_next_one():
    """07:45 said in the evening is tomorrow's, 23:30 is today's; an offset is obeyed."""
    tomorrow, tonight = datetime(2026, 1, 17, 7, 45), datetime(2026, 1, 16, 23, 30)
    assert read_moment("07:45", NOW_S, ZONE) == tomorrow.replace(tzinfo=ZONE).timestamp()
    assert read_moment("23:30", NOW_S, ZONE) == tonight.replace(tzinfo=ZONE).timestamp()
    told = read_moment("2026-01-17T06:45:00Z", NOW_S, ZONE)
    assert told == datetime(2026, 1, 17, 6, 45, tzinfo=UTC).timestamp()


@pytest.mark.parametrize("text", ["25:00", "soon", "7h45", ""])
def test_what_is_no_time_is_refused(text):
    """The message names the option, the value and the cure."""
    with pytest.raises(RequestError, match=r"--leave.*07:45"):
        read_moment(text, NOW_S, ZONE)


def test_a_daily_table_holds_every_day(tmp_path):
    """A price by time of day: the night's rate from 22:00, the day's from 06:00."""
    path = tmp_path / "tariff.toml"
    path.write_text(
        'currency = "crowns"\n[[band]]\nfrom = "22:00"\nvalue = 0.11\n'
        '[[band]]\nfrom = "06:00"\nvalue = 0.29\n'
    )
    price, currency = read_by_time(str(path), "--tariff", NOW_S, ZONE, is_line=False)
    at = [datetime(2026, 1, day, hour, 30, tzinfo=ZONE).timestamp()
          for day, hour in ((16, 22), (17, 5), (17, 6), (17, 23))]  # fmt: skip
    assert currency == "crowns"
    assert price.at(np.array(at)).tolist() == [0.11, 0.11, 0.29, 0.11]


@pytest.mark.parametrize("sign", [",", ";", "\t"])
def test_a_forecast_is_joined_by_straight_lines(tmp_path, sign):
    """Halfway between two hours lies the mean of their temperatures."""
    path = tmp_path / "outside.csv"
    path.write_text(f"time{sign}degC\n2026-01-17T06:00{sign}-8\n2026-01-17T07:00{sign}-6\n")
    air, _ = read_by_time(str(path), "--outside", NOW_S, ZONE, is_line=True)
    half = datetime(2026, 1, 17, 6, 30, tzinfo=ZONE).timestamp()
    assert air.at(np.array([half]))[0] == pytest.approx(-7.0)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("time,degC\n2026-01-17T06:00,cold\n", "row 2"),
        ("time,degC\n2026-01-17T06:00,-3\n2026-01-17T05:00,-3\n", "row 3"),
        ("time,degC\nat dawn,-3\n", "row 2"),
        ("time\n06:00\n", "row 1"),
    ],
)
def test_a_bad_table_is_named_with_its_place(tmp_path, text, place):
    """The file, the row, the value and the cure."""
    path = tmp_path / "outside.csv"
    path.write_text(text)
    with pytest.raises(SourceError, match=place) as error:
        read_by_time(str(path), "--outside", NOW_S, ZONE, is_line=True)
    assert "outside.csv" in str(error.value)


def test_an_empty_table_and_a_missing_one_are_refused(tmp_path):
    """Neither a number nor a file; and a file without a row."""
    with pytest.raises(RequestError, match="neither a number nor a file"):
        read_by_time(str(tmp_path / "none.csv"), "--tariff", NOW_S, ZONE, is_line=False)
    (tmp_path / "empty.csv").write_text("")
    with pytest.raises(SourceError, match="no row"):
        read_by_time(str(tmp_path / "empty.csv"), "--tariff", NOW_S, ZONE, is_line=False)


def test_a_supply_is_volts_and_amps():
    """With phases where there are several; a breaker holds it to 80 %.

    NFPA 70 article 625 (quoted): a charging load is continuous, so a 40 A circuit carries 32 A.
    """
    assert read_supply("230V16Ax3").power_kW == pytest.approx(11.04)
    assert read_supply("208 V 24 A").power_kW == pytest.approx(4.992)
    assert read_supply("240V48A", 40.0).allowed_A == pytest.approx(32.0)
    assert "local code decides" in read_supply("240V48A", 40.0).rule
    with pytest.raises(RequestError, match="230V32A"):
        read_supply("a socket")
