"""What supply and charger give where nobody tells."""

from dataclasses import replace

import numpy as np
import pytest

from thawline.forecast.ratings import draw_ceilings
from thawline.forecast.supply_now import SupplyNow

#: Nothing offered is known, no rating; 5.7 kW are drawn.
UNKNOWN = SupplyNow("there", 0.0, 600.0, None, 5.7, 0.9, 5.75, is_rated=False)


def drawn(supply: SupplyNow) -> np.ndarray:
    """Many ceilings."""
    found = draw_ceilings(supply, (4000,), np.random.default_rng(1))
    assert found is not None
    return found


def test_a_rating_and_an_offer_that_are_known_are_the_ceiling():
    """Nothing is drawn where all is told."""
    known = replace(UNKNOWN, ceiling_kW=7.4, is_rated=True)
    assert np.all(drawn(known) == 7.4)


def test_no_ceiling_lies_below_what_was_drawn():
    """What flowed steadily can flow; and what nobody tells may be more than that."""
    found = drawn(UNKNOWN)
    assert found.min() >= 5.75
    assert np.mean(found > 6.0) > 0.9
    assert found.max() <= 11.0


def test_an_unknown_charger_takes_no_more_than_is_offered():
    """An offer of 11 kW ends at a small charger on some cars, and is never exceeded."""
    found = drawn(replace(UNKNOWN, ceiling_kW=11.0))
    assert found.max() == 11.0
    assert 0.3 < np.mean(found < 8.0) < 0.7


def test_a_draw_of_a_usual_size_is_likely_to_be_all():
    """7.3 kW beside a usual 7.4 kW: most members take it for the ceiling."""
    near = drawn(replace(UNKNOWN, drawn_kW=7.3, most_seen_kW=7.3))
    far = drawn(replace(UNKNOWN, drawn_kW=8.3, most_seen_kW=8.3))
    assert np.mean(near == 7.3) > 0.7
    assert np.mean(far == 8.3) < 0.1


def test_nothing_is_drawn_without_a_supply_or_for_a_charger_outside():
    """Direct current from outside has no usual size here, and a lost supply shows nothing."""
    rng = np.random.default_rng(1)
    for other in (replace(UNKNOWN, is_outside=True), replace(UNKNOWN, state="lost")):
        assert draw_ceilings(other, (4,), rng) is None


def test_more_than_any_usual_size_is_its_own_ceiling():
    """A three-phase supply of 22 kW lies beyond the usual sizes of supplies."""
    found = drawn(replace(UNKNOWN, drawn_kW=21.0, most_seen_kW=21.0))
    assert found == pytest.approx(21.0)
