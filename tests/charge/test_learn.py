"""What is learned from simulated mornings against the truth that made them."""

from __future__ import annotations

import numpy as np
import pytest

from tests.charge.proving import build, mornings, true_mOhm
from thawline.charge.learn import learn_cells
from thawline.charge.learned import Learned
from thawline.errors import RequestError


@pytest.fixture(scope="module")
def learned() -> Learned:
    return learn_cells(recording for _, recording in mornings())


@pytest.mark.parametrize("what", ["charging", "regeneration"])
def test_thresholds_within_half_a_kelvin(learned, what):
    """Where a limit leaves zero is found within 0.5 K, and within three of its uncertainties."""
    threshold = getattr(learned, what).threshold
    off = threshold.degC - getattr(build().limits, f"{what}_from_degC")
    assert abs(off) < 0.5
    assert abs(off) < 3.0 * threshold.plus_minus_K + 0.05
    assert threshold.openings == 3


@pytest.mark.parametrize("what", ["charging", "regeneration"])
def test_curves_within_ten_per_cent(learned, what):
    """Above 2 kW a learned curve is within 10 % of what truly is allowed."""
    curve = getattr(learned, what)
    allowed = getattr(build().limits, f"{what}_kW")
    truth = np.array([allowed(degC, 0.5) for degC in curve.degC.tolist()])
    large = truth > 2.0
    assert np.count_nonzero(large) > 20
    assert np.max(np.abs(curve.kW[large] / truth[large] - 1.0)) < 0.1
    assert curve.origin == "limit signal" and curve.against == "coldest cell"
    assert np.all(np.diff(curve.kW) >= 0.0)
    assert np.all(curve.low_kW <= curve.kW) and np.all(curve.kW <= curve.high_kW)


def test_resistance_within_five_per_cent_and_energy_within_two(learned):
    """At five temperatures within 5 %; the activation energy within 2 kJ/mol."""
    from thawline.physics.battery import arrhenius_factor

    curve = learned.resistance
    assert abs(curve.activation_kJ_per_mol - build().pack.activation_kJ_per_mol) < 2.0
    degC = np.array([-12.0, -8.0, -4.0, 0.0, 6.0])
    found = curve.mOhm * arrhenius_factor(degC, curve.activation_kJ_per_mol, curve.reference_degC)
    assert np.max(np.abs(found / true_mOhm(degC) - 1.0)) < 0.05
    assert curve.by_steps_mOhm == pytest.approx(curve.mOhm, rel=0.05)


def test_each_morning_tells_the_same_resistance(learned):
    """Of one car on four mornings there is no trend, and none is claimed."""
    curve = learned.resistance
    assert {row.recording_id for row in curve.mornings} >= {"proving-0", "proving-1", "proving-2"}
    assert abs(curve.trend_pct_per_year) < 3.0 * curve.trend_plus_minus


def test_capacity_within_two_per_cent(learned):
    """The morning that moves more than 20 % tells the capacity; the others do not."""
    truth = build().pack.capacity_C / 3600.0
    assert learned.capacity.recordings == 1
    assert learned.capacity.moved_pct > 20.0
    assert learned.capacity.Ah == pytest.approx(truth, rel=0.02)
    assert abs(learned.capacity.Ah - truth) < 3.0 * learned.capacity.plus_minus_Ah


def test_what_the_cold_hides(learned):
    """Points per kelvin within 10 %, and where they end within 1.5 K."""
    display = build().display
    assert learned.hidden.pct_per_K == pytest.approx(display.hidden_pct_per_K, rel=0.1)
    assert learned.hidden.none_from_degC == pytest.approx(display.none_from_degC, abs=1.5)
    assert np.all(np.diff(learned.hidden.hidden_pct) <= 0.0)


def test_voltage_at_rest(learned):
    """Within 0.5 % of the cells' own curve."""
    from thawline.simulator.cells import open_circuit_V

    curve, pack = learned.open_circuit, build().pack
    truth = [open_circuit_V(pack.chemistry, pct / 100.0) for pct in curve.charge_pct.tolist()]
    per_cell = curve.volts / pack.cells_in_series
    assert np.max(np.abs(per_cell / np.array(truth) - 1.0)) < 0.005


def test_one_cold_morning_cannot_tell_a_capacity():
    """Too little charge moves: the answer is that it cannot be told, with how much moved."""
    found = learn_cells([mornings()[0][1]]).capacity
    assert found.Ah is None
    assert found.note.startswith("cannot tell")
    assert found.moved_pct < 20.0


def test_nothing_to_learn_from():
    """No recordings are an error with a cure."""
    with pytest.raises(RequestError, match="Add a log"):
        learn_cells([])


@pytest.mark.slow
@pytest.mark.parametrize("seed", [901, 902, 903, 904, 905, 906])
def test_cars_that_nobody_has_seen(seed, tmp_path):
    """Six strange cars, four mornings each: thresholds, resistance, energy as promised."""
    from dataclasses import replace

    from tests.simulator.strange_mornings import strange
    from tests.strange_cars import _plugs, strange_car
    from thawline.recording.gather import gather
    from thawline.signals.database import read_database
    from thawline.simulator.run import simulate
    from thawline.simulator.write import write
    from thawline.vehicle.read import read_vehicle

    car, bus = strange_car(seed)
    phases, has_direct = _plugs(seed)
    recordings = []
    for k in range(4):
        scenario = strange(np.random.default_rng([seed, 9, k]), seed * 10 + k, phases, has_direct)
        written = write(simulate(car, replace(scenario, name=f"s{k}")), bus, tmp_path, 0.0)
        recordings.append(
            gather(
                [written.log], read_vehicle(written.vehicle_file), read_database([written.database])
            )
        )
    found = learn_cells(recordings)
    for what in ("charging", "regeneration"):
        curve = getattr(found, what)
        if curve is None or curve.threshold.degC is None or curve.against != "coldest cell":
            continue
        assert abs(curve.threshold.degC - getattr(car.limits, f"{what}_from_degC")) < 0.5
    curve = found.resistance
    if curve is not None and curve.activation_kJ_per_mol is not None:
        off = abs(curve.activation_kJ_per_mol - car.pack.activation_kJ_per_mol)
        assert off < max(2.0, 2.0 * curve.activation_plus_minus)
    if found.capacity.Ah is not None:
        assert found.capacity.Ah == pytest.approx(car.pack.capacity_C / 3600.0, rel=0.02)
