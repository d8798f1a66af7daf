"""The mornings of the demo, in Skerrow, an invented harbour town."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.resources import as_file, files
from itertools import islice
from pathlib import Path

from thawline.simulator.build import Build, read_build
from thawline.simulator.layout import BusLayout, read_layout
from thawline.simulator.run import simulate
from thawline.simulator.scenario import Scenario, read_scenario
from thawline.simulator.write import Written, write

#: Frames per second on the demo's buses [1/s].
FRAMES_PER_S = 120.0


def vehicle(name: str) -> tuple[Build, BusLayout]:
    """Read a vehicle of the demo.

    Parameters
    ----------
    name : str
        ``gannet`` or ``petrel``.

    Returns
    -------
    Build
        The vehicle.
    BusLayout
        Its bus.
    """
    with as_file(files("thawline") / "demo") as folder:
        return read_build(folder / f"{name}.toml"), read_layout(folder / f"{name}_bus.toml")


def mornings() -> Iterator[tuple[str, Scenario]]:
    """Read the mornings of the demo.

    Yields
    ------
    tuple of str and Scenario
        The vehicle's name, and the morning.
    """
    with as_file(files("thawline") / "demo") as folder:
        for path in sorted(folder.glob("[0-9]*.toml")):
            yield path.stem.split("_")[1], read_scenario(path)


def make(folder: Path, first: int | None = None) -> list[Written]:
    """Simulate the mornings of the demo and write them.

    Parameters
    ----------
    folder : Path
        Where to.
    first : int, optional
        Only so many of them, in order; by default all [1].

    Returns
    -------
    list of Written
        Their files.
    """
    written = []
    for name, scenario in islice(mornings(), first):
        build, layout = vehicle(name)
        written.append(write(simulate(build, scenario), layout, folder, FRAMES_PER_S))
    return written
