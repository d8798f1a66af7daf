"""The signals that the story reads, by their catalogue paths."""

from __future__ import annotations

BATTERY = "Powertrain.TractionBattery."
CHARGING = BATTERY + "Charging."
MOTOR = "Powertrain.ElectricMotor."
HVAC = "Cabin.HVAC."

COLDEST = BATTERY + "Temperature.Min"
MEAN_TEMPERATURE = BATTERY + "Temperature.Average"
CHARGE_PHYSICAL = BATTERY + "StateOfCharge.Current"
CHARGE_SHOWN = BATTERY + "StateOfCharge.Displayed"
PACK_CURRENT = BATTERY + "CurrentCurrent"
CHARGE_TARGET = CHARGING + "ChargeLimit"
CHARGE_LIMIT = BATTERY + "Limits.ChargePower"
REGENERATION_LIMIT = BATTERY + "Limits.RegenerationPower"
COOLANT_FLOW = BATTERY + "Coolant.Flow"
IS_CHARGING = CHARGING + "IsCharging"
CHARGE_WANTED = CHARGING + "IsRequested"
PILOT = CHARGING + "PilotDutyCycle"
OFFER = CHARGING + "OfferedCurrent"
CONDITIONING_ON = BATTERY + "BatteryConditioning.IsActive"
CONDITIONING_NOW = BATTERY + "BatteryConditioning.IsOngoing"
CONDITIONING_TARGET = BATTERY + "BatteryConditioning.TargetTemperature"
CABIN_WANTED = HVAC + "IsConditioningRequested"
CABIN_AIR = HVAC + "AmbientAirTemperature"
CABIN_TARGET = HVAC + "TargetTemperature"
OUTSIDE_AIR = "Exterior.AirTemperature"
SPEED = "Speed"

#: Heads and tails of signals that exist once per phase, port or drive unit.
CABLE = (CHARGING + "ChargingPort.", ".IsChargingCableConnected")
PHASE_VOLTAGE = (CHARGING + "ChargeVoltage.Phase", "")
PHASE_CURRENT = (CHARGING + "ChargeCurrent.Phase", "")
PHASE_LIMIT = (CHARGING + "MaximumChargingCurrent.Phase", "")
DIRECT_VOLTAGE = CHARGING + "ChargeVoltage.DC"
DIRECT_CURRENT = CHARGING + "ChargeCurrent.DC"
DIRECT_LIMIT = CHARGING + "MaximumChargingCurrent.DC"
WINDING = (MOTOR, ".Temperature")
MOTOR_SPEED = (MOTOR, ".Speed")
MOTOR_POWER = (MOTOR, ".Power")


def short(path: str) -> str:
    """Shorten a path for a sentence.

    Parameters
    ----------
    path : str
        A concrete catalogue path.

    Returns
    -------
    str
        Its last two words, which is enough to find it.
    """
    return ".".join(path.split(".")[-2:])
