"""Make small logs, databases and vehicle files by hand, for tests of the whole way in."""

from __future__ import annotations

from pathlib import Path

import numpy as np

DBC = """VERSION ""
NS_ :
BS_:
BU_: Logger
BO_ 257 PackPower: 8 Logger
 SG_ Volts : 7|16@0+ (0.1,0) [0|0] "V" Logger
 SG_ Amps : 23|16@0- (0.1,0) [0|0] "A" Logger
BO_ 258 PackCells: 4 Logger
 SG_ Coldest : 0|8@1+ (0.5,-40) [0|0] "degC" Logger
 SG_ Warmest : 8|8@1+ (0.5,-40) [0|0] "degC" Logger
BO_ 2566848513 Port: 1 Logger
 SG_ Cable : 0|2@1+ (1,0) [0|3] "" Logger
VAL_ 2566848513 Cable 0 "No" 1 "Yes" 3 "SNA" ;
"""

TOML = """[vehicle]
name = "Gannet"
[pack]
usable_energy_kWh = 72.0
[signals."Powertrain.TractionBattery.CurrentVoltage"]
from = "PackPower.Volts"
unit = "V"
[signals."Powertrain.TractionBattery.CurrentCurrent"]
from = "PackPower.Amps"
unit = "A"
sign = -1
[signals."Powertrain.TractionBattery.Temperature.Min"]
from = "PackCells.Coldest"
unit = "degC"
[signals."Powertrain.TractionBattery.Charging.ChargingPort.Any.IsChargingCableConnected"]
from = "Port.Cable"
"""

START = 1_768_630_320.0


def lines(seconds: float = 60.0, start: float = START) -> list[str]:
    """One minute: 350 V, 10 A out of the pack, cells warming from -9 °C, a cable at 20 s."""
    out = []
    for t in np.arange(0.0, seconds, 0.1):
        volts, amps = 3500, 100  # discharge positive on this bus
        out.append(f"({start + t:.6f}) can0 101#{volts:04X}{amps:04X}00000000")
    for t in np.arange(0.05, seconds, 1.0):
        code = round((-9.0 + t / 60.0 + 40.0) / 0.5)
        out.append(f"({start + t:.6f}) can0 102#{code:02X}{code + 2:02X}0000")
        cable = 3 if t < 2 else int(t >= 20)
        out.append(f"({start + t + 0.01:.6f}) can0 18FF0001#{cable:02X}")
    return sorted(out)


def write(
    folder: Path, text: list[str] | None = None, *, toml: str = TOML, dbc: str = DBC
) -> tuple[Path, Path, Path]:
    """Write log, database and vehicle file into a folder."""
    log, database, vehicle = folder / "m.log", folder / "car.dbc", folder / "car.toml"
    log.write_text("\n".join(lines() if text is None else text) + "\n")
    database.write_text(dbc)
    vehicle.write_text(toml)
    return log, database, vehicle
