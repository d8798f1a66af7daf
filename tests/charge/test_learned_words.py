"""What was learned, in words."""

from __future__ import annotations

from tests.charge.proving import mornings
from thawline.charge.learn import learn_cells
from thawline.charge.learned_words import minus, sentences


def test_sentences_of_a_cold_car():
    """Threshold, resistance, capacity and what is hidden are said, with their uncertainties."""
    said = sentences(learn_cells(recording for _, recording in mornings()))
    whole = " ".join(said)
    assert said[0].startswith("Charging is allowed from 0.6")
    assert "seen to leave zero 3 times" in said[0]
    assert "kJ/mol" in whole and "mΩ" in whole and "Ah" in whole
    assert "the display hides" in said[-1]
    assert "-1." not in whole


def test_what_cannot_be_told_is_said():
    """One morning tells no capacity, and the sentence says so."""
    said = " ".join(sentences(learn_cells([mornings()[0][1]])))
    assert "Capacity: cannot tell" in said


def test_minus_signs():
    """Numbers get a minus, ranges and names keep their hyphens."""
    assert minus("from -3.0 to 4-5 in lab-7") == "from −3.0 to 4-5 in lab-7"
