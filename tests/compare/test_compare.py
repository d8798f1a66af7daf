"""Two mornings against the truth of the simulator."""

from __future__ import annotations

import pytest

from tests.charge.proving import mornings
from tests.compare.pair import pair
from thawline.compare.compare import compare
from thawline.compare.comparison import Comparison


@pytest.fixture(scope="module")
def found() -> Comparison:
    return compare(*pair(), 0.5)


def true_s(number: int, kind: str) -> float:
    points = mornings()[number][0].truth.points
    plugged = next(point.t_s for point in points if point.kind == "plugged-in")
    return next(point.t_s for point in points if point.kind == kind) - plugged


@pytest.mark.parametrize("kind", ["coldest-cell-thaws", "regeneration-returns", "charging-begins"])
def test_times_since_plugging_in(found, kind):
    """Times of both, and their difference, within 10 s of the truth."""
    one = next(turning for turning in found.turnings if turning.kind == kind)
    assert one.a_s == pytest.approx(true_s(1, kind), abs=10.0)
    assert one.b_s == pytest.approx(true_s(0, kind), abs=10.0)
    assert one.later_s == pytest.approx(one.b_s - one.a_s)


def test_reasons_add_up_and_the_cold_start_weighs_most(found):
    """The parts sum to the difference; the colder start is the largest of them."""
    one = next(turning for turning in found.turnings if turning.kind == found.target)
    assert found.target == "coldest-cell-thaws"
    assert sum(part.minutes for part in found.parts) == pytest.approx(one.later_s / 60.0, abs=1e-6)
    assert max(found.parts, key=lambda part: abs(part.minutes)).key == "start-temperature"
    assert "7.0 K colder" in found.sentences[1] and found.sentences[1].startswith("Likely why B")


def test_figures_agree_with_the_accounts(found):
    """Energies are those of the ledgers, with their uncertainties; cost is energy times price."""
    rows = {row.key: row for row in found.rows}
    a, b = pair()
    supply = [next(x for x in e.ledger.electrical if x.line == "supply") for e in (a, b)]
    assert (rows["energy-supply"].a, rows["energy-supply"].b) == (supply[0].kWh, supply[1].kWh)
    assert rows["cost"].b == pytest.approx(0.5 * supply[1].kWh)
    assert rows["start-coldest"].difference == pytest.approx(-7.0, abs=0.2)
    assert rows["start-coldest"].differs
    assert not rows["regeneration-at-3-degC"].differs


def test_the_other_way_round(found):
    """B against A is A against B with the signs turned."""
    turned = compare(*pair()[::-1])
    assert turned.per_kWh is None and all(row.key != "cost" for row in turned.rows)
    for one, other in zip(found.parts, turned.parts, strict=True):
        assert one.minutes == pytest.approx(-other.minutes)


def test_with_itself_nothing_differs():
    """A morning against itself differs in nothing, and the words say so."""
    a, _ = pair()
    same = compare(a, a)
    assert not any(row.differs for row in same.rows)
    assert all(abs(part.minutes) < 1e-9 for part in same.parts)
    assert same.sentences == ("At the same coldest cell the car allowed the same in both.",)


def test_one_that_never_thaws():
    """Where only one gets there, it is said, with what each was warmed by."""
    from dataclasses import replace

    a, b = pair()
    cold = replace(
        b,
        story=replace(
            b.story,
            turning_points=tuple(
                p for p in b.story.turning_points
                if p.kind in ("plugged-in", "pack-heating-begins")
            ),
        ),
    )  # fmt: skip
    said = " ".join(compare(a, cold).sentences)
    assert "in B not at all" in said and "B warmed by" in said


def test_overlays_count_from_plugging_in(found):
    """Both lines of a chart have their zero at the plugging in."""
    one = next(overlay for overlay in found.overlays if overlay.key == "coldest")
    assert one.a_t[0] == pytest.approx(0.5 - found.a.zero_s)
    assert len(one.b_t) == len(one.b) > 2000
