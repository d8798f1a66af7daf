from tests.suggest import morning
from tests.suggest.looked import anchors, readings
from thawline.suggest.anchors import narrowed


def name(key, *without):
    _, keys = morning.scene(without=without)
    return {path: name for name, path in morning.PATHS.items()}[keys[key]]


def test_the_whole_morning_is_found():
    """Pair, charge, balance, supply, warm-up and sharing, all of one piece."""
    found = anchors()
    assert found.pair is not None
    assert (name(found.pair.voltage.key), name(found.pair.current.key)) == ("voltage", "current")
    assert found.balance.explained > 0.99
    assert found.supply is not None
    assert found.supply.efficiency is not None
    assert found.warming is not None
    assert name(found.warming.inlet.key) == "inlet"
    assert [name(one.reading.key) for one in found.sharing.heats] == ["heat"]


def test_without_the_chargers_output_the_supply_feeds_the_balance():
    """92 % of what the supply gives stands in for the output."""
    found = anchors("output")
    assert found.balance.explained > 0.95
    assert any(term.reading.key == "supply" and term.factor == 1 for term in found.balance.terms)
    assert found.supply is not None
    assert found.supply.explained > 0.95


def test_a_supplys_current_is_not_the_packs():
    """Without the pack's current nothing is put in its place."""
    assert anchors("current").pair is None
    assert anchors("current").supply is not None


def test_what_is_known_is_taken_for_nothing_else():
    """Without units, a signal that was found keeps the kind that it was found to be."""
    from thawline.suggest.anchors import find_anchors

    scene, keys = morning.scene(blank=True)
    found = find_anchors(scene, readings(blank=True), {})
    left = narrowed(readings(blank=True), found)
    volts = next(key for key, path in keys.items() if path == morning.PATHS["voltage"])
    assert {kind for kind, made in left.items() if volts in {one.key for one in made}} == {
        "voltage"
    }
