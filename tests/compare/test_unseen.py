"""The reason that is named is the one that was changed, on cars nobody has seen."""

from __future__ import annotations

import pytest

from tests.compare.unseen import against_base
from thawline.compare.charged_words import told_shares

#: How long the mornings last [s].
LASTS_S = 1800.0
SEEDS = [pytest.param(9202), *(pytest.param(n, marks=pytest.mark.slow) for n in (9312, 9313))]


def minutes(found):
    return {part.key: part for part in found.parts}


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", ["colder", "supply", "cabin"])
def test_shares_add_up_to_what_was_charged(seed, name):
    """Kilowatt-hour for kilowatt-hour: shares and what they leave are the difference."""
    found = against_base(seed, name, LASTS_S)
    rows = {row.key: row for row in found.rows}
    net = rows["energy-pack-in"].difference - rows["energy-pack-out"].difference
    total = sum(share.kWh for share in found.charged.shares) + found.charged.untold_kWh
    assert found.charged.kWh == pytest.approx(net) == pytest.approx(total)


@pytest.mark.parametrize("seed", SEEDS)
def test_colder_only(seed):
    """The colder start is the only reason for the time; the heat's effect is not blamed."""
    found = against_base(seed, "colder", LASTS_S)
    if found.target:
        assert [part.key for part in found.parts if part.is_told] == ["start-temperature"]
        start = minutes(found)["start-temperature"].minutes
        assert abs(minutes(found)["heat-effect"].minutes) < 0.15 * start
    assert not any(share.key == "supply-power" for share in told_shares(found.charged))


@pytest.mark.parametrize("seed", SEEDS)
def test_weaker_supply_only(seed):
    """The supply is the first reason why less was charged; neither cold nor coolant is blamed."""
    found = against_base(seed, "supply", LASTS_S)
    first = told_shares(found.charged)[0]
    assert first.key == "supply-power" and first.kWh < 0.0
    assert any("the supply gave at most" in sentence for sentence in found.sentences)
    told = [part.key for part in found.parts if part.is_told]
    assert told in ([], ["heat-power"])


@pytest.mark.parametrize("seed", SEEDS)
def test_cabin_only(seed):
    """The cabin is the first reason why less was charged, with the energy that it took."""
    found = against_base(seed, "cabin", LASTS_S)
    first = told_shares(found.charged)[0]
    cabin = next(row for row in found.rows if row.key == "energy-cabin-heating")
    assert first.key == "cabin-heating" and first.kWh == pytest.approx(-cabin.difference)
    assert any("Likely why: cabin heating took" in sentence for sentence in found.sentences)


@pytest.mark.slow
@pytest.mark.parametrize("seed", [9202, 9312])
def test_weak_pump_only(seed):
    """A weak pump is told by the coolant flow, also where the pack did not thaw with it."""
    found = against_base(seed, "pump", 2400.0)
    if found.parts:
        assert max(found.parts, key=lambda part: part.minutes).key == "heat-effect"
    else:
        assert any("in B not at all" in sentence for sentence in found.sentences)
    assert any("less coolant flowed through the pack" in sentence for sentence in found.sentences)
