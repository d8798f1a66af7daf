"""Random vehicles, as wide as cars are."""

from __future__ import annotations

import numpy as np

from thawline.simulator.build import Build
from thawline.simulator.cabin import Cabin
from thawline.simulator.charger import Charger
from thawline.simulator.conditioning import Conditioning
from thawline.simulator.limits import Display, Limits
from thawline.simulator.loads import Loads
from thawline.simulator.loop import Coolant
from thawline.simulator.pack import Pack
from thawline.simulator.road import Road
from thawline.simulator.units import DriveUnits

POSITIONS = {
    1: (("Rear",), ("Front",), ("Main",)),
    2: (("Front", "Rear"), ("RearLeft", "RearRight"), ("A", "B")),
    3: (("Front", "RearLeft", "RearRight"), ("One", "Two", "Three")),
}
HEATERS = ("Main", "Left", "Right", "Front", "Rear", "Water", "Air")
SYLLABLES = ("ka", "lo", "mi", "ren", "tu", "vos", "ska", "bry", "el", "dun", "fji", "pa", "zo")


def word(rng: np.random.Generator, parts: int) -> str:
    """A word that means nothing."""
    return "".join(rng.choice(SYLLABLES) for _ in range(parts))


def between(rng: np.random.Generator, low: float, high: float, digits: int = 3) -> float:
    """A number in a range."""
    return round(float(rng.uniform(low, high)), digits)


def _pack(rng: np.random.Generator) -> Pack:
    energy = between(rng, 20.0, 110.0, 1)
    chemistry = str(rng.choice(["LFP", "NMC"]))
    series = int(rng.integers(88, 125)) * (2 if energy > 70.0 and rng.random() < 0.3 else 1)
    heat = round(energy * between(rng, 2.5, 8.0), 0)
    ampere_hours = energy * 1e3 / (series * (3.3 if chemistry == "LFP" else 3.75))
    cell_ohm_Ah = float(rng.uniform(0.05, 0.13))
    hours = float(rng.uniform(5.0, 20.0))
    return Pack(
        energy_kWh=energy,
        cells_in_series=series,
        chemistry=chemistry,
        heat_capacity_kJ_per_K=heat,
        resistance_mOhm=round(series * cell_ohm_Ah / ampere_hours * 1e3, 1),
        activation_kJ_per_mol=between(rng, 17.0, 28.0, 1),
        modules=int(rng.integers(6, 15)),
        core_share=between(rng, 0.5, 0.8),
        core_W_per_K=heat * between(rng, 12.0, 30.0),
        plate_W_per_K=heat * between(rng, 1.2, 2.8),
        along_W_per_K=heat * between(rng, 0.1, 0.4),
        ambient_W_per_K=round(heat * 1e3 / (hours * 3600.0), 2),
        end_share=between(rng, 0.004, 0.015),
        end_lag_s=between(rng, 60.0, 220.0, 0),
    )


def _coolant(rng: np.random.Generator, modules: int, heater_kW: float) -> Coolant:
    warm = between(rng, 7.0, 17.0, 1)
    return Coolant(
        warm_l_per_min=warm,
        cold_l_per_min=round(warm * float(rng.uniform(0.5, 0.85)), 1),
        hose_l=between(rng, 0.8, 2.2, 1),
        pack_l=round(modules * float(rng.uniform(0.14, 0.28)), 1),
        jacket_l=between(rng, 0.25, 0.6, 2),
        reservoir_l=between(rng, 0.5, 2.5, 1),
        hose_cells=5,
        hose_W_per_K=between(rng, 0.8, 3.0),
        heater_kW=heater_kW,
    )


def strange_build(rng: np.random.Generator) -> Build:
    """Draw a vehicle."""
    pack = _pack(rng)
    has_heater = rng.random() < 0.12
    heater_kW = between(rng, 3.0, 7.0, 1) if has_heater else 0.0
    heat_kW = 0.0 if has_heater else between(rng, 2.2, 4.5, 1)
    count = int(rng.choice([1, 2, 3], p=[0.5, 0.4, 0.1]))
    sets = POSITIONS[count]
    heaters = rng.choice(HEATERS, int(rng.integers(1, 4)), replace=False)
    watts = float(rng.uniform(3000.0, 7000.0)) / len(heaters)
    limits = pack.energy_kWh / 70.0
    return Build(
        name=word(rng, 3).capitalize(),
        pack=pack,
        drive_units=DriveUnits(
            positions=sets[int(rng.integers(len(sets)))],
            heat_kW=heat_kW,
            current_heat_kW=round(heat_kW * float(rng.uniform(1.0, 1.25)), 2),
            winding_kJ_per_K=between(rng, 2.0, 5.0, 1),
            iron_kJ_per_K=between(rng, 9.0, 22.0, 1),
            winding_W_per_K=between(rng, 55.0, 110.0, 0),
            jacket_W_per_K=between(rng, 200.0, 420.0, 0),
            ambient_W_per_K=between(rng, 0.6, 2.0, 1),
            ramp_kW_per_s=between(rng, 0.2, 2.0, 2),
        ),
        coolant=_coolant(rng, pack.modules, heater_kW),
        cabin=Cabin(
            heaters_W={str(name): round(watts, -2) for name in heaters},
            air_kJ_per_K=between(rng, 9.0, 18.0, 1),
            inside_kJ_per_K=between(rng, 70.0, 150.0, 0),
            body_W_per_K=between(rng, 22.0, 40.0, 0),
            ramp_W_per_s=between(rng, 150.0, 1500.0, 0),
            comfortable_from_degC=float(rng.choice([16.0, 17.0, 18.0, 18.0, 19.0])),
        ),
        charger=Charger(
            rated_kW=float(rng.choice([3.7, 6.6, 7.4, 11.0, 11.5, 22.0])),
            standing_W=between(rng, 30.0, 110.0, 0),
            loss_share=between(rng, 0.035, 0.075),
            wakes_s=between(rng, 1.5, 4.5, 1),
            starts_s=between(rng, 0.5, 5.0, 1),
            ramp_A_per_s=between(rng, 0.4, 4.0, 1),
            short_W=between(rng, 15.0, 60.0, 0),
        ),
        limits=Limits(
            charging_from_degC=between(rng, 0.1, 1.2, 1),
            regeneration_from_degC=between(rng, -1.6, -0.4, 1),
            charging_first_kW=between(rng, 0.2, 1.5, 1),
            regeneration_first_kW=between(rng, 0.2, 1.0, 1),
            charging_kW_per_K=round(limits * float(rng.uniform(2.0, 6.0)), 2),
            discharge_most_kW=round(pack.energy_kWh * float(rng.uniform(1.8, 3.0)), 0),
            regeneration_kW_per_K=round(limits * float(rng.uniform(1.5, 4.0)), 2),
        ),
        display=Display(
            hidden_pct_per_K=between(rng, 0.15, 0.42, 2),
            none_from_degC=between(rng, 3.0, 12.0, 1),
            step_pct=float(rng.choice([0.5, 1.0])),
        ),
        conditioning=Conditioning(
            target_degC=between(rng, 2.5, 12.0, 1),
            cabin_target_degC=between(rng, 0.0, 3.0, 1),
            cabin_share=float(rng.choice([0.0, 0.3, 0.4, 0.6])),
            taper_K=between(rng, 0.5, 5.0, 1),
            least_share=between(rng, 0.1, 0.4, 2),
            pack_help_kW=float(rng.choice([0.0, 0.3, 1.0, 20.0])),
            begins_s=between(rng, 1.0, 12.0, 1),
            runs_on_s=between(rng, 60.0, 400.0, 0),
        ),
        loads=Loads(awake_W=between(rng, 220.0, 360.0, 0)),
        road=Road(mass_kg=between(rng, 1100.0, 2600.0, 0), drag_m2=between(rng, 0.5, 0.8, 2)),
        port=str(rng.choice(["Rear", "Front", "Left", "Any"])),
    )
