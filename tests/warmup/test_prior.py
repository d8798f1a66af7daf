"""What is believed before a morning."""

import numpy as np
import pytest

from thawline.vehicle.vehicle import Coolant, DriveUnits, Pack, Vehicle
from thawline.warmup.prior import Prior, prior_for, to_values, vehicle_belief
from thawline.warmup.structure import expected, smallest

BARE = Vehicle("Petrel", Pack(58.0))
STATED = Vehicle(
    "Gannet",
    Pack(72.0, heat_capacity_kJ_per_K=510.0, heat_loss_W_per_K=11.0),
    DriveUnits(count=2, heat_capacity_kJ_per_K=20.0),
    coolant=Coolant(volume_l=8.0),
)


def test_a_stated_value_outranks_the_usual_one_and_is_surer():
    """The vehicle file's capacities and losses are taken, in kJ/K and kW/K."""
    assert vehicle_belief("pack.heat_capacity", STATED)[0] == 510.0
    assert vehicle_belief("pack.loss", STATED)[0] == pytest.approx(0.011)
    assert vehicle_belief("metal.heat_capacity", STATED)[0] == 40.0
    assert vehicle_belief("coolant.heat_capacity", STATED)[0] == pytest.approx(8.0 * 3.4)
    for name in ("pack.heat_capacity", "pack.loss", "metal.heat_capacity"):
        assert vehicle_belief(name, STATED)[1] < vehicle_belief(name, BARE)[1]


def test_an_unmeasured_pack_lies_in_the_published_band():
    """2.5 to 8 kJ/K per kWh: a fitted lump of 2.9 (fastsim 3.1.0) and a weighed pack of 6.3."""
    middle, sigma = vehicle_belief("pack.heat_capacity", BARE)
    assert middle * np.exp(-sigma) > 2.5 * 58.0
    assert middle * np.exp(sigma) < 8.0 * 58.0
    assert middle * np.exp(2.0 * sigma) == pytest.approx(8.0 * 58.0, rel=0.02)


def test_a_recorded_flow_tells_what_the_coolant_carries():
    """10 l/min of half and half glycol at 0 °C: 1074.6 kg/m3 times 3202.9 J/(kg K) (CoolProp)."""
    middle, sigma = vehicle_belief("coolant.carries", BARE, has_flow=True)
    assert middle == pytest.approx(10.0 / 60.0 * 1.0746 * 3.2029, rel=0.02)
    assert sigma < vehicle_belief("coolant.carries", BARE)[1] / 3.0


def test_metal_and_coolant_as_one_lump_hold_both():
    """The lump's capacity is the sum of the two."""
    both = vehicle_belief("metal.heat_capacity", BARE)[0]
    both += vehicle_belief("coolant.heat_capacity", BARE)[0]
    assert vehicle_belief("hot.heat_capacity", BARE)[0] == pytest.approx(both)


def test_every_parameter_of_every_model_has_a_prior():
    """No model asks for a parameter of which nothing is believed."""
    for seen in (("coldest",), ("coolant", "bulk"), ("metal", "coolant", "bulk", "coldest")):
        structure = expected(smallest(seen, has_flow=True, heat="derived"))
        mean, covariance = prior_for(structure, BARE)
        assert len(mean) == len(structure.parameters)
        assert np.all(np.linalg.eigvalsh(covariance) > 0.0)
        found = to_values(structure.parameters, mean[None])
        assert all(value[0] > 0.0 for value in found.values())


def test_assumed_heat_is_less_sure_than_measured_heat():
    """The gain of the heat is as wide as its origin asks for."""
    widths = []
    for origin in ("measured", "derived", "assumed"):
        structure = smallest(("bulk",), has_flow=False, heat=origin)
        covariance = prior_for(structure, BARE)[1]
        i = structure.parameters.index("heat.gain")
        widths.append(covariance[i, i])
    assert widths == sorted(widths)
    assert widths[0] < widths[2] / 50.0


def test_earlier_mornings_outrank_the_vehicle_file():
    """Parameters that were learned replace those believed; others stay."""
    structure = smallest(("bulk",), has_flow=False, heat="measured")
    learned = Prior(
        ("pack.loss", "pack.heat_capacity"),
        np.log([0.02, 333.0]),
        np.array([[0.09, 0.01], [0.01, 0.0025]]),
        ("bulk",),
        3,
    )
    mean, covariance = prior_for(structure, STATED, learned)
    at = [structure.parameters.index(name) for name in learned.names]
    assert np.allclose(np.exp(mean[at]), [0.02, 333.0])
    assert np.allclose(covariance[np.ix_(at, at)], learned.covariance)
    untouched = structure.parameters.index("pack.resistance")
    assert covariance[untouched, untouched] == prior_for(structure, STATED)[1][untouched, untouched]
