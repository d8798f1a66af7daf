"""A library of two known mornings, and the pages on it."""

from __future__ import annotations

import warnings
from dataclasses import replace

import pytest

from tests.report import morning
from thawline.library.add import add_recording
from thawline.library.library import open_library
from thawline.recording.recording import Channel
from thawline.web.door import door
from thawline.web.settings import Settings

with warnings.catch_warnings():
    # the client of the installed release still takes httpx, and warns that a later one will not
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

FIRST, SECOND = "gannet-20310114-0640", "gannet-20310116-0640"
OURS = {"Origin": "http://127.0.0.1:8737"}
#: Names that would act in a page if they were not written as text.
ATTACKED = "attacked-20310114-0640"
HOSTILE = "</script><script>alert(1)</script><img src=x onerror=alert(2)>\"'{{7*7}}"


def later(recording):
    """The same car two days later, two degrees warmer."""
    coldest = recording.channels[morning.COLDEST]
    warmer = replace(coldest, values=coldest.values + 2.0)
    channels = {**recording.channels, morning.COLDEST: warmer}
    return replace(
        recording, id=SECOND, starts_at=recording.starts_at + 2 * 86400.0, channels=channels
    )


def filled(folder):
    library = open_library(folder)
    recording = morning.explained().recording
    add_recording(library, recording, "first")
    add_recording(library, later(recording), "second")
    return library


def hostile(folder):
    """A recording whose every name is an attack on the page."""
    library = open_library(folder)
    recording = morning.explained(name=HOSTILE).recording
    bad = {
        f"Powertrain.ElectricMotor.{HOSTILE.replace('.', '')}.Temperature": replace(
            recording.channels["Powertrain.ElectricMotor.Rear.Temperature"],
            path=f"Powertrain.ElectricMotor.{HOSTILE.replace('.', '')}.Temperature",
            source=HOSTILE,
        )
    }
    quality = replace(recording.quality, warnings=(HOSTILE,), frames_left_out={HOSTILE: 3})
    changed: dict[str, Channel] = {**recording.channels, **bad}
    recording = replace(recording, channels=changed, quality=quality, id=ATTACKED)
    add_recording(library, recording, "hostile")
    return library


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    return filled(tmp_path_factory.mktemp("library"))


def client_of(library, **changes):
    settings = replace(Settings(is_apart=False), **changes)
    return TestClient(
        door(library, settings), base_url="http://127.0.0.1:8737", follow_redirects=False
    )


@pytest.fixture(scope="module")
def client(library):
    with client_of(library) as opened:
        yield opened
