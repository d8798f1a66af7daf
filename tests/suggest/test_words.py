import pytest

from thawline.suggest.words import concepts, split_name


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("BattPackVoltage", ["batt", "pack", "voltage"]),
        ("HV_Batt_Curr1", ["hv", "batt", "curr", "1"]),
        ("packvoltage", ["pack", "voltage"]),
        ("Zelltemperatur", ["zell", "temperatur"]),
        ("Kühlmittel", ["kuehlmittel"]),
        ("StateOfCharge", ["soc"]),
        ("DC_DC_Power", ["dcdc", "power"]),
    ],
)
def test_names_are_taken_apart(name, words):
    """At capitals, signs and digits; joined words and umlauts too."""
    assert split_name(name) == words


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        ("maxCellTemp", {"maximum", "cell", "temperature"}),
        ("TempAussen", {"temperature", "outside"}),
        ("Ladestrom_L1", {"charging", "current", "1"}),
        ("ClntOutTemp", {"coolant", "outlet", "temperature"}),
        ("RegenPwrLim", {"regeneration", "power", "limit"}),
    ],
)
def test_words_have_meanings_in_two_languages(name, meant):
    """English, German and the abbreviations of the trade."""
    assert meant <= concepts(name)


def test_a_single_letter_must_agree_with_the_unit():
    """U is a voltage in V and nothing in A (ISO 80000: U, I, P, T)."""
    assert "voltage" in concepts("U", "voltage")
    assert "voltage" not in concepts("U", "current")


def test_names_that_say_nothing_mean_nothing():
    """S001 and X4711 are no words."""
    assert {one for one in concepts("S001") if not one.isdigit()} == set()
    assert {one for one in concepts("X4711") if not one.isdigit()} == set()
