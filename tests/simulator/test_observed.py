"""What the car's computers could know."""

import numpy as np
import pytest

from tests.simulator.made import CHARGING, demo_morning, gannet, plain
from thawline.signals.catalogue import find_signal
from thawline.simulator.charger import Supply
from thawline.simulator.observed import state_paths
from thawline.simulator.run import simulate


@pytest.mark.parametrize("name", ["gannet-quay", "petrel-ferry", "gannet-battery"])
def test_every_path_is_in_the_catalogue_and_every_value_possible(name):
    """Names are those of the catalogue, values lie in its ranges, states are 0 or 1."""
    for path, values in demo_morning(name).values.items():
        known = find_signal(path)
        assert known is not None, path
        assert np.all(np.isfinite(values)), path
        assert values.min() >= known.low and values.max() <= known.high, path
        assert not known.is_state or set(np.unique(values)) <= {0.0, 1.0}, path
        assert known.is_state == (path in state_paths() or path.endswith("CableConnected"))


@pytest.mark.parametrize("phases", [1, 3])
def test_phases_add_up_to_the_supply(phases):
    """Current times voltage over all phases is the power that is taken."""
    supply = Supply(230.0, 16.0, phases)
    morning = simulate(gannet(), plain(supply=supply, duration_s=200.0))
    power = sum(
        morning.values[f"{CHARGING}ChargeCurrent.Phase{i + 1}"]
        * morning.values[f"{CHARGING}ChargeVoltage.Phase{i + 1}"]
        for i in range(phases)
    )
    assert power == pytest.approx(morning.powers["supply"])
    assert f"{CHARGING}ChargeCurrent.Phase{phases + 1}" not in morning.values


def test_an_outside_charger_gives_direct_current_at_the_pack_s_voltage():
    """Direct current comes at about the pack's voltage, past the charger in the car."""
    warm = plain(supply=Supply(400.0, 60.0, is_direct=True), duration_s=400.0, soak_degC=5.0)
    morning = simulate(gannet(), warm)
    volts = morning.values[f"{CHARGING}ChargeVoltage.DC"][-1]
    pack = morning.values["Powertrain.TractionBattery.CurrentVoltage"][-1]
    assert volts == pytest.approx(pack, rel=0.03)
    assert morning.values[f"{CHARGING}OutputPower"].max() == 0.0
    assert morning.truth.electrical["charger-loss"] == 0.0
    assert morning.truth.electrical["pack-in"] > 0.3


def test_the_display_hides_what_the_cold_hides():
    """Displayed is physical charge less what is hidden, and never more."""
    morning = demo_morning("gannet-quay")
    battery = "Powertrain.TractionBattery.StateOfCharge."
    hidden = morning.values[battery + "Current"] - morning.values[battery + "Displayed"]
    assert np.all(hidden >= 0.0)
    assert hidden[0] > 4.0 and hidden[-1] == pytest.approx(0.0, abs=0.3)
