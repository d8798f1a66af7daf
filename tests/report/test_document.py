"""The explained recording as JSON."""

import json
import math
from dataclasses import replace
from datetime import datetime

import numpy as np
import pytest

from tests.report import morning
from thawline.ledger.ledger import ELECTRICAL, HEAT, Line
from thawline.report.document import document
from thawline.story.story import KINDS, LANES, Evidence, Span

NUMBER = (int, float)
EVIDENCE = {"signal": str, "value": NUMBER, "unit": str, "threshold": (*NUMBER, type(None)),
            "at_s": NUMBER}  # fmt: skip
POINT = {"kind": str, "t_s": NUMBER, "at": (str, type(None)), "because": str, "evidence": list}
SPAN = {"lane": str, "from_s": NUMBER, "to_s": NUMBER}
LINE = {"line": str, "kWh": (*NUMBER, type(None)), "plus_minus_kWh": (*NUMBER, type(None))}
FINDING = {"kind": str, "from_s": (*NUMBER, type(None)), "confidence": (*NUMBER, type(None)),
           "because": str, "evidence": list}  # fmt: skip


def check(what, shape):
    for key, kind in shape.items():
        assert isinstance(what[key], kind), (key, what[key])
    for one in what.get("evidence", []):
        check(one, EVIDENCE)


@pytest.mark.parametrize("make", [morning.explained, morning.bare])
def test_the_document_keeps_the_contract(make):
    """Every key of the contract is there with its type, also where little is known."""
    found = json.loads(json.dumps(document(make()), allow_nan=False))
    assert isinstance(found["recording"], str)
    for point in found["turning_points"]:
        check(point, POINT)
        assert point["kind"] in KINDS
    for span in found["spans"]:
        check(span, SPAN)
        assert span["lane"] in LANES
    for account, lines in (("electrical", ELECTRICAL), ("heat", HEAT)):
        assert tuple(line["line"] for line in found["ledger"][account]) == lines
        for line in found["ledger"][account]:
            check(line, LINE)
    assert {"shown_gain_pct", "charged_gain_pct", "warmed_back_pct"} <= set(found["charge"])
    for finding in found["findings"]:
        check(finding, FINDING)


def test_times_agree():
    """`at` is the first sample's time plus `t_s`, in UTC with Z."""
    found = document(morning.explained())
    begin = datetime.fromisoformat(found["starts_at"])
    assert begin.timestamp() == morning.STARTS_AT
    for point in found["turning_points"]:
        assert point["at"].endswith("Z")
        assert (datetime.fromisoformat(point["at"]) - begin).total_seconds() == point["t_s"]


def test_a_log_without_a_date_has_no_times_of_day():
    """Seconds are known, the date is null."""
    found = document(replace(morning.bare(), story=morning.story()))
    assert found["starts_at"] is None
    assert {point["at"] for point in found["turning_points"]} == {None}


def test_what_is_not_a_number_becomes_null():
    """NaN, infinity and NumPy's own types leave as JSON's types."""
    explained = morning.explained()
    point = replace(
        explained.story.turning_points[0],
        t_s=np.float64(77.12345),
        evidence=(Evidence("x", math.nan, "kW", np.float32(0.5), math.inf),),
    )
    story = replace(
        explained.story,
        turning_points=(point,),
        spans=(Span("coolant", np.int64(3), 4.0, math.nan, ""),),
    )
    ledger = replace(explained.ledger, electrical=(Line("supply", math.nan, math.inf, "unknown"),))
    found = document(replace(explained, story=story, ledger=ledger))
    json.dumps(found, allow_nan=False)
    evidence = found["turning_points"][0]["evidence"][0]
    assert (evidence["value"], evidence["threshold"], evidence["at_s"]) == (None, 0.5, None)
    assert found["turning_points"][0]["t_s"] == 77.123
    assert found["ledger"]["electrical"][0]["kWh"] is None
    assert found["spans"][0]["level"] is None


def test_plain_tuples_serve_as_findings_and_notes():
    """Callers need no classes of ours for findings and notes."""
    explained = morning.explained(
        findings=(("open", None, 0.9, "So.", ()),), notes=((3.0, "cold"), (None, "dark"))
    )
    found = document(explained)
    assert found["findings"][0]["kind"] == "open"
    assert found["notes"][0] == {"at_s": 3.0, "at": "2031-01-14T06:40:03.000Z", "text": "cold"}
    assert found["notes"][1]["at"] is None


def test_feed_adds_up():
    """The energies of who fed whom are those of the powers."""
    feed = document(morning.explained())["ledger"]["feed"]
    powers = morning.make_flows().flows
    given = sum(feed["supply_to_kWh"].values())
    assert given == pytest.approx(np.nansum(powers["supply"].kW) / 3600.0, rel=0.01)
    assert feed["pack_helped"] == [{"from_s": 110.0, "to_s": 1560.0}]
