"""What supply and charger give where nobody tells."""

from dataclasses import replace

import numpy as np
import pytest

from thawline.forecast.allowed import TemperatureLimit
from thawline.forecast.ratings import draw_ceilings, reconcile
from thawline.forecast.supply_now import SupplyNow

#: Nothing offered is known, no rating; 5.7 kW are drawn.
UNKNOWN = SupplyNow("there", 0.0, 600.0, None, 5.7, 0.9, 5.75, is_rated=False)


def drawn(supply: SupplyNow) -> np.ndarray:
    """Many ceilings."""
    found = draw_ceilings(supply, None, (4000,), np.random.default_rng(1))
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
        assert draw_ceilings(other, None, (4,), rng) is None


def test_more_than_any_usual_size_is_its_own_ceiling():
    """A three-phase supply of 22 kW lies beyond the usual sizes of supplies."""
    found = drawn(replace(UNKNOWN, drawn_kW=21.0, most_seen_kW=21.0))
    assert found == pytest.approx(21.0)


def test_a_supply_mostly_gives_what_it_gave_on_earlier_mornings():
    """Charging that was steady at 6.6 kW before stands for what nobody tells today."""
    found = draw_ceilings(UNKNOWN, 6.6, (4000,), np.random.default_rng(1))
    assert np.mean(found == 6.6) > 0.8
    smaller = draw_ceilings(UNKNOWN, 3.7, (4000,), np.random.default_rng(1))
    assert smaller.min() >= 5.75  # more flows already


LIMIT = TemperatureLimit(0.3, 0.5, (0.0, 1.0), (0.0, 2.0), 0.5, "common practice")


def mended(coldest_degC: float, supply: SupplyNow, room_kW: float = 4.0):
    """Members whose threshold is 0.3 °C and whose supply could give 11 kW."""
    shape = (100, 40)
    full = np.full(shape, 1.0)
    return reconcile(
        supply, LIMIT, room_kW * full, coldest_degC * full, 0.3 * full, 11.0 * full,
        np.random.default_rng(2),
    )  # fmt: skip


def test_far_above_the_threshold_a_supply_without_charging_gives_no_more():
    """At 6 °C nobody believes in a threshold above; where ceilings are unknown they are full."""
    begin, ceiling = mended(6.0, UNKNOWN)
    assert np.mean(ceiling == 5.7) > 0.8
    assert np.all((ceiling == 5.7) | (begin > 6.0))


def test_just_above_the_threshold_a_known_supply_speaks_for_a_later_one():
    """A rating that is known is believed before a threshold that is usual."""
    known = replace(UNKNOWN, ceiling_kW=11.0, is_rated=True)
    begin, ceiling = mended(0.9, known)
    assert np.mean(begin > 0.9) > np.mean(ceiling < 11.0)


def test_nothing_is_mended_below_the_threshold_or_without_room():
    """No contradiction, no change."""
    for begin, ceiling in (mended(-1.0, UNKNOWN), mended(6.0, UNKNOWN, room_kW=0.2)):
        assert np.all(begin == 0.3)
        assert np.all(ceiling == 11.0)
