"""The powers of the car, from whatever tells them."""

import numpy as np
import pytest

from thawline.quantities import Accuracy
from thawline.recording.flows import make_flows
from thawline.recording.recording import Channel, Gap, Recording
from thawline.vehicle.vehicle import DriveUnits, Pack, Vehicle

B = "Powertrain.TractionBattery."
C = B + "Charging."
UNITS = {"Current": "A", "Voltage": "V", "Phase1": "", "Power": "W"}


def constant(path, value, unit, accuracy=None, step=0.0, n=600):
    t = np.arange(n) * 0.1
    return Channel(
        path, unit, t, np.full(n, float(value)), accuracy=accuracy, resolution=step, period_s=0.1
    )


def recording(*channels, cells=None, units=None, gaps=()):
    vehicle = Vehicle("Gannet", Pack(72.0, cells), DriveUnits(units))
    return Recording("r", vehicle, 0.0, 60.0, {c.path: c for c in channels}, gaps)


def mains(amps, volts, phase=1, **more):
    return (
        constant(f"{C}ChargeCurrent.Phase{phase}", amps, "A", **more),
        constant(f"{C}ChargeVoltage.Phase{phase}", volts, "V"),
    )


def test_208_volts_at_24_amps_is_five_kilowatts():
    """Common practice, no source: 208 V at 24 A is 5 kW (4.992 exactly)."""
    flows = make_flows(recording(*mains(24.0, 208.0)))
    assert flows.flows["supply"].kW == pytest.approx(np.full(60, 4.992))


def test_three_phases_add_up():
    """Three phases of 230 V and 16 A are 11.04 kW."""
    channels = [c for phase in (1, 2, 3) for c in mains(16.0, 230.0, phase)]
    assert make_flows(recording(*channels)).flows["supply"].kW[5] == pytest.approx(11.04)


def test_the_chargers_loss_is_the_difference_or_gives_the_output():
    """Of supply, output and loss, any two give the third, with its origin told."""
    output = constant(C + "OutputPower", 4.6, "kW")
    flows = make_flows(recording(*mains(24.0, 208.0), output)).flows
    assert flows["charger-loss"].kW[3] == pytest.approx(0.392)
    assert flows["charger-loss"].origin == "derived"
    loss = constant(C + "PowerLoss", 392.0, "W")
    flows = make_flows(recording(*mains(24.0, 208.0), loss)).flows
    assert flows["charger-output"].kW[3] == pytest.approx(4.6)
    assert flows["charger-loss"].origin == "measured"


def test_direct_current_from_outside_has_no_loss_in_the_car():
    """At the inlet direct current is supply and charger output in one."""
    flows = make_flows(
        recording(
            constant(C + "ChargeCurrent.DC", 100, "A"), constant(C + "ChargeVoltage.DC", 400, "V")
        )
    ).flows
    assert flows["supply"].kW[0] == pytest.approx(40.0)
    assert flows["charger-output"].kW[0] == pytest.approx(40.0)
    assert flows["charger-loss"].kW[0] == 0.0


def test_direct_current_from_outside_loses_nothing_though_the_cars_charger_reports_zero():
    """A car with both inlets: its own charger's zero output is no loss of 40 kW."""
    flows = make_flows(
        recording(
            *mains(0.0, 0.0),
            constant(C + "ChargeCurrent.DC", 100, "A"),
            constant(C + "ChargeVoltage.DC", 400, "V"),
            constant(C + "OutputPower", 0.0, "kW"),
        )
    ).flows
    assert flows["supply"].kW[3] == pytest.approx(40.0)
    assert flows["charger-output"].kW[3] == pytest.approx(40.0)
    assert flows["charger-loss"].kW[3] == 0.0


def test_a_supply_of_which_only_direct_current_is_mapped_is_not_nothing():
    """Fed with alternating current that nothing shows: the supply is lost, the output is not."""
    made = make_flows(
        recording(
            constant(C + "ChargeCurrent.DC", 0.0, "A"),
            constant(C + "ChargeVoltage.DC", 400, "V"),
            constant(C + "OutputPower", 4.6, "kW"),
        )
    )
    assert made.flows["charger-output"].kW[3] == pytest.approx(4.6)
    assert "supply" not in made.flows and "charger-loss" not in made.flows
    assert "ChargeCurrent.Phase1" in made.lost["supply"]


def test_pack_power_from_whatever_there_is():
    """Current times voltage, else the power signal, else cells in series."""
    amps = constant(B + "CurrentCurrent", -10.0, "A")
    volts = constant(B + "CurrentVoltage", 350.0, "V")
    watts = constant(B + "CurrentPower", -3400.0, "W")
    cell = constant(B + "CellVoltage.Min", 3.2, "V")
    assert make_flows(recording(amps, volts, watts)).flows["pack"].kW[0] == pytest.approx(-3.5)
    assert make_flows(recording(amps, watts)).flows["pack"].kW[0] == pytest.approx(-3.4)
    derived = make_flows(recording(amps, cell, cells=108)).flows["pack"]
    assert derived.kW[0] == pytest.approx(-3.456) and derived.origin == "derived"
    assert "pack" in make_flows(recording(amps)).lost


def test_heating_adds_the_drive_units_and_says_when_one_is_not_recorded():
    """Two units of 3.4 kW make 6.8; one of two is said to be one of two."""
    front = constant("Powertrain.ElectricMotor.Front.StandstillHeat", 3.4, "kW")
    rear = constant("Powertrain.ElectricMotor.Rear.StandstillHeat", 3.4, "kW")
    both = make_flows(recording(front, rear, units=2))
    assert both.flows["drive-unit-heating"].kW[0] == pytest.approx(6.8)
    assert "drive-unit-heating" not in both.lost
    assert "1 of 2" in make_flows(recording(front, units=2)).lost["drive-unit-heating"]


def test_cabin_heating_adds_all_heaters_and_the_compressor():
    """Footwell 1.5 kW, glass 0.5 kW, compressor 0.8 kW."""
    flows = make_flows(
        recording(
            constant("Cabin.HVAC.Heater.Footwell.Power", 1500, "W"),
            constant("Cabin.HVAC.Heater.Glass.Power", 500, "W"),
            constant("Cabin.HVAC.Compressor.Power", 800, "W"),
        )
    ).flows
    assert flows["cabin-heating"].kW[0] == pytest.approx(2.8)


def test_driving_counts_only_when_the_car_moves():
    """Power shown at standstill is not driving."""
    t = np.arange(600) * 0.1
    speed = Channel("Speed", "km/h", t, np.where(t < 30, 0.0, 50.0), period_s=0.1)
    power = constant("Powertrain.ElectricMotor.Power", 12.0, "kW")
    kW = make_flows(recording(speed, power)).flows["driving"].kW
    assert kW[:29].tolist() == [0.0] * 29 and kW[31:] == pytest.approx(np.full(29, 12.0))


def test_uncertainty_comes_from_accuracy_and_step():
    """One per cent of 24 A and a step of 0.1 A, on an exact voltage."""
    flows = make_flows(recording(*mains(24.0, 208.0, accuracy=Accuracy(0.0, 0.01), step=0.1)))
    wanted = np.hypot(0.24, 0.1 / np.sqrt(12)) * 0.208
    assert flows.flows["supply"].sigma_kW[0] == pytest.approx(wanted)


def test_where_nothing_was_recorded_nothing_is_known():
    """A gap is NaN in every power."""
    flows = make_flows(recording(*mains(24.0, 208.0), gaps=(Gap(20.0, 40.0),)))
    assert np.isnan(flows.flows["supply"].kW[20:40]).all()
    assert np.isfinite(flows.flows["supply"].kW[:20]).all()


def test_an_unplugged_car_takes_nothing_though_its_charger_is_silent():
    """The charger's messages may cease with the cable gone: that is zero, not unknown."""
    t = np.arange(300) * 0.1
    amps = Channel(C + "ChargeCurrent.Phase1", "A", t, np.full(300, 24.0), period_s=0.1)
    volts = Channel(C + "ChargeVoltage.Phase1", "V", t, np.full(300, 208.0), period_s=0.1)
    cable = Channel(
        C + "ChargingPort.Any.IsChargingCableConnected",
        "",
        np.arange(60.0),
        (np.arange(60.0) < 30).astype(float),
        is_state=True,
        period_s=1.0,
    )
    kW = make_flows(recording(amps, volts, cable)).flows["supply"].kW
    assert kW[5] == pytest.approx(4.992) and kW[40:].tolist() == [0.0] * 20


def test_the_coolant_at_the_motor_is_no_position():
    """A branch that the catalogue names itself is not one of the drive units."""
    from thawline.recording.powers import paths_like

    kept = recording(
        constant("Powertrain.ElectricMotor.Front.Temperature", 20.0, "degC"),
        constant("Powertrain.ElectricMotor.EngineCoolant.Temperature", 5.0, "degC"),
        *mains(24.0, 208.0),
    )
    motor = "Powertrain.ElectricMotor."
    assert paths_like(kept, motor, ".Temperature") == [f"{motor}Front.Temperature"]
    assert paths_like(kept, C + "ChargeCurrent.Phase", "") == [C + "ChargeCurrent.Phase1"]
