"""Write a morning as a person would have it: log, database, vehicle file; and the truth."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from thawline.signals.catalogue import find_signal
from thawline.simulator.candump import write_candump
from thawline.simulator.dbc import write_dbc
from thawline.simulator.layout import BusLayout, placed_all
from thawline.simulator.mdf_log import write_mdf_log
from thawline.simulator.morning import Morning
from thawline.simulator.table_log import columns, write_table_log
from thawline.simulator.traffic import logged, traffic
from thawline.simulator.truth_file import write_truth
from thawline.simulator.vehicle_file import write_vehicle_file


@dataclass(frozen=True, slots=True)
class WrittenTable:
    """Files of a morning as a table.

    Parameters
    ----------
    table : Path
        The table.
    vehicle_file : Path
        The vehicle file that names its columns.
    truth_json : Path
        The truth, see ``truth_file``.
    """

    table: Path
    vehicle_file: Path
    truth_json: Path


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


def _written(morning: Morning, folder: Path, ending: str) -> Written:
    folder.mkdir(parents=True, exist_ok=True)
    vehicle, name = morning.build.name.lower(), morning.scenario.name
    return Written(
        folder / f"{name}.{ending}",
        folder / f"{vehicle}.dbc",
        folder / f"{vehicle}.toml",
        folder / f"{name}.truth.json",
    )


def _write_beside(morning: Morning, layout: BusLayout, written: Written, frames: int) -> None:
    """Write what stands beside a bus log."""
    sources = {
        f"{message.name}.{signal.name}": signal
        for message in layout.messages
        for signal in message.signals
        if signal.is_mapped and find_signal(signal.path) is not None
    }
    write_dbc(layout, written.database)
    write_vehicle_file(morning.build, layout.vehicle, sources, written.vehicle_file)
    mapped = [signal.path for signal in sources.values()]
    write_truth(morning, frames, mapped, written.truth_json)


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
    layout, written = placed_all(layout), _written(morning, folder, "log")
    sent = logged(traffic(morning, layout, frames_per_s), morning.scenario.logger)
    write_candump(sent, written.log, morning.scenario.starts_at, layout.bus)
    _write_beside(morning, layout, written, len(sent.t))
    return written


def write_mdf(
    morning: Morning, layout: BusLayout, folder: Path, frames_per_s: float = 0.0
) -> Written:
    """Write a morning as an MDF 4 bus log, with what stands beside it.

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
    layout, written = placed_all(layout), _written(morning, folder, "mf4")
    sent = logged(traffic(morning, layout, frames_per_s), morning.scenario.logger)
    write_mdf_log(sent, written.log, morning.scenario.starts_at)
    _write_beside(morning, layout, written, len(sent.t))
    return written


def write_table(
    morning: Morning,
    layout: BusLayout,
    folder: Path,
    period_s: float = 1.0,
    separator: str = ",",
) -> WrittenTable:
    """Write a morning as a table, with a vehicle file that names its columns.

    Parameters
    ----------
    morning : Morning
        The morning.
    layout : BusLayout
        Its signals and sensors.
    folder : Path
        Where to; it is made if need be.
    period_s : float
        Time between two rows [s].
    separator : str
        What stands between cells.

    Returns
    -------
    WrittenTable
        The files.
    """
    files = _written(morning, folder, "csv")
    beside = files.vehicle_file.with_stem(f"{files.vehicle_file.stem}-table")
    rows = write_table_log(morning, layout, files.log, period_s, separator)
    sources = columns(layout)
    write_vehicle_file(morning.build, layout.vehicle, sources, beside)
    write_truth(morning, rows, [signal.path for signal in sources.values()], files.truth_json)
    return WrittenTable(files.log, beside, files.truth_json)
