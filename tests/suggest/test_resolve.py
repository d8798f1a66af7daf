from thawline.suggest.places import CABLE_OF, WINDING_OF
from thawline.suggest.resolve import resolve
from thawline.suggest.votes import Vote


def paths(votes, words=None):
    order = {"a": 1, "b": 2, "c": 3}
    return {vote.key: vote.path for vote in resolve(votes, words or {}, order)}


def test_nameless_units_are_counted_in_the_order_of_the_database():
    """First and second, whichever votes weigh more."""
    votes = [Vote(WINDING_OF, "b", 6.0, ""), Vote(WINDING_OF, "a", 5.0, "")]
    assert paths(votes) == {
        "a": "Powertrain.ElectricMotor.First.Temperature",
        "b": "Powertrain.ElectricMotor.Second.Temperature",
    }


def test_names_come_first():
    """What a name calls front is front."""
    votes = [Vote(WINDING_OF, "b", 6.0, ""), Vote(WINDING_OF, "a", 5.0, "")]
    assert paths(votes, {"b": "Front"})["b"] == "Powertrain.ElectricMotor.Front.Temperature"


def test_a_car_has_one_cable_at_a_time():
    """Of several states that could be the cable's only the best is kept."""
    votes = [Vote(CABLE_OF, "a", 3.0, ""), Vote(CABLE_OF, "b", 5.0, "")]
    assert set(paths(votes)) == {"b"}


def test_concrete_paths_stay_as_they_are():
    """Nothing is open in them."""
    assert paths([Vote("Speed", "a", 1.0, "")]) == {"a": "Speed"}


def test_what_is_unlikely_takes_no_word():
    """A signal that its name speaks against does not push the right one back."""
    votes = [Vote(WINDING_OF, "a", -6.0, ""), Vote(WINDING_OF, "b", 5.0, "")]
    assert paths(votes) == {"b": "Powertrain.ElectricMotor.First.Temperature"}
