import numpy as np
import pytest

from thawline.signals.catalogue import find_signal
from thawline.suggest.candidate import Candidate
from thawline.suggest.naming import position_words, rules, tell_names

PACK = "Powertrain.TractionBattery."


def best(message, name, unit, comment="", values=(1.0, 2.0), **more):
    """The path that a name speaks for most."""
    one = Candidate(
        f"{message}.{name}", unit, np.array(values), words=(name, message, comment), **more
    )
    votes = sorted(tell_names([one]), key=lambda vote: -vote.weight)
    return votes[0].path if votes and votes[0].weight > 2.5 else None


@pytest.mark.parametrize(
    ("message", "name", "unit", "path"),
    [
        ("BMS_Status", "BMS_minCellTemp", "degC", f"{PACK}Temperature.Min"),
        ("BMS", "TempCellMax", "C", f"{PACK}Temperature.Max"),
        ("Batterie", "Zelltemperatur_Mittel", "°C", f"{PACK}Temperature.Average"),
        ("HVB_State", "HVB_Curr", "A", f"{PACK}CurrentCurrent"),
        ("Batt", "packCurrent", "A", f"{PACK}CurrentCurrent"),
        ("BMS", "SOC_displayed", "%", f"{PACK}StateOfCharge.Displayed"),
        ("Thermal", "coolantTempInlet", "degC", f"{PACK}Coolant.InletTemperature"),
        ("Thermo", "Kuehlmittel_Durchfluss", "l/min", f"{PACK}Coolant.Flow"),
        ("BMS", "maxRegenPower", "kW", f"{PACK}Limits.RegenerationPower"),
        ("BMS", "maxChargePower", "kW", f"{PACK}Limits.ChargePower"),
        ("OBC", "AC_Voltage_L2", "V", f"{PACK}Charging.ChargeVoltage.Phase2"),
        ("DU_Rear", "StatorTemp", "degC", "Powertrain.ElectricMotor.<Position>.Temperature"),
        ("Klima", "Innenraumtemperatur", "degC", "Cabin.HVAC.AmbientAirTemperature"),
        ("Body", "AmbientTemp", "degC", "Exterior.AirTemperature"),
        ("Body", "VehicleSpeed", "km/h", "Speed"),
        ("DCDC", "lowVoltage", "V", "LowVoltageBattery.CurrentVoltage"),
    ],
)
def test_names_as_the_trade_writes_them(message, name, unit, path):
    """Invented names in the usual manners of writing (common practice, no source)."""
    level = (12.5, 13.0) if path.startswith("LowVoltage") else (20.0, 21.0)
    assert best(message, name, unit, values=level) == path


def test_the_pack_voltage_needs_a_packs_level():
    """The same name at 12 V is not believed."""
    assert best("BMS", "packVoltage", "V", values=(350.0, 352.0)) == f"{PACK}CurrentVoltage"
    assert best("BMS", "packVoltage", "V", values=(12.0, 13.0)) != f"{PACK}CurrentVoltage"


def test_a_comment_helps_where_the_name_does_not():
    """The database's own words count nearly as much."""
    comment = "Temperature of the coldest cell of the traction battery"
    assert best("M1", "S001", "degC", comment) == f"{PACK}Temperature.Min"


def test_a_word_that_contradicts_speaks_against():
    """A limit is not a measured power, a target not a temperature."""
    one = Candidate(
        "Climate.CabinTempTarget",
        "degC",
        np.array([21.0]),
        words=("CabinTempTarget", "Climate", ""),
    )
    against = {v.path: v.weight for v in tell_names([one])}
    assert against["Cabin.HVAC.AmbientAirTemperature"] < -3.0
    assert against["Cabin.HVAC.TargetTemperature"] > 3.0


def test_names_that_say_nothing_give_no_vote():
    """S001 in M12 speaks for nothing, and against nothing."""
    one = Candidate("M12.S001", "degC", np.array([1.0, 2.0]), words=("S001", "M12", ""))
    assert [vote for vote in tell_names([one]) if abs(vote.weight) > 1.0] == []


def test_positions_come_from_the_name_or_the_message():
    """Front and rear, vorn and hinten."""
    made = [
        Candidate("DU_Front.T", "degC", np.zeros(2), words=("T", "DU_Front", "")),
        Candidate("EM.T_hinten", "degC", np.zeros(2), words=("T_hinten", "EM", "")),
        Candidate("EM.T", "degC", np.zeros(2), words=("T", "EM", "")),
    ]
    assert position_words(made) == {"DU_Front.T": "Front", "EM.T_hinten": "Rear"}


def test_every_rule_is_for_a_path_of_the_catalogue():
    """Rules name real paths, and no word in them is misspelt."""
    from thawline.suggest.naming import QUANTITIES
    from thawline.suggest.words import POSITIONS, _words

    known = {concept for found in _words().values() for concept in found}
    known |= set(POSITIONS) | set(QUANTITIES.values())
    for rule in rules():
        path = rule.path + "1" if rule.path.endswith(".Phase") else rule.path
        assert find_signal(path) is not None, rule.path
        words = frozenset().union(*rule.needs) | rule.helps | rule.forbids
        assert words <= known, (rule.path, words - known)
