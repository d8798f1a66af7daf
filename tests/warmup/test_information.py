"""What a recording can tell, by its Fisher information."""

import numpy as np
import pytest

from tests.warmup.linear_car import Truth, record
from thawline.warmup.fit import fit
from thawline.warmup.information import scale_direction, scale_told, told, weak_directions


def test_told_is_the_share_of_variance_that_went():
    """One reading as sure as the prior takes half of its variance (Bayes for Gaussians)."""
    assert told(np.eye(1) * 4.0, np.eye(1) * 0.25)[0] == pytest.approx(0.5)
    assert told(np.zeros((2, 2)), np.eye(2)) == pytest.approx([0.0, 0.0])


def test_a_blind_direction_is_found():
    """Readings of a sum say nothing of the difference."""
    values, vectors = weak_directions(np.array([[9.0, 9.0], [9.0, 9.0]]), np.eye(2))
    assert values == pytest.approx([0.0, 18.0])
    assert abs(vectors[:, 0] @ [1.0, 1.0]) < 1e-9


def test_constant_power_alone_tells_ratios_only():
    """P/C and UA/C, not P, C and UA: known heat or a cool-down is needed (facts of the model)."""
    warming = fit(*record(Truth(heats_s=(120.0, 2400.0), duration_s=2400.0), 3))
    names, information = warming.pack.names, warming.pack.information
    i, j = names.index("pack.heat_capacity"), names.index("heat.gain")
    assert information[i, i] > 100.0
    assert scale_told(names, information) < 0.01
    along = np.zeros(len(names))
    along[i], along[j] = 1.0, -1.0
    assert along @ information @ along > 100.0
    assert "P/C and UA/C" in warming.verdict.blind_spot
    assert warming.parameters[j].told < 0.3


def test_scale_leaves_temperatures_and_times_alone():
    """Heat, capacities and conductances grow together; lags and ratios do not."""
    names = ("pack.heat_capacity", "coldest.lag", "pack.fade", "coolant.carries", "heat.gain")
    assert scale_direction(names).tolist() == [1.0, 0.0, 0.0, 1.0, 1.0]
