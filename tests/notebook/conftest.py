"""The first demo morning and the beginning of it, once for all tests of this folder."""

from __future__ import annotations

import pytest

from thawline.library.library import open_library
from thawline.simulator.demo import mornings, vehicle
from thawline.simulator.run import simulate
from thawline.simulator.write import write
from thawline.walk import add

#: The beginning ends here, after the coldest cell has thawed [s].
CUT_S = 1900.0


@pytest.fixture(scope="package")
def folder(tmp_path_factory):
    """A folder as a person has it: log, database, vehicle file, and a library of two."""
    made = tmp_path_factory.mktemp("notebook")
    name, scenario = next(mornings())
    build, layout = vehicle(name)
    files = write(simulate(build, scenario), layout, made)  # without the demo's other traffic
    files.log.rename(made / "morning.log")
    files.database.rename(made / "car.dbc")
    files.vehicle_file.rename(made / "car.toml")
    lines = (made / "morning.log").read_text().splitlines(keepends=True)
    start = float(lines[0][1:].split(")")[0])
    cut = (x for x in lines if float(x[1:].split(")")[0]) - start <= CUT_S)
    (made / "beginning.log").write_text("".join(cut))
    library = open_library(made / "mornings")
    for name in ("morning.log", "beginning.log"):
        add([made / name], [made / "car.dbc"], made / "car.toml", library)
    return made
