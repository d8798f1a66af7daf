"""Numbers that remember what they share."""

from __future__ import annotations

import pytest

from thawline.ledger.uncertain import NOTHING, around, cause, deviation, nominal, prior
from thawline.physics.constants import read_table


def test_shared_causes_cancel() -> None:
    """Two numbers that rest on one cause differ by less than either is uncertain."""
    shared = cause(0.1)
    one, two = 5.0 * (1.0 + shared), 4.0 * (1.0 + shared)
    assert deviation(one - two) == pytest.approx(0.1)
    assert deviation(one + two) == pytest.approx(0.9)


def test_independent_causes_add_in_quadrature() -> None:
    """3 and 4 make 5."""
    assert deviation(around(1.0, 3.0) + around(1.0, 4.0)) == pytest.approx(5.0)


def test_nothing_is_nothing() -> None:
    """No energy has no uncertainty, and no warning comes of it."""
    assert (nominal(NOTHING), deviation(NOTHING)) == (0.0, 0.0)
    assert deviation(cause(0.0)) == 0.0


def test_priors_have_sources() -> None:
    """Every prior has a unit and a source, and can be drawn anew."""
    for row in read_table("thawline.ledger", "priors.csv"):
        assert None not in row, row
        assert row["unit"], row
        assert row["source"], row
        assert nominal(prior(row["name"])) == float(row["value"])
    assert deviation(prior("base_load") - prior("base_load")) > 0.0
