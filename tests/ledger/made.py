"""Recordings made by hand for the tests of this room."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from thawline.ledger.account import account
from thawline.ledger.basis import Basis, basis_of
from thawline.ledger.ledger import Ledger, Line
from thawline.quantities import Accuracy
from thawline.recording.flows import make_flows
from thawline.recording.recording import Channel, Gap, Recording
from thawline.recording.sensor import noise, period, resolution, stale_after
from thawline.signals.catalogue import find_signal
from thawline.story.story import Story
from thawline.vehicle.vehicle import Pack, Vehicle

BATTERY = "Powertrain.TractionBattery."
CHARGING = BATTERY + "Charging."
MOTOR = "Powertrain.ElectricMotor."
NO_STORY = Story("made", (), ())
Values = float | np.ndarray | Callable[[np.ndarray], np.ndarray]


def channel(
    path: str,
    values: Values,
    *,
    duration_s: float = 3600.0,
    period_s: float = 1.0,
    gaps: tuple[Gap, ...] = (),
    accuracy: Accuracy | None = None,
) -> Channel:
    """A channel sampled evenly, its sensor's step and noise found as the room above does."""
    name = find_signal(path)
    assert name is not None, path
    t = np.arange(0.0, duration_s + period_s / 2.0, period_s)
    for gap in gaps:
        t = t[(t <= gap.from_s) | (t >= gap.to_s)]
    made = values(t) if callable(values) else np.broadcast_to(np.asarray(values, float), t.shape)
    made = np.array(made, dtype=float)
    spans = tuple((gap.from_s, gap.to_s) for gap in gaps)
    return Channel(
        path=path,
        unit=name.unit,
        t=t,
        values=made,
        is_state=name.is_state,
        resolution=resolution(made),
        noise=0.0 if name.is_state else noise(made),
        period_s=period(t),
        stale_after_s=stale_after(t, spans, is_state=name.is_state),
        accuracy=accuracy,
    )


def recording(
    values: Mapping[str, Values],
    *,
    vehicle: Vehicle | None = None,
    duration_s: float = 3600.0,
    period_s: float = 1.0,
    gaps: tuple[Gap, ...] = (),
    accuracies: Mapping[str, Accuracy] | None = None,
) -> Recording:
    """A recording of such channels."""
    stated = accuracies or {}
    channels = {
        path: channel(
            path,
            value,
            duration_s=duration_s,
            period_s=period_s,
            gaps=gaps,
            accuracy=stated.get(path),
        )
        for path, value in values.items()
    }
    car = vehicle or Vehicle("Petrel", Pack(58.0, 96))
    return Recording("made", car, 0.0, duration_s, channels, gaps)


#: Powers that balance exactly: 6 kW of supply, 0.48 lost, 3 to heat, 1 to the cabin, 0.4 to
#: the converter and 1.12 kW into the pack.
BALANCED: dict[str, Values] = {
    CHARGING + "ChargeCurrent.Phase1": 25.0,
    CHARGING + "ChargeVoltage.Phase1": 240.0,
    CHARGING + "OutputPower": 5.52,
    MOTOR + "Rear.StandstillHeat": 3.0,
    "Cabin.HVAC.Heater.Air.Power": 1000.0,
    BATTERY + "DCDC.InputPower": 400.0,
    BATTERY + "CurrentCurrent": 3.2,
    BATTERY + "CurrentVoltage": 350.0,
}


def ledger_of(made: Recording, story: Story = NO_STORY) -> Ledger:
    """The ledger of a recording."""
    return account(made, make_flows(made), story)


def basis_made(made: Recording) -> Basis:
    """What its accounts rest on."""
    return basis_of(made, make_flows(made), NO_STORY)


def line_of(ledger: Ledger, name: str, *, heat: bool = False) -> Line:
    """One line of an account."""
    return next(x for x in (ledger.heat if heat else ledger.electrical) if x.line == name)
