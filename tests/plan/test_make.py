"""Whole plans: what they say, what they show, and what they refuse."""

import json
from dataclasses import replace

import numpy as np
import pytest

from tests.plan.made import NOW_S, asked, sure_car, two_prices
from thawline.errors import RequestError
from thawline.plan.asked import Supply, Wishes
from thawline.plan.by_time import constant
from thawline.plan.make import make_plan
from thawline.report.plan_document import plan_document
from thawline.report.plan_page import plan_page
from thawline.report.plan_text import plan_text


@pytest.fixture(scope="module")
def plan():
    """A plan with every wish, a cheap hour, and carbon dioxide told."""
    request = asked(hours=4.0, charge=54.0, regeneration=6.0, cabin=20.0, glass=True,
                    price=two_prices(1.0, 3.0), carbon=constant(300.0),
                    garage_degC=2.0)  # fmt: skip
    return make_plan(sure_car(), request)


def test_energy_adds_up(plan):
    """What the supply gives is what heats, charges, runs and is lost, less what the pack gives."""
    c = plan.course
    hours = np.diff(c.t_s) / 3600.0
    uses = c.heat_kW + c.cabin_kW + c.charge_kW + c.base_kW + c.loss_kW - c.helped_kW
    assert float(uses @ hours) == pytest.approx(plan.chosen.energy_kWh, rel=0.005)
    assert plan.chosen.carbon_g == pytest.approx(300.0 * plan.chosen.energy_kWh, rel=1e-6)


def test_the_contract_holds(plan):
    """The document has steps, cost, energy, readiness, alternatives, and is strict JSON."""
    document = json.loads(json.dumps(plan_document(plan), allow_nan=False))
    assert {"steps", "cost", "energy_kWh", "ready", "alternatives"} <= set(document)
    assert all({"at", "do", "until"} <= set(step) for step in document["steps"])
    keys = [option["key"] for option in document["alternatives"]]
    assert keys[:4] == ["leave-cold", "warm-10", "warm-20", "warm-30"]
    assert {"charge-to-the-end", "cabin-only", "garage"} <= set(keys)
    assert document["ready"]["together"] >= 0.9


def test_the_answer_comes_first(plan):
    """The first line says what to do, when, how surely and for how much."""
    first = " ".join(plan_text(plan).splitlines()[:2])
    assert "Plug in now" in first
    assert "ready at" in first
    assert "kWh" in first
    assert "crowns" in first


def test_cautions_stand_on_page_and_in_text(plan):
    """Dedicated circuit, no extension cord, local code, electrician, no way round the limit."""
    page, text = plan_page(plan), " ".join(plan_text(plan).split())
    for words in ("dedicated circuit", "no extension cord", "local code", "licensed electrician",
                  "Never try to get round it"):  # fmt: skip
        assert words in page
        assert words in text
    assert "src=" not in page.split("<main>")[1].split("</main>")[0]


def test_a_wish_costs_and_binds(plan):
    """Wishes that cost something are priced, never below nothing; something binds."""
    assert plan.binding
    assert plan.wish_costs
    assert all(cost.saves >= 0.0 for cost in plan.wish_costs)
    dear = max(plan.wish_costs, key=lambda cost: cost.saves)
    assert dear.saves > 0.05


def test_a_milder_garage_is_cheaper(plan):
    """The same wishes from a garage at 2 °C cost less than out in the cold."""
    garage = next(option for option in plan.alternatives if option.key == "garage")
    assert garage.cost < plan.chosen.cost


def test_what_cannot_be_done_comes_with_the_nearest_and_a_cure():
    """Half an hour is too short to charge by 20 %: so much can be had, later would help."""
    found = make_plan(sure_car(), asked(hours=0.5, charge=56.0, amps=40.0))
    assert not found.is_possible
    assert found.nearest is not None
    assert any("% of charge instead of 56 %" in words for words in found.nearest.can)
    assert any("Leave" in words and "later" in words for words in found.nearest.cures)
    assert "Not all wishes can be met" in plan_text(found)


def test_regeneration_beyond_the_cars_own_heating_names_what_binds():
    """A car that stops heating at 6 °C cannot be warmed for 60 kW; a free target would do."""
    found = make_plan(sure_car(), asked(hours=4.0, charge=None, regeneration=22.0))
    assert not found.is_possible
    assert any("own end of heating" in words for words in found.binding)
    assert any("--heat-to" in words for words in found.nearest.cures)


def test_several_leaving_times_are_all_served():
    """Ready at the first and still ready at the second."""
    request = asked(hours=4.0, charge=53.0, cabin=19.0)
    leaves = (NOW_S + 3 * 3600.0, NOW_S + 4 * 3600.0)
    request = replace(request, wishes=replace(request.wishes, leave_s=leaves))
    found = make_plan(sure_car(), request, is_quick=True)
    assert [ready.leave_s for ready in found.chosen.ready] == list(leaves)
    assert found.is_possible
    assert all(ready.together >= 0.9 for ready in found.chosen.ready)


@pytest.mark.parametrize(
    "changes",
    [
        {"wishes": Wishes((NOW_S + 7200.0,))},
        {"wishes": Wishes((NOW_S - 60.0,), charge_pct=60.0)},
        {"wishes": Wishes((NOW_S + 1e6,), charge_pct=60.0)},
        {"wishes": Wishes((NOW_S + 7200.0,), charge_pct=140.0)},
        {"supply": Supply(230.0, 3.0)},
        {"outside": constant(-90.0)},
        {"chance": 1.5},
    ],
)
def test_what_makes_no_sense_is_refused(changes):
    """The message names the value, its range and the cure."""
    with pytest.raises(RequestError, match=r"must|nothing is wished"):
        make_plan(sure_car(), replace(asked(), **changes))


def test_clean_hours_are_taken_at_a_price_of_carbon():
    """At one price per kWh, a price of carbon dioxide moves charging into the clean hours."""
    clean = replace(two_prices(0.5, 2.5), values=(600.0, 50.0, 600.0))
    request = asked(hours=4.0, charge=54.0, outside=4.0, carbon=clean, carbon_price=0.5)
    found = make_plan(sure_car(), request, is_quick=True)
    free = make_plan(sure_car(), replace(request, carbon_price=0.0), is_quick=True)
    assert found.is_possible
    assert found.chosen.carbon_g < 0.5 * free.chosen.carbon_g


def test_a_pack_that_must_not_help_is_not_drained():
    """Where the pack may not help, heat waits for what the supply gives."""
    request = asked(hours=4.0, charge=None, regeneration=5.0, amps=13.0, pack_may_help=False)
    found = make_plan(sure_car(), request, is_quick=True)
    assert found.is_possible
    assert float(found.course.helped_kW.max()) < 0.05
    assert found.chosen.from_pack_kWh < 0.05
