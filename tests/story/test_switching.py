"""When a power is on."""

import numpy as np
import pytest

from tests.story.mornings import Plan, Sensor, scene
from thawline.recording.flows import Flow
from thawline.recording.recording import Gap
from thawline.story.onset import Band
from thawline.story.scene import Scene
from thawline.story.stretch import Edge, Stretch
from thawline.story.stretches import Rule
from thawline.story.switching import (
    band_of,
    on_stretches,
    power_band,
    rule_of,
    signal_band,
    spans_of,
)

PLAN = Plan(duration_s=600.0, cabin_s=None, drive_s=None)
T = np.arange(600) + 0.5


def test_thresholds_stand_above_noise_steps_and_offset():
    """The on threshold is the largest of what makes sense."""
    rng = np.random.default_rng(1)
    quiet = np.zeros(600)
    assert band_of(quiet, 0.15, 0.0, 0.0, 1.0).on_above == 0.15
    assert band_of(quiet, 0.15, 0.5, 0.0, 1.0).on_above == pytest.approx(0.3)
    assert band_of(quiet, 0.15, 0.0, 0.2, 1.0).on_above == pytest.approx(0.4)
    noisy = band_of(rng.normal(0.0, 0.1, 600), 0.15, 0.0, 0.0, 1.0)
    assert noisy.on_above == pytest.approx(0.4, rel=0.25) and noisy.spacing == 0.0


def test_dithering_counts_as_noise():
    """A regulated power that sways with a period of ten seconds widens the noise band."""
    sway = 0.1 * np.sin(2.0 * np.pi * T / 10.0)
    assert band_of(sway, 0.15, 0.0, 0.0, 1.0).quiet > 0.08


def test_a_powers_step_comes_from_its_signals():
    """A current in steps of 1 A at 380 V shows steps of 0.38 kW."""
    here = scene(Plan(**{**PLAN.__dict__, "sensors": {"CurrentCurrent": Sensor(0.1, 1.0, 0.0)}}))
    band = power_band(here, here.flow("pack"), 0.15)
    assert band.on_above == pytest.approx(0.6 * 0.38, rel=0.1)


def test_a_heater_in_pulses_is_one_stretch():
    """Pulses of 36 s in 60 s are one stretch with the true begin (common practice)."""
    on = (T > 100.0) & (T < 500.0) & ((T - 100.0) % 60.0 < 36.0)
    values = np.where(on, 3.4, 0.0)
    here = scene(PLAN)
    (one,) = on_stretches(here, values, Band(0.15, 0.06, 0.05, 1.0, 0.1), rule_of("heating"))
    assert one.begins.t_s == pytest.approx(100.0, abs=1.0)
    assert one.ends.t_s == pytest.approx(496.0, abs=1.5)


def test_a_signals_band_has_its_step():
    """The coolant's threshold stands at half a litre a minute."""
    here = scene(PLAN)
    band = signal_band(here, "Powertrain.TractionBattery.Coolant.Flow", 0.5)
    assert band.on_above >= 0.5 and band.period_s == 1.0


def test_spans_are_cut_where_nothing_was_recorded():
    """A span does not run through a gap; its level is the mean of each part."""
    here = scene(PLAN)
    gapped = Scene(
        type(here.recording)(
            "x", here.recording.vehicle, 0.0, 600.0, here.recording.channels, (Gap(200.0, 300.0),)
        ),
        here.flows,
        here.signals,
    )
    stretch = Stretch(100, 399, Edge(100.0, 0.3), None)
    values = np.where(T < 250.0, 1.0, 3.0)
    one, other = spans_of(gapped, "charging", stretch, values, "On.")
    assert (one.from_s, one.to_s) == (100.0, 200.0) and one.level == pytest.approx(1.0)
    assert (other.from_s, other.to_s) == (300.0, 400.0) and other.level == pytest.approx(3.0)


def test_spans_are_cut_where_their_signal_is_silent():
    """A lane says nothing where its own signal is unknown for long."""
    values = np.where((T > 200.0) & (T < 260.0), np.nan, 1.0)
    parts = spans_of(scene(PLAN), "charging", Stretch(100, 399, None, None), values, "On.")
    assert [(p.from_s, p.to_s) for p in parts] == [(100.0, 200.0), (260.0, 400.0)]


def test_rules_come_from_the_table():
    """Hold times of a lane are its rows."""
    assert rule_of("drive") == Rule(3.0, 120.0, 5.0)
    assert Flow(T, T, ()).origin == "measured"
