"""Units by choice: sentences, cells and headings in °F and MJ."""

import numpy as np
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thawline.report.choice import USUAL, Choice, cell, heading, said

OTHER = Choice("degF", "MJ")


@pytest.mark.parametrize(
    ("usual", "other"),
    [
        # fixed points: water freezes at 32 °F and boils at 212 °F; −40 is the same on both
        ("below 0 °C", "below 32 °F"),
        ("from 100 °C to −40 °C", "from 212 °F to −40 °F"),
        ("coldest cell −12.5 to 6.0 °C", "coldest cell 9.5 to 42.8 °F"),
        ("between −5 and 3 °C", "between 23 and 37 °F"),
        # an interval has no offset (NIST SP 811, B.8, from memory: 1 K is 1.8 °F)
        ("rose by 3.0 K in 10 min", "rose by 5.4 °F in 10 min"),
        ("1 K above", "1.8 °F above"),
        ("to within ± 0.5 °C", "to within ± 0.9 °F"),
        ("20.0 ± 0.5 °C", "68.0 ± 0.9 °F"),
        # 1 kWh = 3.6 MJ (ISO 80000-5, from memory)
        ("3.52 ± 0.31 kWh of 5 kWh", "12.7 ± 1.1 MJ of 18 MJ"),
        ("1.25\u00a0kWh", "4.50\u00a0MJ"),
        # what is no energy and no temperature stays
        ("5.0 kW for 10 min, 510 kJ/K, 0.30 per kWh", "5.0 kW for 10 min, 510 kJ/K, 0.30 per kWh"),
        ("at 06:10:05, module 4C, 20 °Cx", "at 06:10:05, module 4C, 20 °Cx"),
    ],
)
def test_sentences_keep_their_sense(usual, other):
    """Values, ranges, intervals and uncertainties each convert as what they are."""
    assert said(usual, OTHER).replace("18.0", "18") == other
    assert said(usual, USUAL) == usual


REGISTRY = pint.UnitRegistry(cache_folder=None)


@settings(deadline=None)
@given(st.decimals(-60, 150, places=1))
def test_numbers_agree_with_a_reference_library(value):
    """A converted temperature is pint's, to the decimals written."""
    text = f"{value}".replace("-", "−")
    found = float(said(f"{text} °C", OTHER).removesuffix(" °F").replace("−", "-"))
    wanted = REGISTRY.Quantity(float(value), "degC").to("degF").magnitude
    assert abs(found - wanted) <= 0.0501


def test_saying_it_twice_changes_nothing():
    """What is converted already is left alone."""
    once = said("−12.5 °C, 3.0 K, 4.1 kWh", OTHER)
    assert said(once, OTHER) == once


def test_cells_and_headings_go_together():
    """A cell takes its unit from its heading; a difference has no offset."""
    assert heading("coldest cell, °C", OTHER) == "coldest cell, °F"
    assert cell("0.0", "°C", OTHER) == "32.0"
    assert cell("+5.0", "°C", OTHER, is_difference=True) == "+9.0"
    assert cell("–", "kWh", OTHER) == "–"
    assert cell("1.0", "kW", OTHER) == "1.0"


def test_values_convert_by_their_catalogue_unit():
    """Arrays follow the choice; other units stay."""
    assert OTHER.values(np.array([-40.0, 0.0]), "degC") == pytest.approx([-40.0, 32.0])
    assert OTHER.values(np.array([1.0]), "kWh") == pytest.approx([3.6])
    assert OTHER.values(np.array([1.0]), "kW").tolist() == [1.0]
