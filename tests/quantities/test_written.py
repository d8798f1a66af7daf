"""Numbers in prose."""

import pytest

from thawline.quantities.written import signed


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [(0.3, 2, "+0.30"), (-1.23, 1, "−1.2"), (-0.004, 2, "0.00"), (0.0, 1, "0.0")],
)
def test_signs_are_written_as_in_print(value, digits, text):
    """A true minus, and no negative zero."""
    assert signed(value, digits) == text
