"""What earlier mornings show of who comes first."""

import numpy as np

from tests.strange_cars import record as record_strange
from tests.warmup.proving_car import Build, Morning, record
from thawline.forecast.limits import learn
from thawline.forecast.ways import cabin_took_over, charging_came_first, steady_supply_kW
from thawline.recording.flows import make_flows
from thawline.recording.gather import gather
from thawline.signals.database import read_database
from thawline.story.tell import Acts, find_acts
from thawline.vehicle.read import read_vehicle


def acts_of(morning: Morning) -> Acts:
    """A morning of the proving car."""
    recording, _ = record(Build(), morning)
    return find_acts(recording, make_flows(recording))


def test_a_cabin_that_begins_takes_over_and_one_that_runs_does_not():
    """Only what begins within two minutes can have ended the heat."""
    scene = acts_of(Morning(duration_s=1800.0, cabin_s=(900.0, 1800.0))).scene
    assert cabin_took_over(scene, 905.0)
    assert not cabin_took_over(scene, 600.0)
    assert not cabin_took_over(scene, 1500.0)


def test_heat_that_goes_on_beside_charging_tells_neither():
    """Where the supply has room for both, nobody comes first."""
    recording, _ = record(Build(), Morning(start_degC=-4.0, outside_degC=-4.0, duration_s=2400.0))
    acts = find_acts(recording, make_flows(recording))
    assert acts.charged.stretches
    assert charging_came_first(acts) in (None, False)


def test_a_level_that_charging_kept_is_learned(tmp_path):
    """A strange car that charges at its supply's ceiling teaches that ceiling."""
    files = record_strange(8247, tmp_path)
    whole = gather([files.log], read_vehicle(files.vehicle_file), read_database([files.database]))
    acts = find_acts(whole, make_flows(whole))
    level = steady_supply_kW(acts)
    assert level is not None
    given = make_flows(whole).flows["supply"].kW
    assert abs(level / float(np.nanquantile(given, 0.99)) - 1.0) < 0.05
    learned = learn([whole])
    assert learned is not None
    assert learned.supply_kW == level
