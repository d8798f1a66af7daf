"""Supplies that sag or fail."""

import numpy as np

from tests.findings.made import CHARGING, SOUND, kinds_of, looked, on
from tests.ledger.made import recording
from thawline.findings.find import find
from thawline.ledger.account import account
from thawline.recording.flows import make_flows
from thawline.recording.recording import Gap
from thawline.story.tell import tell

VOLTS = CHARGING + "ChargeVoltage.Phase1"


def test_a_drop_beyond_eight_percent_under_load_is_told():
    """NFPA 70 (informational notes of 210.19 and 215.2) advises 5 % in all; 11 % is too much."""
    found = looked({VOLTS: lambda t: 238.0 - 27.0 * on(t, 125.0)})
    assert "supply-sagging" in kinds_of(found)
    one = next(f for f in found.found if f.kind == "supply-sagging")
    assert abs(one.evidence[0].threshold - 238.0) < 3.0


def test_a_usual_drop_is_not():
    """Three per cent are usual."""
    assert "supply-sagging" not in kinds_of(looked({VOLTS: lambda t: 238.0 - 7.0 * on(t, 125.0)}))


def test_a_supply_that_fails_while_the_cable_stays_is_told():
    """Voltage gone for a minute with the cable connected is a cut."""
    away = {"from": 1500.0, "to": 1560.0}

    def live(t):
        return np.where((t > away["from"]) & (t < away["to"]), 0.0, 1.0) * on(t, 60.0)

    cable = CHARGING + "ChargingPort.Rear.IsChargingCableConnected"
    found = looked({
        VOLTS: lambda t: 235.0 * live(t), cable: lambda t: on(t, 60.0),
        CHARGING + "ChargeCurrent.Phase1": lambda t: 24.0 * live(t) * on(t, 120.0),
    })  # fmt: skip
    one = next(f for f in found.found if f.kind == "supply-cut")
    assert abs(one.from_s - 1500.0) < 5.0


def test_a_supply_that_is_gone_after_a_stretch_without_data_is_no_cut():
    """The cable may have gone with it: nobody recorded which."""
    cable = CHARGING + "ChargingPort.Rear.IsChargingCableConnected"
    gone = 1600.0
    values = {
        **SOUND, VOLTS: lambda t: 235.0 * on(t, 60.0) * (t < gone),
        cable: lambda t: on(t, 60.0) * (t < gone),
        CHARGING + "ChargeCurrent.Phase1": lambda t: 24.0 * on(t, 120.0) * (t < gone),
    }  # fmt: skip
    made = recording(values, gaps=(Gap(1500.0, 1800.0),))
    flows = make_flows(made)
    story = tell(made, flows)
    assert "supply-cut" not in kinds_of(find(made, flows, story, account(made, flows, story)))
