"""What a fit says of itself."""

from dataclasses import replace

from tests.warmup.linear_car import Truth, record
from thawline.warmup.fit import fit


def test_a_good_fit_says_so():
    """A car that the model fits settles, and what is left is random."""
    verdict = fit(*record(Truth(), 1)).verdict
    assert verdict.converged
    assert verdict.is_white
    assert verdict.whiteness is not None
    assert verdict.at_bound == ()
    assert "settled" in verdict.sentence
    assert "pack.resistance" in verdict.cannot_tell  # no current flows


def test_a_car_that_the_model_lacks_is_told_from_noise():
    """Heat that comes and goes unseen leaves surprises that are not random, and wider answers."""
    recording, flows, story = record(Truth(), 2)
    path = "Powertrain.TractionBattery.Temperature.Average"
    channel = recording.channels[path]
    swing = 0.6 * ((channel.t // 200.0) % 2.0)
    changed = replace(channel, values=channel.values + swing)
    other = replace(recording, channels={**recording.channels, path: changed})
    good, bad = fit(recording, flows, story), fit(other, flows, story)
    assert bad.verdict.is_white is False
    assert "not random" in bad.verdict.sentence
    assert bad.pack.covariance[0, 0] > good.pack.covariance[0, 0]


def test_a_capacity_that_is_out_of_all_measure_is_called_a_bound():
    """A pack stated at a quarter of its heat capacity lands far from what was believed."""
    recording, flows, story = record(Truth(), 3)
    pack = replace(recording.vehicle.pack, heat_capacity_kJ_per_K=110.0)
    wrong = replace(recording, vehicle=replace(recording.vehicle, pack=pack))
    verdict = fit(wrong, flows, story).verdict
    assert "pack.heat_capacity" in verdict.at_bound
    assert any("heat capacity is far from" in text for text in verdict.warnings)
