import tomllib
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.suggest import morning
from thawline.suggest.propose import propose_from
from thawline.suggest.suggestion import LeftOut, Proposal, Suggestion
from thawline.suggest.write import vehicle_toml
from thawline.vehicle.check import check
from thawline.vehicle.read import read_vehicle_text


@pytest.fixture(scope="module")
def suggestion() -> Suggestion:
    return propose_from(morning.scene()[0])


def test_the_file_is_a_vehicle_file(suggestion):
    """It is read without error or warning, and every proposal stands in it as proposed."""
    vehicle = read_vehicle_text(vehicle_toml(suggestion, "Petrel"), "petrel.toml")
    assert vehicle.warnings == ()
    assert vehicle.name == "Petrel"
    assert vehicle.pack.usable_energy_kWh == pytest.approx(morning.ENERGY_KWH, rel=0.02)
    for one in suggestion.proposals:
        source = vehicle.signals[one.path]
        assert (source.from_, source.sign) == (one.from_, one.sign)
        assert (source.unit or "") == one.unit


def test_the_check_of_vehicle_files_passes(suggestion):
    """Most of a morning can be told from it."""
    vehicle = read_vehicle_text(vehicle_toml(suggestion, "Petrel"), "petrel.toml")
    verdicts = [one.verdict for one in check(vehicle, None, None).capabilities]
    assert verdicts.count("can") > 0.5 * len(verdicts)


def test_each_proposal_has_its_reasons_beside_it(suggestion):
    """Confidence, because and evidence stand as comments above the entry."""
    text = vehicle_toml(suggestion, "Petrel")
    for one in suggestion.proposals:
        above = text.split(f'[signals."{one.path}"]')[0].rsplit("\n\n", 1)[-1]
        assert f"# {one.confidence:.2f}: " in above
        assert above.count("# because") == len(one.because) >= 1


def test_what_was_not_found_is_said_loudly():
    """Without an energy a number stands in, so that the file can be read; the file says so."""
    text = vehicle_toml(Suggestion(()), "Gannet")
    assert "NOT FOUND" in text
    assert read_vehicle_text(text, "x.toml").pack.usable_energy_kWh == 60.0


def test_what_was_left_out_is_listed_up_to_a_point():
    """What comes near a path stands first."""
    left = tuple(LeftOut(f"M.S{i}", "nothing speaks for any path") for i in range(200))
    near = LeftOut("M.Near", "might be Speed (61%)", "Speed")
    text = vehicle_toml(Suggestion((), (*left, near)), "Gannet")
    assert text.index("M.Near") < text.index("M.S0:")
    assert "and 121 more" in text


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=30), st.text(max_size=30), st.text(max_size=60))
def test_any_name_and_any_reason_can_be_written(name, source, reason):
    """Quotes, breaks and signs in names from strange databases break nothing."""
    one = Proposal("Speed", source, "km/h", 1, 0.9, (reason,), (reason,))
    text = vehicle_toml(replace(Suggestion((one,)), left_out=(LeftOut(source, reason),)), name)
    try:
        data = tomllib.loads(text)
    except UnicodeError:
        pytest.fail("the text is not TOML")
    assert data["vehicle"]["name"] == name
    assert data["signals"]["Speed"]["from"] == source
