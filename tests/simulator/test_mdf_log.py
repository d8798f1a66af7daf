"""MDF 4 bus logs, read by asammdf."""

import warnings

import numpy as np
import pytest

from tests.simulator.made import gannet, plain
from thawline.simulator.demo import vehicle
from thawline.simulator.run import simulate
from thawline.simulator.traffic import traffic
from thawline.simulator.write import write_mdf


def test_asammdf_decodes_the_log_with_the_database(tmp_path):
    """asammdf's own extraction finds the pack's voltage as it was."""
    from asammdf import MDF

    morning = simulate(gannet(), plain(duration_s=120.0))
    layout = vehicle("gannet")[1]
    files = write_mdf(morning, layout, tmp_path, 50.0)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # asammdf warns of its own way with pandas
        with MDF(files.log) as mdf:
            assert mdf.header.start_time.timestamp() == morning.scenario.starts_at
            frames = mdf.get("CAN_DataFrame.ID")
            assert len(frames.samples) == len(traffic(morning, layout, 50.0).t)
            decoded = mdf.extract_bus_logging({"CAN": [(str(files.database), 0)]})
            volts = decoded.get("PackPower.Volts")
    true = np.interp(
        volts.timestamps, morning.t, morning.values["Powertrain.TractionBattery.CurrentVoltage"]
    )
    assert np.median(volts.samples) == pytest.approx(np.median(true), rel=0.005)
