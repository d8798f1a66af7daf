from tests.suggest.looked import anchors, named, readings
from thawline.suggest.places import FLOW, HEAT_OF, INLET, OUTLET, PACK_HEATER, WINDING_OF
from thawline.suggest.tell_heat import surety, tell_heat


def test_coolant_windings_heat_and_flow_are_told():
    """Each path has one good signal."""
    best = named(tell_heat(anchors(), readings()))
    assert {path: max(by, key=by.get) for path, by in best.items()} == {
        INLET: "inlet",
        OUTLET: "outlet",
        WINDING_OF: "winding",
        HEAT_OF: "heat",
        FLOW: "flow",
    }
    assert surety(anchors().sharing) == 1.0


def test_without_a_winding_the_load_stays_unsure():
    """It may heat windings that have no signal: little weight for a heater of the coolant."""
    best = named(tell_heat(anchors("winding"), readings("winding")), "winding")
    assert HEAT_OF not in best
    assert 0.0 < best[PACK_HEATER]["heat"] < 3.0


def test_without_outlet_and_winding_the_inlet_may_be_either():
    """What leads the cells alone is not called the inlet."""
    missing = ("winding", "outlet")
    best = named(tell_heat(anchors(*missing), readings(*missing)), *missing)
    assert best.get(INLET, {}).get("inlet", 0.0) < 3.0
