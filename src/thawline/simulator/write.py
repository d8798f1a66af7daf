"""Write a morning as a person would have it: log, database, vehicle file; and the truth."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from thawline.simulator.candump import write_candump
from thawline.simulator.dbc import write_dbc
from thawline.simulator.layout import BusLayout, placed_all
from thawline.simulator.morning import Morning
from thawline.simulator.traffic import logged, traffic
from thawline.simulator.truth_file import write_truth
from thawline.simulator.vehicle_file import write_vehicle_file


@dataclass(frozen=True, slots=True)
class Written:
    """Files of a morning.

    Parameters
    ----------
    log : Path
        The log.
    database : Path
        The database of the bus.
    vehicle_file : Path
        The vehicle file.
    truth_json : Path
        The truth, see ``truth_file``.
    """

    log: Path
    database: Path
    vehicle_file: Path
    truth_json: Path


def write(morning: Morning, layout: BusLayout, folder: Path, frames_per_s: float = 0.0) -> Written:
    """Write a morning as candump text with its database, vehicle file and truth.

    Parameters
    ----------
    morning : Morning
        The morning.
    layout : BusLayout
        How the bus looks.
    folder : Path
        Where to; it is made if need be.
    frames_per_s : float
        Frames per second that messages of unknown meaning fill the bus up to [1/s].

    Returns
    -------
    Written
        The files.

    Raises
    ------
    RequestError
        If the signals of a message do not fit into it.
    """
    folder.mkdir(parents=True, exist_ok=True)
    layout = placed_all(layout)
    vehicle, name = morning.build.name.lower(), morning.scenario.name
    written = Written(
        folder / f"{name}.log",
        folder / f"{vehicle}.dbc",
        folder / f"{vehicle}.toml",
        folder / f"{name}.truth.json",
    )
    sent = logged(traffic(morning, layout, frames_per_s), morning.scenario.logger)
    write_candump(sent, written.log, morning.scenario.starts_at, layout.bus)
    write_dbc(layout, written.database)
    write_vehicle_file(morning.build, layout, written.vehicle_file)
    write_truth(morning, len(sent.t), written.truth_json)
    return written
