"""Vehicle files and a database made up for tests."""

from __future__ import annotations

from thawline.signals.database import Database
from thawline.signals.layout import MessageLayout, SignalLayout

HEAD = '[vehicle]\nname = "Gannet"\n[pack]\nusable_energy_kWh = 72.0\n'
BATTERY = "Powertrain.TractionBattery."
CHARGING = BATTERY + "Charging."

WHOLE = """\
# The Gannet of Skerrow.
[vehicle]
name = "Gannet"

[pack]
usable_energy_kWh = 72      # needed
cells_in_series = 108
heat_capacity_kJ_per_K = 510
resistance_mOhm = 62.5
chemistry = "LFP"
heat_loss_W_per_K = 9.0

[drive_units]
count = 2
heat_capacity_kJ_per_K = 22.0
standstill_heat_kW = 3.4

[limits]
charging_from_degC = 0.0
regeneration_from_degC = -1.0

[charger]
rated_kW = 11.0
efficiency = 0.92

[cabin]
comfortable_from_degC = 18.0

[coolant]
glycol_mass_fraction = 0.5
volume_l = 9.5

[table]
time = "Zeit [s]"

[signals."Powertrain.TractionBattery.CurrentCurrent"]
from = "PackPower.Current"
unit = "A"
sign = -1
accuracy = "1 %"
bus = "can0"

[signals."Vehicle.Powertrain.TractionBattery.Charging.IsCharging"]
from = "Charger.State"
true_when = ["CHARGING", 3]

[signals."Speed"]
from = "Motion.Speed"
"""


def signals(**mapped: str) -> str:
    """A vehicle file that maps only these paths; ``_`` stands for a dot."""
    tables = "".join(
        f'[signals."{path.replace("_", ".")}"]\nfrom = "{source}"\n'
        for path, source in mapped.items()
    )
    return HEAD + tables


def mapping(*paths: str, more: str = "") -> str:
    """A vehicle file that maps these paths, each to a column of its own."""
    tables = "".join(f'[signals."{path}"]\nfrom = "column {i}"\n' for i, path in enumerate(paths))
    return HEAD + more + tables


def database() -> Database:
    """Two messages."""
    power = (
        SignalLayout("Current", "PackPower", 0x132, 0, 16, is_signed=True, scale=0.1, unit="A"),
        SignalLayout("Voltage", "PackPower", 0x132, 16, 16, scale=0.1, unit="V", maximum=500.0),
        SignalLayout("Unitless", "PackPower", 0x132, 32, 8),
        SignalLayout("Odd", "PackPower", 0x132, 40, 8, unit="furlongs_"),
    )
    choices = {0: "IDLE", 1: "WAITING", 3: "CHARGING"}
    state = (SignalLayout("State", "Charger", 0x2A1, 0, 4, choices=choices),)
    return Database(
        {
            "PackPower": MessageLayout("PackPower", 0x132, 8, power),
            "Charger": MessageLayout("Charger", 0x2A1, 8, state),
        },
        ("skerrow.dbc",),
    )
