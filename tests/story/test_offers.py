"""What the supply offers."""

import numpy as np
import pytest

from tests.story.mornings import CHARGING, Plan, gannet, scene
from thawline.story.offers import offer_unknown, read_offer
from thawline.vehicle.vehicle import Charger

SHORT = Plan(duration_s=400.0, drive_s=None)
AT = 300


@pytest.mark.parametrize(
    ("duty", "amps"), [(16.0, 9.6), (20.0, 12.0), (50.0, 30.0), (85.0, 51.0), (90.0, 65.0)]
)
def test_the_pilot_tells_the_offer(duty, amps):
    """Source: SAE J1772 and IEC 61851-1 Annex A, duty cycle against current offered."""
    here = scene(Plan(duration_s=400.0, drive_s=None, leave_out=("Offered",)), pilot=duty)
    offer = read_offer(here)
    assert offer.amps[AT] == pytest.approx(amps, abs=0.2)
    assert offer.supply_kW[AT] == pytest.approx(amps * 208.0 / 1e3, rel=0.02)
    assert CHARGING + "PilotDutyCycle" in offer.signals


def test_24_A_at_208_V_is_5_kW():
    """Common practice, no source: 208 V at 24 A is 5 kW."""
    offer = read_offer(scene(SHORT))
    assert offer.ceiling_kW(AT) == (pytest.approx(4.99, abs=0.05), "supply")
    assert offer.wording(AT) == "24 A at 208 V, 5.0 kW"
    assert offer.ceiling_kW(50) is None and offer.terms(50) == "" and offer.wording(50) is None


def test_the_smallest_of_all_offers_counts():
    """A pilot of 12 A under an offer of 24 A leaves 12 A."""
    assert read_offer(scene(SHORT, pilot=20.0)).amps[AT] == pytest.approx(12.0, abs=0.1)


def test_the_chargers_rating_may_be_the_ceiling():
    """A charger of 3.7 kW sets the ceiling on a supply of 5 kW."""
    offer = read_offer(scene(SHORT, gannet(charger=Charger(rated_kW=3.7))))
    assert offer.ceiling_kW(AT) == (3.7, "charger-rating")


def test_phases_in_use_are_counted():
    """Two phases with current offer twice as much."""
    offer = read_offer(scene(SHORT, volts_2=208.0, amps_2=10.0))
    assert offer.phases == 2
    assert offer.ceiling_kW(AT)[0] == pytest.approx(9.98, abs=0.1)
    assert offer.terms(AT).endswith("on 2 phases")


def test_the_cars_rating_does_not_bind_direct_current():
    """A charger outside is not limited by the charger in the car."""
    plan = Plan(duration_s=400.0, drive_s=None, leave_out=("Phase1", "Offered"))
    here = scene(plan, direct_volts=390.0, direct_amps=100.0, direct_most=200.0)
    offer = read_offer(here)
    assert offer.outside.all()
    assert offer.ceiling_kW(AT) == (pytest.approx(78.0, abs=1.0), "supply")


def test_what_is_unknown_names_its_cure():
    """Without voltage and current the offer is unknown, and says what would tell it."""
    plan = Plan(duration_s=400.0, drive_s=None, leave_out=("Voltage", "Offered"))
    offer = read_offer(scene(plan))
    assert offer.supply_kW is None and offer.volts is None
    assert "OfferedCurrent" in offer_unknown(offer) and "ChargeVoltage" in offer_unknown(offer)
    assert np.isnan(read_offer(scene(SHORT)).supply_kW[50])
