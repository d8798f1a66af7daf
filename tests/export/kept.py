"""Recordings made by hand for tests of the export."""

from __future__ import annotations

import numpy as np

from thawline.recording.recording import Channel, Gap, Recording
from thawline.vehicle.vehicle import Pack, Vehicle

START = 1_768_630_320.123456
PACK = "Powertrain.TractionBattery."
CABLE = f"{PACK}Charging.ChargingPort.Left.IsChargingCableConnected"


def recording(seed: int = 1, start: float = START) -> Recording:
    """Five channels on four clocks, one sent on change, one with two samples at one time."""
    random = np.random.default_rng(seed)
    fast = np.cumsum(random.uniform(0.09, 0.11, 400))
    slow = np.arange(0.5, 40.0, 2.0)
    twice = np.array([0.0, 3.0, 3.0, 17.25])
    spread = 10.0 ** random.uniform(-9, 5, len(twice)) * random.choice([-1, 1], len(twice))
    channels = (
        Channel(f"{PACK}CurrentVoltage", "V", fast, random.normal(350, 3, len(fast)), source="A.U"),
        Channel(f"{PACK}CurrentCurrent", "A", fast, random.normal(-10, 30, len(fast))),
        Channel(f"{PACK}Temperature.Min", "degC", slow, random.normal(-9, 1 / 3, len(slow))),
        Channel("Powertrain.ElectricMotor.Rear.Torque", "N*m", twice, spread),
        Channel(CABLE, "", np.array([0.25, 21.5]), np.array([0.0, 1.0]), is_state=True),
    )
    return Recording(
        id="gannet-1",
        vehicle=Vehicle("Gannet", Pack(72.0)),
        starts_at=start,
        duration_s=float(fast[-1]),
        channels={channel.path: channel for channel in channels},
        gaps=(Gap(10.0, 12.0),),
    )
