"""Learning across mornings."""

from dataclasses import replace

import numpy as np
import pytest

from tests.warmup.linear_car import Truth, record
from thawline.warmup.fit import fit
from thawline.warmup.mornings import prior_from


def widths(prior, name="pack.heat_capacity"):
    return float(np.sqrt(prior.covariance[prior.names.index(name), prior.names.index(name)]))


def test_no_mornings_teach_nothing():
    """Without earlier mornings there is no prior."""
    assert prior_from([]) is None


def test_mornings_sharpen_what_they_agree_on():
    """Three mornings know the capacity better than one, and near its truth."""
    fits = [fit(*record(Truth(start_degC=-12.0 + 3.0 * k), k)) for k in range(3)]
    one, three = prior_from(fits[:1]), prior_from(fits)
    assert widths(three) < widths(one)
    for prior in (one, three):
        i = prior.names.index("pack.heat_capacity")
        assert abs(prior.mean[i] - np.log(450.0)) < 3.0 * widths(prior)
    assert three.mornings == 3
    assert {"metal", "coolant", "coldest"} <= set(three.lumps)
    assert np.all(np.linalg.eigvalsh(three.covariance) > 0.0)


def test_a_morning_without_readings_changes_nothing():
    """What was a prior all along is not counted as knowledge."""
    empty = fit(*record(Truth(), 3), until_s=60.0)
    prior = prior_from([empty, empty, empty])
    for name, mean, variance in zip(
        empty.pack.names, empty.pack.prior_mean, np.diag(empty.pack.prior_covariance), strict=True
    ):
        i = prior.names.index(name)
        if not name.startswith("noise") and name != "coldest.lag":  # a soaked car hints at it
            assert abs(prior.mean[i] - mean) < 0.2 * np.sqrt(variance)
            assert prior.covariance[i, i] > 0.6 * variance


def test_a_prior_that_was_used_is_taken_out_again():
    """Learning in a chain is learning from each morning once."""
    first, second = record(Truth(), 4), record(Truth(start_degC=-9.0), 5)
    alone = [fit(*first), fit(*second)]
    chained = [alone[0], fit(*second, prior_from(alone[:1]))]
    together, chain = prior_from(alone), prior_from(chained)
    i = together.names.index("pack.heat_capacity")
    assert abs(together.mean[i] - chain.mean[i]) < widths(together)
    assert widths(chain) > 0.6 * widths(together)


def test_a_prior_helps_the_next_morning():
    """After eight minutes of heat the capacity is nearer to the truth than without it."""
    prior = prior_from([fit(*record(Truth(start_degC=-8.0), 6))])
    today = record(replace(Truth(), start_degC=-15.0), 7)
    bare, taught = fit(*today, until_s=600.0), fit(*today, prior, 600.0)
    off = [abs(np.log(found.parameters[0].value / 450.0)) for found in (bare, taught)]
    assert off[1] < off[0] + 0.02
    assert taught.pack.covariance[0, 0] < 0.5 * bare.pack.covariance[0, 0]


def test_mornings_that_contradict_each_other_leave_the_next_one_open():
    """Capacities of 330 and 600 kJ/K: between the two, and far wider than where they agree."""
    unlike = [fit(*record(Truth(capacity=c), k)) for k, c in enumerate((330.0, 600.0))]
    alike = [fit(*record(Truth(), k)) for k in range(2)]
    apart, together = prior_from(unlike), prior_from(alike)
    i = apart.names.index("pack.heat_capacity")
    assert np.log(300.0) < apart.mean[i] < np.log(660.0)
    assert widths(apart) > 2.0 * widths(together)


def test_a_morning_unlike_the_earlier_ones_is_believed():
    """A car that was changed is fitted as it is, not as it was: within 15 % of its capacity."""
    prior = prior_from([fit(*record(Truth(capacity=700.0), k)) for k in range(2)])
    today = fit(*record(Truth(capacity=380.0), 9), prior)
    assert today.parameters[0].value == pytest.approx(380.0, rel=0.15)
