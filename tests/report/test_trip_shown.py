"""A first trip, as people and programs see it."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from thawline.report.trip_page import trip_page, trip_plot
from thawline.report.trip_shown import FirstTrip, trip_document, trip_table, trip_text
from thawline.trip.against import against
from thawline.trip.begin import Begin
from thawline.trip.car import trip_car
from thawline.trip.drive import first_trip
from thawline.trip.traces import shipped_trace
from thawline.vehicle.vehicle import Pack, Vehicle


@pytest.fixture(scope="module", params=["skerrow-town", "coast-road"])
def found(request):
    car = trip_car(Vehicle("Heron", Pack(60.0, cells_in_series=96, chemistry="NMC")))
    trace = shipped_trace(request.param)
    cold, warmed = (
        first_trip(car, trace, begin, price_per_kWh=0.4, members=16, seed=3)
        for begin in (Begin(-12.0, -12.0, -12.0, -12.0, 20.0), Begin(-12.0, 14.0, 12.0, 19.0, 20.0))
    )
    return FirstTrip("heron-1", 1500.0, cold, warmed, against(cold, warmed), 0.4, ("Said <here>.",))


def _ends(plot, row):
    bars = [one for one in plot.layers if one.kind == "band"]
    bars = [one for one in bars if round(float((one.y[0] + one.top[0]) / 2)) == row]
    return sorted((float(one.x[0]), float(one.x[1])) for one in bars)


def test_the_bars_add_up_to_what_was_taken(found):
    """Stacked without gaps; right of zero less left of zero is the energy out of the cells."""
    for row, trip in ((1, found.cold), (0, found.warmed)):
        ends = _ends(trip_plot(found), row)
        right = [pair for pair in ends if pair[1] > 1e-9]
        assert right[0][0] == pytest.approx(0.0)
        for (_, end), (begin, _) in pairwise(right):
            assert begin == pytest.approx(end)
        left = min(0.0, ends[0][0])
        assert right[-1][1] + left == pytest.approx(trip.taken.mean, abs=0.05)


def test_the_last_column_is_the_difference(found):
    """Of the two before it, to the rounding shown."""
    for row in trip_table(found).rows:
        cold, warmed, less = (float(re.match(r"[−\d.]+", v)[0].replace("−", "-")) for v in row[1:])
        places = len(row[1].split()[0].partition(".")[2])
        assert less == pytest.approx(cold - warmed, abs=1.6 * 10**-places), row


def test_the_document_keeps_the_account(found):
    """Lines add up to the energy taken, cold costs more, and it is plain JSON."""
    told = json.loads(json.dumps(trip_document(found), allow_nan=False))
    for side in ("cold", "warmed"):
        lines = sum(line["mean"] for line in told[side]["energy_kWh"].values())
        assert lines == pytest.approx(told[side]["taken_kWh"]["mean"], rel=0.02)
    more = told["cold"]["taken_kWh"]["mean"] - told["warmed"]["taken_kWh"]["mean"]
    assert told["costs"]["kWh"]["mean"] == pytest.approx(more, abs=2e-4)
    assert more > 0.0
    assert told["cold"]["range_km"]["mean"] < told["warmed"]["range_km"]["mean"]
    assert told["price_per_kWh"] == 0.4


def test_text_and_page_say_the_same(found):
    """The sentence stands in both; what was written is escaped."""
    kWh = f"{found.costs.kWh.mean:.2f}"
    page = re.sub("[\N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}]", " ", trip_page(found))
    assert f"{kWh} kWh more" in page
    assert f"{kWh} kWh more" in re.sub("[\N{NO-BREAK SPACE}]", " ", trip_text(found))
    assert "Said &lt;here&gt;." in page
    assert "Said <here>" not in page


def test_without_a_price_no_money_is_told(found):
    """Neither as a row nor in the sentence."""
    free = replace(found, price_per_kWh=0.0)
    assert "to pay" not in trip_text(free)
    assert "costs" not in trip_text(free)
    assert np.isfinite(free.costs.money.mean)
