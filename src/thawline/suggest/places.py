"""Paths that the suggestion fills, as the catalogue has them."""

from __future__ import annotations

PACK = "Powertrain.TractionBattery."
CHARGING = f"{PACK}Charging."
MOTOR = "Powertrain.ElectricMotor."
CABIN = "Cabin.HVAC."

COLDEST, WARMEST, MEAN = (f"{PACK}Temperature.{end}" for end in ("Min", "Max", "Average"))
VOLTAGE, CURRENT, POWER = (f"{PACK}Current{end}" for end in ("Voltage", "Current", "Power"))
PHYSICAL, DISPLAYED = f"{PACK}StateOfCharge.Current", f"{PACK}StateOfCharge.Displayed"
CELL_LOW, CELL_HIGH = f"{PACK}CellVoltage.Min", f"{PACK}CellVoltage.Max"
INLET, OUTLET = f"{PACK}Coolant.InletTemperature", f"{PACK}Coolant.OutletTemperature"
FLOW, PACK_HEATER = f"{PACK}Coolant.Flow", f"{PACK}Heater.Power"
CHARGE_LIMIT = f"{PACK}Limits.ChargePower"
REGENERATION_LIMIT = f"{PACK}Limits.RegenerationPower"
DISCHARGE_LIMIT = f"{PACK}Limits.DischargePower"
CONVERTER = f"{PACK}DCDC.InputPower"
OUTPUT, LOSS = f"{CHARGING}OutputPower", f"{CHARGING}PowerLoss"
DIRECT_CURRENT, DIRECT_VOLTAGE = f"{CHARGING}ChargeCurrent.DC", f"{CHARGING}ChargeVoltage.DC"
OFFERED, PILOT = f"{CHARGING}OfferedCurrent", f"{CHARGING}PilotDutyCycle"
TARGET_CHARGE, SUPPLY_ENERGY = f"{CHARGING}ChargeLimit", f"{CHARGING}SupplyEnergy"
CHARGED_ENERGY = f"{PACK}AccumulatedChargedEnergy"
IS_CHARGING, CHARGING_WANTED = f"{CHARGING}IsCharging", f"{CHARGING}IsRequested"
CONDITIONING = f"{PACK}BatteryConditioning.IsOngoing"
CABIN_AIR, CABIN_TARGET = f"{CABIN}AmbientAirTemperature", f"{CABIN}TargetTemperature"
CABIN_WANTED, GLASS = f"{CABIN}IsConditioningRequested", "Cabin.Glass.Temperature"
OUTSIDE, SPEED = "Exterior.AirTemperature", "Speed"
LOW_BATTERY = "LowVoltageBattery.CurrentVoltage"
MOTOR_COOLANT = f"{MOTOR}EngineCoolant.Temperature"

#: One path for each drive unit, cabin heater or charging port.
WINDING_OF = f"{MOTOR}<Position>.Temperature"
HEAT_OF = f"{MOTOR}<Position>.StandstillHeat"
#: The same for all drive units together.
HEAT_OF_ALL, POWER_OF_ALL = f"{MOTOR}StandstillHeat", f"{MOTOR}Power"
SPEED_OF, TORQUE_OF, POWER_OF = (f"{MOTOR}<Position>.{end}" for end in ("Speed", "Torque", "Power"))
CABIN_HEATER_OF = f"{CABIN}Heater.<Name>.Power"
CABLE_OF = f"{CHARGING}ChargingPort.<Position>.IsChargingCableConnected"


def supply_voltage(phase: int) -> str:
    """Name the path of a phase's voltage.

    Parameters
    ----------
    phase : int
        The phase, from 1 [1].

    Returns
    -------
    str
        The path.
    """
    return f"{CHARGING}ChargeVoltage.Phase{phase}"


def supply_current(phase: int) -> str:
    """Name the path of a phase's current.

    Parameters
    ----------
    phase : int
        The phase, from 1 [1].

    Returns
    -------
    str
        The path.
    """
    return f"{CHARGING}ChargeCurrent.Phase{phase}"
