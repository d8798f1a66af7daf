"""Why less was charged, by hand-made accounts."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.compare.pair import pair
from thawline.compare.charged import charged
from thawline.compare.charged_words import charged_sentence, told_shares
from thawline.compare.compare import compare
from thawline.compare.comparison import Charged, Share
from thawline.compare.coolant import flow_sentence
from thawline.compare.curve import Curve
from thawline.compare.sides import side_of
from thawline.compare.warming import Warming, parts


def changed(explained, **kWh):
    """The same morning with other lines in its account; None makes one unknown."""
    lines = tuple(
        replace(line, kWh=kWh[line.line.replace("-", "_")])
        if line.line.replace("-", "_") in kWh
        else line
        for line in explained.ledger.electrical
    )
    return replace(explained, ledger=replace(explained.ledger, electrical=lines))


def taken_apart(a, b) -> Charged | None:
    return charged(a, b, (side_of("A", a), side_of("B", b)), (None, None))


def test_a_line_that_changed_is_the_whole_reason():
    """Two kilowatt-hours more for the cabin, less into the pack: the cabin's, all of them."""
    a, _ = pair()
    cabin, into = (
        next(line.kWh for line in a.ledger.electrical if line.line == name)
        for name in ("cabin-heating", "pack-in")
    )
    b = changed(a, cabin_heating=cabin + 2.0, pack_in=into - 2.0)
    found = taken_apart(a, b)
    assert found.kWh == pytest.approx(-2.0)
    assert [share.key for share in told_shares(found)] == ["cabin-heating"]
    assert found.shares[0].kWh == pytest.approx(-2.0)
    said = charged_sentence(found)
    assert said.startswith("B's pack was charged 2.00 kWh less. Likely why: cabin heating took")
    assert "cannot be told" not in said


def test_a_line_that_is_missing_is_said_to_be():
    """Where the supply is unknown, what it would explain cannot be told, and is named."""
    a, _ = pair()
    into = next(line.kWh for line in a.ledger.electrical if line.line == "pack-in")
    found = taken_apart(a, changed(a, supply=None, pack_in=into - 1.5))
    assert found.missing == ("taken from the supply",)
    assert found.untold_kWh == pytest.approx(-1.5)
    said = charged_sentence(found)
    assert "What makes −1.50 kWh cannot be told: an account does not know taken" in said
    assert taken_apart(a, changed(a, pack_in=None)) is None


def test_within_its_uncertainty_nothing_is_named():
    """A share below twice its uncertainty is no reason, and the sentence says so."""
    found = Charged(-0.5, 0.1, (Share("supply-power", -0.5, 0.4, "weaker"),), 0.0, ())
    said = charged_sentence(found)
    assert "weaker" not in said and "within the uncertainty of the accounts" in said
    assert charged_sentence(replace(found, sigma_kWh=0.3)) is None


def test_the_other_way_round_turns_every_sign():
    """Shares of B against A are those of A against B with the signs turned."""
    one, other = compare(*pair()).charged, compare(*pair()[::-1]).charged
    turned = {share.key: share.kWh for share in other.shares}
    assert set(turned) == {share.key for share in one.shares}
    for share in one.shares:
        assert share.kWh == pytest.approx(-turned[share.key], abs=1e-9)


@pytest.mark.parametrize(
    ("flows", "said"),
    [
        ((12.0, 2.0), "less coolant flowed through the pack there (2.0 l/min in B"),
        ((12.0, 11.8), "with the same coolant flow"),
        ((8.0, 12.0), "though more coolant flowed there"),
        ((None, None), "coolant flow is not recorded: less flow, a valve or losses – cannot tell"),
        ((12.0, None), "not recorded in both"),
    ],
)
def test_what_coolant_flow_tells(flows, said):
    """A flow that is lower is named; else it cannot be told which of the others it was."""
    assert said in flow_sentence("B", flows)
    assert flow_sentence(None, flows) is None


def lagging(from_degC: float, kW: float, lag_s: float, K_per_kWh: float) -> Warming:
    """A warm-up to 0 °C in closed form: nothing rises for a while, then evenly."""
    rise = -from_degC
    rises = [rise * n / 50.0 for n in range(51)]
    times = [lag_s + one / (kW * K_per_kWh) * 3600.0 for one in rises]
    heats = [kW * one / 3600.0 for one in times]
    rises, times, heats = [0.0, *rises[1:]], [0.0, *times[1:]], [0.0, *heats[1:]]
    curve = Curve(np.array(rises), np.array(times), np.array(heats))
    return Warming(0.0, times[-1], rise, from_degC, kW, curve)


@settings(max_examples=40, deadline=None)
@given(st.floats(2.0, 8.0), st.floats(30.0, 500.0), st.floats(4.0, 14.0), st.floats(1.2, 3.0))
def test_causes_that_did_not_change_get_nothing(kW, lag_s, K_per_kWh, times):
    """With a lag: a colder start alone is the start's, half the power alone is the power's."""
    base = lagging(-6.0, kW, lag_s, K_per_kWh)
    colder = {p.key: p.minutes for p in parts(base, lagging(-6.0 * times, kW, lag_s, K_per_kWh))}
    assert colder["heat-effect"] == pytest.approx(0.0, abs=0.03 * colder["start-temperature"])
    weaker = {p.key: p.minutes for p in parts(base, lagging(-6.0, kW / times, lag_s, K_per_kWh))}
    assert weaker["heat-effect"] == pytest.approx(0.0, abs=0.02 * weaker["heat-power"])
    assert weaker["start-temperature"] == pytest.approx(0.0, abs=1e-9)
