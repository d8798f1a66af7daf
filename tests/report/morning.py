"""A morning written by hand: known channels, flows, story and accounts, for the reports."""

from __future__ import annotations

import numpy as np

from thawline.charge.charge import Charge, Gain
from thawline.ledger.ledger import Feed, Ledger, Line
from thawline.recording.flow import Flow
from thawline.recording.flows import Flows
from thawline.recording.recording import Channel, ClockStep, Gap, Quality, Recording
from thawline.report.explained import Explained, Finding, Note
from thawline.report.instants import Instant
from thawline.report.prose import Prose
from thawline.story.story import Evidence, Lost, Span, Story, TurningPoint, WhyNot
from thawline.vehicle.vehicle import Limits, Pack, Vehicle

BATTERY = "Powertrain.TractionBattery."
COLDEST = BATTERY + "Temperature.Min"
#: 2031-01-14 06:40:00 UTC.
STARTS_AT = 1_926_139_200.0
DURATION_S = 3600.0
GAP = Gap(2200.0, 2290.0)


def _ramp(t, *pairs):
    times, values = zip(*pairs, strict=True)
    return np.interp(t, times, values)


def channel(path, unit, t, values, period_s, stale_after_s=10.0, is_state=False):
    keep = (t <= GAP.from_s) | (t >= GAP.to_s)
    return Channel(
        path=path,
        unit=unit,
        t=t[keep],
        values=np.asarray(values, dtype=np.float64)[keep],
        is_state=is_state,
        period_s=period_s,
        stale_after_s=stale_after_s,
        source="Synthetic." + path.rsplit(".", 1)[-1],
    )


def powers(t):
    supply = _ramp(t, (0, 0), (90, 0), (135, 5.0), (3300, 5.0), (3301, 0), (3600, 0))
    heat = _ramp(t, (0, 0), (110, 0), (140, 6.8), (1500, 6.8), (1560, 3.0), (2000, 0), (3600, 0))
    cabin = _ramp(t, (0, 0), (1500, 0), (1530, 2.4), (3000, 1.2), (3600, 1.2))
    other = np.full_like(t, 0.35)
    loss = 0.08 * supply
    return {
        "supply": supply,
        "drive-unit-heating": heat,
        "cabin-heating": cabin,
        "low-voltage": other,
        "charger-loss": loss,
        "pack": supply - loss - heat - cabin - other,
    }


def channels():
    t1, t01 = np.arange(0, DURATION_S + 1, 1.0), np.arange(0, DURATION_S + 0.05, 0.1)
    coldest = np.round(
        _ramp(t1, (0, -12.5), (300, -12.3), (1000, -4.0), (1500, 0.6), (2000, 3.5), (3600, 6.0)) * 2
    )
    inlet = _ramp(t1, (0, -12), (120, -12), (700, 24), (1500, 33), (2100, 14), (3600, 8))
    windings = _ramp(t1, (0, -13), (110, -13), (700, 68), (1500, 84), (2000, 55), (3600, 26))
    soc = _ramp(t01, (0, 41.0), (1500, 39.2), (3300, 42.3), (3600, 42.0))
    limit = _ramp(t1, (0, 0), (1380, 0), (1500, 4), (2600, 38), (3600, 52))
    found = [
        channel(COLDEST, "degC", t1, coldest / 2, 1.0),
        channel(BATTERY + "Temperature.Max", "degC", t1, coldest / 2 + 2.5, 1.0),
        channel(BATTERY + "Coolant.InletTemperature", "degC", t1, inlet, 1.0),
        channel(BATTERY + "Coolant.OutletTemperature", "degC", t1, 0.7 * inlet - 4, 1.0),
        channel(
            "Exterior.AirTemperature", "degC", t1[::30], -17.5 + 0.3 * np.sin(t1[::30]), 30, 95
        ),
        channel("Powertrain.ElectricMotor.Front.Temperature", "degC", t1, windings - 4, 1.0),
        channel("Powertrain.ElectricMotor.Rear.Temperature", "degC", t1, windings, 1.0),
        channel(
            "Cabin.HVAC.AmbientAirTemperature", "degC", t1,
            _ramp(t1, (0, -16), (1500, -15), (3000, 19), (3600, 21)), 1.0,
        ),
        channel(BATTERY + "StateOfCharge.Current", "percent", t01, soc, 0.1),
        channel(
            BATTERY + "StateOfCharge.Displayed", "percent", t01,
            np.round(_ramp(t01, (0, 37.0), (1500, 38.5), (3300, 42.3), (3600, 42.0)) * 2) / 2, 0.1,
        ),
        channel(BATTERY + "Limits.RegenerationPower", "kW", t1, limit, 1.0),
        channel(BATTERY + "Limits.ChargePower", "kW", t1, np.maximum(limit - 2, 0), 1.0),
    ]  # fmt: skip
    return {one.path: one for one in found}


def story():
    def point(kind, t_s, because, *evidence, plus_minus_s=0.3):
        return TurningPoint(kind, t_s, plus_minus_s, because, evidence)

    cable = BATTERY + "Charging.ChargingPort.Left.IsChargingCableConnected"
    return Story(
        "gannet-20310114-0640",
        (
            point("plugged-in", 77.0, "A cable was connected.", Evidence(cable, 1, "", None, 77.0)),
            point(
                "pack-heating-begins", 110.0,
                "Charging is wanted and the coldest cell, at −12.5 °C, is below 0 °C.",
                Evidence(COLDEST, -12.5, "degC", 0.0, 110.0),
                Evidence("drive-unit-heating", 0.4, "kW", 0.2, 110.0),
            ),
            point("charger-at-full-power", 136.0, "The supply gives 5.0 kW, all that it offers.",
                  Evidence("supply", 5.0, "kW", 4.9, 136.0)),
            point("regeneration-returns", 1381.0, "The coldest cell passed −1 °C.",
                  Evidence(COLDEST, -1.0, "degC", -1.0, 1375.0), plus_minus_s=2.0),
            point("coldest-cell-thaws", 1432.0, "The coldest cell passed 0 °C.",
                  Evidence(COLDEST, 0.0, "degC", 0.0, 1432.0), plus_minus_s=12.0),
            point("charging-begins", 1560.0, "Heating fell to 3.0 kW and the pack allows charging.",
                  Evidence("pack", 0.3, "kW", 0.2, 1560.0)),
            point("pack-heating-ends", 1990.0, "The coldest cell reached its target of 3.5 °C.",
                  Evidence(COLDEST, 3.5, "degC", 3.5, 1990.0)),
            point("cabin-comfortable", 2910.0, "Cabin air passed 18 °C."),
            point("charging-ends", 3301.0, "The supply was gone."),
            point("unplugged", 3330.0, "The cable was taken out."),
        ),
        (
            Span("supply", 90.0, 3301.0, 4.93, "The supply gave power."),
            Span("pack-heating", 110.0, 1990.0, 5.62, "Both drive units made heat at standstill."),
            Span("charging", 1560.0, 3301.0, 2.31, "Power went into the pack."),
            Span("cabin", 1510.0, 3600.0, 1.7, "Conditioning was wanted."),
            Span("regeneration", 1381.0, 3600.0, 24.0, "Regeneration was allowed."),
            Span("no-data", GAP.from_s, GAP.to_s, None, "The log has a gap of 90 s."),
        ),
        (
            Lost(
                "coolant flow",
                "No channel for the flow, so the heat that coolant carries cannot be told.",
                "add Powertrain.TractionBattery.Coolant.Flow to the vehicle file.",
            ),
        ),
    )  # fmt: skip


def ledger(flow):
    t = flow.t
    known = ~np.isnan(flow.flows["pack"].kW)
    p = {name: np.where(known, one.kW, np.nan) for name, one in flow.flows.items()}
    from_pack = np.maximum(-p["pack"], 0.0)
    loads = p["drive-unit-heating"] + p["cabin-heating"] + p["low-voltage"]
    share = np.divide(from_pack, loads, out=np.zeros_like(loads), where=loads > 0)
    feed = Feed(
        t=t,
        supply_to={
            "heat": p["drive-unit-heating"] * (1 - share),
            "cabin": p["cabin-heating"] * (1 - share),
            "other": p["low-voltage"] * (1 - share),
            "pack": np.maximum(p["pack"], 0.0),
            "loss": p["charger-loss"],
        },
        pack_to={
            "heat": p["drive-unit-heating"] * share,
            "cabin": p["cabin-heating"] * share,
            "other": p["low-voltage"] * share,
        },
        helping=((110.0, 1560.0),),
    )
    return Ledger(
        electrical=(
            Line("supply", 4.4271, 0.0443, "measured", "alternating current times voltage", 0.125),
            Line("charger-loss", 0.3542, 0.0312, "derived", "supply less charger output"),
            Line("drive-unit-heating", 2.8333, 0.0283, "measured", "two drive units"),
            Line("cabin-heating", 1.0245, 0.0205, "measured", "one heater"),
            Line("other-loads", 0.3412, 0.0102, "measured", "low-voltage converter"),
            Line("pack-in", 0.9511, 0.0095, "measured", "current times voltage"),
            Line("pack-out", 1.1032, 0.011, "measured", "current times voltage"),
            Line("unaccounted", 0.026, 0.0651, "derived", "what remains"),
        ),
        heat=(
            Line("drive-unit-heating", 2.8333, 0.0283, "measured", "two drive units"),
            Line("cell-resistance", 0.0127, 0.004, "derived", "current squared times resistance"),
            Line("coolant-into-pack", 2.31, 0.21, "derived", "flow × ρ·cp × ΔT"),
            Line(
                "stored-in-pack", 2.62, 0.26, "assumed", "510 kJ/K from the vehicle file × 18.5 K"
            ),
            Line("pack-to-ambient", 0.11, 0.05, "assumed", "6 W/K from the vehicle file"),
            Line("stored-elsewhere", None, None, "unknown", "heat capacity of the metal not known"),
            Line("unaccounted", None, None, "unknown", "a line above is not known"),
        ),
        feed=feed,
        covered_s=DURATION_S - 90.0,
        notes=("90 s without data are bridged with the mean power before and after.",),
    )


def make_flows():
    t = np.arange(0.5, DURATION_S, 1.0)
    silent = (t > GAP.from_s) & (t < GAP.to_s)
    flows = {
        name: Flow(np.where(silent, np.nan, kW), np.full_like(t, 0.05), (name,))
        for name, kW in powers(t).items()
    }
    return Flows(t, 1.0, flows, {"pack-heater": "no channel for it"})


def explained(name="Gannet", **changes):
    """The whole morning; ``changes`` replace parts of it."""
    vehicle = Vehicle(name, Pack(72.0, cells_in_series=108), limits=Limits(0.0, -1.0))
    quality = Quality(
        frames=184_220,
        frames_left_out={"error": 3, "unreadable": 1},
        clock_steps=(ClockStep(2500.0, -1.5),),
        duplicates=12,
        warnings=("Exterior.AirTemperature is sent every 30 s only.",),
    )
    recording = Recording(
        "gannet-20310114-0640", vehicle, STARTS_AT, DURATION_S, channels(), (GAP,), quality
    )
    flows = make_flows()
    parts = {
        "recording": recording,
        "flows": flows,
        "story": story(),
        "ledger": ledger(flows),
        "charge": Charge(
            Gain(5.0, 0.4, "display from 37.0 to 42.0 %"),
            Gain(1.0, 0.2, "coulomb count"),
            Gain(4.0, 0.5, "shown less charged"),
            "The display gained 5.0 points: 1.0 was charged, 4.0 came back by warming.",
        ),
        "findings": (
            Finding("accounts-do-not-close", 110.0, 0.7, "A load is not recorded.",
                    (Evidence("unaccounted", 0.026, "kWh", 0.13, 3600.0),)),
        ),
        "notes": (
            Note(1510.0, "Asked for a warm cabin from indoors."),
            Note(None, "Car slept out."),
        ),
    }  # fmt: skip
    return Explained(**{**parts, **changes})


def prose():
    """Sentences that do not change when the other rooms learn to speak better."""
    cold = "The coldest cell is at −12.1 °C, and charging waits until it passes 0 °C."
    evidence = (Evidence(COLDEST, -12.1, "degC", 0.0, 197.0),)
    return Prose(
        headline=(
            "Plugged in at 06:41:17 with the coldest cell at −12.5 °C, the car first heated its "
            "pack for 31 minutes with both drive units, at up to 6.8 kW.",
            "Charging began 24.7 minutes after plugging in.",
        ),
        ledger=("The supply gave 4.43 ± 0.04 kWh.", "The pack gave 1.103 ± 0.011 kWh."),
        charge="The display gained 5.0 points: 1.0 was charged, 4.0 came back by warming.",
        why_not=(
            Instant(
                "Two minutes after plugging in",
                WhyNot("charging", 197.0, "coldest-cell", 0.0, cold, evidence),
            ),
            Instant(
                "Two minutes after plugging in",
                WhyNot("pack-heating", 197.0, "supply", 6.8, "Both drive units give all.", ()),
            ),
            Instant(
                "At the end of the recording",
                WhyNot("regeneration", 3595.0, "nothing-known", None, "Nothing is known.", ()),
            ),
        ),
    )


def bare():
    """A recording that holds almost nothing: one channel, no date, no story."""
    t = np.arange(0.0, 40.0, 1.0)
    path = "Speed"
    recording = Recording(
        "nameless-0", Vehicle("Petrel", Pack(58.0)), 0.0, 39.0,
        {path: Channel(path, "km/h", t, np.zeros_like(t), period_s=1.0)},
    )  # fmt: skip
    flows = Flows(t + 0.5, 1.0, {}, {"pack": "no channel for current or power"})
    unknown = Gain(None, None, "no channel for the state of charge")
    electrical = ("supply", "charger-loss", "drive-unit-heating", "cabin-heating", "other-loads",
                  "pack-in", "pack-out", "unaccounted")  # fmt: skip
    heat = ("drive-unit-heating", "cell-resistance", "coolant-into-pack", "stored-in-pack",
            "pack-to-ambient", "stored-elsewhere", "unaccounted")  # fmt: skip
    return Explained(
        recording,
        flows,
        Story("nameless-0", (), (), (Lost("charging", "No channel tells it.", "add one."),)),
        Ledger(
            tuple(Line(name, None, None, "unknown", "not recorded") for name in electrical),
            tuple(Line(name, None, None, "unknown", "not recorded") for name in heat),
            None,
            39.0,
        ),
        Charge(unknown, unknown, unknown, "Nothing can be told about the charge."),
    )
