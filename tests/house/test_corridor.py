"""The corridor: who may import whom."""

import pytest

from tests.house.reading import SOURCE, imports_of, modules, room_of

#: The rooms in the order of the corridor; each may import those before it.
CORRIDOR = [
    "errors",
    "quantities",
    "physics",
    "sources",
    "signals",
    "vehicle",
    "recording",
    "story",
    "ledger",
    "charge",
    "plating",
    "warmup",
    "forecast",
    "trip",
    "whatif",
    "plan",
    "findings",
    "compare",
    "report",
]
#: Side rooms and what they may import.
SIDE = {
    "library": {"errors", "quantities", "physics", "sources", "signals", "vehicle", "recording"},
    "suggest": {"errors", "quantities", "physics", "sources", "signals", "vehicle", "recording"},
    "export": {"errors", "quantities", "physics", "sources", "signals", "vehicle", "recording"},
    "simulator": {"errors", "quantities", "physics", "sources", "signals", "vehicle", "demo"},
    "live": {
        "errors",
        "quantities",
        "physics",
        "sources",
        "signals",
        "vehicle",
        "recording",
        "library",
    },
    "trends": {*CORRIDOR, "library", "walk", "looking", "teaching", "remembering"},
    "fleet": {*CORRIDOR, "library", "walk", "looking", "teaching", "remembering", "trends"},
    "demo": set(),
}
#: The one walk and the doors may import everything.
DOORS = {
    "walk",
    "looking",
    "teaching",
    "remembering",
    "planning",
    "simulating",
    "morning",
    "notebook",
    "cli",
    "web",
}


def allowed(room: str) -> set[str]:
    if room in DOORS:
        return {*CORRIDOR, *SIDE, *DOORS, ""}
    if room in SIDE:
        return SIDE[room]
    return set(CORRIDOR[: CORRIDOR.index(room)]) if room in CORRIDOR else set()


def test_every_room_is_known():
    """A new room must find its place in the corridor."""
    rooms = {room_of(name) for name in modules()} - {""}
    assert rooms <= {*CORRIDOR, *SIDE, *DOORS}


@pytest.mark.parametrize("name", sorted(modules()))
def test_imports_only_point_up_the_corridor(name):
    """A module imports its own room, foundations and rooms above it; nothing else."""
    room = room_of(name)
    bad = {
        other
        for other in imports_of(name)
        if room_of(other) != room and room_of(other) not in allowed(room) and other != "thawline"
    }
    assert not bad, f"{name} must not import {sorted(bad)}"


def test_no_cycles():
    """No module imports itself by a detour."""
    graph = {name: imports_of(name) - {name} for name in modules()}
    done: set[str] = set()

    def visit(name: str, trail: tuple[str, ...]) -> None:
        assert name not in trail, " -> ".join((*trail[trail.index(name) :], name))
        if name in done:
            return
        for other in graph.get(name, ()):
            visit(other, (*trail, name))
        done.add(name)

    for name in graph:
        visit(name, ())
    assert done >= set(graph)


def test_the_simulator_does_not_know_the_rooms_it_proves():
    """What is fitted and what it is proven on are written apart."""
    seen = {
        room_of(other)
        for name in modules()
        if room_of(name) == "simulator"
        for other in imports_of(name)
    }
    assert not seen & {"recording", "story", "ledger", "charge", "report", "library", "warmup"}


@pytest.mark.parametrize("path", sorted(SOURCE.rglob("*.py")), ids=lambda p: p.stem)
def test_files_are_short_and_named_for_what_they_hold(path):
    """No file over 300 lines, none named for nothing."""
    assert len(path.read_text("utf-8").splitlines()) <= 300
    assert path.stem not in {"utils", "util", "helpers", "helper", "common", "misc", "tools"}
