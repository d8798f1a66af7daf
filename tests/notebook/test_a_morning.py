"""The notebook of the documents, run by a kernel of its own."""

from __future__ import annotations

import json
import sys

import nbformat
import pytest
from jupyter_client.kernelspec import KernelSpecManager
from nbclient import NotebookClient

from tests.house.reading import ROOT

PATH = ROOT / "docs" / "notebooks" / "a_morning.ipynb"


@pytest.fixture(scope="module")
def kernels(tmp_path_factory):
    """The kernel ``python3`` that runs this very interpreter, whatever else is installed."""
    folder = tmp_path_factory.mktemp("kernels")
    (folder / "python3").mkdir()
    spec = {
        "argv": [sys.executable, "-m", "ipykernel_launcher", "-f", "{connection_file}"],
        "display_name": "Python 3",
        "language": "python",
    }
    (folder / "python3" / "kernel.json").write_text(json.dumps(spec))
    return KernelSpecManager(kernel_dirs=[str(folder)], ensure_native_kernel=False)


@pytest.fixture(scope="module")
def outputs(kernels, tmp_path_factory):
    """Outputs by the first line of their cell."""
    book = nbformat.read(PATH, as_version=4)
    nbformat.validate(book)
    where = {"metadata": {"path": str(tmp_path_factory.mktemp("cwd"))}}
    client = NotebookClient(book, timeout=120, kernel_name="python3", resources=where)
    client.create_kernel_manager()
    client.km.kernel_spec_manager = kernels
    done = client.execute()
    cells = [cell for cell in done.cells if cell.cell_type == "code"]
    return {cell.source.splitlines()[-1]: cell.outputs for cell in cells}


def html(outputs, cell):
    (found,) = [one for one in outputs[cell] if one.output_type == "execute_result"]
    assert found.data["text/plain"].strip() and "<div" not in found.data["text/plain"]
    return found.data["text/html"].replace("\xa0", " ")


def test_the_notebook_is_kept_without_outputs():
    """What it shows is made anew, never a picture of some earlier state."""
    book = nbformat.read(PATH, as_version=4)
    assert all(not cell.get("outputs") for cell in book.cells)


def check_that_nothing_complains(outputs):
    """Each code cell gives something, and nothing on the error stream."""
    for cell, given in outputs.items():
        assert given, cell
        assert not [one for one in given if one.get("name") == "stderr"], given


def check_story_and_ledger(outputs):
    """A sentence of the story with the strip, and all rows of both accounts."""
    story = html(outputs, "morning.story")
    assert "plugged in" in story and "Charging began at" in story and "<svg" in story
    assert "Coldest cell passes 0 °C" in story
    ledger = html(outputs, "morning.ledger")
    for title in ("supply", "drive unit heating", "into the pack", "unaccounted"):
        assert f'role="rowheader">{title}</th>' in ledger, title
    assert ledger.count("<tr role") >= 15 and " ± " in ledger
    assert "PackCells.Coldest" in html(outputs, "morning.recording")


def check_forecast(outputs):
    """The table ahead, and the thaw as it was said beside the thaw as it came."""
    ahead = html(outputs, "ahead")
    for words in ("15 kW of regeneration", "coldest cell thaws", "90 %", "no permission"):
        assert words in ahead, words
    (frame,) = outputs['said.join(came, on="kind", how="left")']
    assert "coldest cell thaws" in frame.data["text/html"]
    assert "came_s" in frame.data["text/html"]


def test_the_notebook_runs_and_shows_story_ledger_and_forecast(outputs):
    """Every cell runs without complaint, and what it promises is in its outputs."""
    check_that_nothing_complains(outputs)  # one test: a kernel for each would cost as much again
    check_story_and_ledger(outputs)
    check_forecast(outputs)
