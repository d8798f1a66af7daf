"""What a coarse thermometer tells."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thawline.warmup.edges import dithers, edges, step_of


@settings(max_examples=30, deadline=None)
@given(st.sampled_from([0.25, 0.5, 1.0]), st.floats(0.003, 0.03), st.floats(-20.0, 5.0))
def test_edges_lie_on_the_true_temperature(step, rate, start):
    """At each change of the reading of a steady rise the temperature is what the edge says."""
    t = np.arange(0.0, 1500.0)
    true = start + rate * t
    found = edges(t, np.round(true / step) * step, step)
    assert len(found) >= int(rate * 1500.0 / step) - 1
    for edge in found:
        assert abs(np.interp(edge.t_s, t, true) - edge.degC) < rate + 1e-9
        assert abs(np.interp(edge.t_s, t, true) - edge.degC) < 3.0 * edge.sd_K


def test_noise_about_an_edge_is_one_passage():
    """Readings that go to and fro count once, near where the temperature passed."""
    rng = np.random.default_rng(3)
    t = np.arange(0.0, 1200.0)
    true = -8.0 + 0.005 * t
    found = edges(t, np.round(true + rng.normal(0.0, 0.08, len(t))), 1.0)
    assert [edge.degC for edge in found] == [-7.5, -6.5, -5.5, -4.5, -3.5, -2.5]
    for edge in found:
        assert abs(np.interp(edge.t_s, t, true) - edge.degC) < 0.08


def test_a_steady_reading_has_no_edges():
    """Nothing changes, nothing is told."""
    assert edges(np.arange(50.0), np.full(50, -7.0), 1.0) == ()


def test_a_jump_over_several_steps_tells_less():
    """After a silence the edge is as wide as the jump."""
    found = edges(np.array([0.0, 1.0, 300.0]), np.array([-9.0, -9.0, -5.0]), 1.0)
    assert len(found) == 1
    assert found[0].sd_K > 1.0


@pytest.mark.parametrize(
    ("values", "step"),
    [
        ([-7.0, -7.0, -7.0], 1.0),
        ([-7.5, -7.5], 0.5),
        ([-7.0, -6.0, -5.0, -4.0], 1.0),
        ([-7.0, -6.5, -6.0, -5.5], 0.5),
        (list(np.round(np.linspace(-9, 3, 200), 1)), 0.1),
        (list((np.arange(10) * 5.0 - 40.0) / 9.0), 5.0 / 9.0),
    ],
)
def test_steps_are_found_the_coarser_in_doubt(values, step):
    """One level tells the largest step that it fits; several tell their difference."""
    assert step_of(np.array(values)) == pytest.approx(step, abs=1e-6)


def test_smooth_values_have_no_step():
    """Values without a grid are not rounded."""
    assert step_of(np.cumsum(np.random.default_rng(1).normal(0.0, 0.01, 500))) == 0.0


def test_dither_is_told_from_a_clean_rise():
    """Noise as large as the step makes readings turn back all the time."""
    rng = np.random.default_rng(2)
    t = np.arange(0.0, 600.0)
    true = -8.0 + 0.005 * t
    assert dithers(np.round(true + rng.normal(0.0, 0.5, len(t))))
    assert not dithers(np.round(true))
    assert not dithers(np.round(true[:10]))
