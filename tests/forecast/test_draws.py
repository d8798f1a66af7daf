"""Numbers that were drawn before."""

import numpy as np
import pytest

from thawline.forecast.draws import standard_normal


@pytest.mark.parametrize("is_short", [False, True])
def test_they_are_the_generator_s_own_and_leave_it_where_it_would_be(is_short):
    """The first time and again: equal to NumPy's, and so is all that is drawn after them."""
    for _ in range(2):
        ours, theirs = np.random.default_rng(5), np.random.default_rng(5)
        ours.uniform(size=3), theirs.uniform(size=3)
        kind = np.float32 if is_short else np.float64
        wanted = theirs.standard_normal((7, 11), dtype=kind)
        found = standard_normal(ours, (7, 11), is_short=is_short)
        assert found.dtype == kind
        assert np.array_equal(found, wanted)
        assert np.array_equal(ours.uniform(size=9), theirs.uniform(size=9))
        assert np.array_equal(
            ours.standard_normal(3, dtype=np.float32), theirs.standard_normal(3, dtype=np.float32)
        )


def test_what_is_remembered_cannot_be_spoiled():
    """Whoever writes to the numbers is refused."""
    found = standard_normal(np.random.default_rng(6), (4,))
    with pytest.raises(ValueError, match="read-only"):
        found[0] = 1.0


def test_another_kind_of_generator_draws_for_itself():
    """The state of a Mersenne twister is not remembered."""
    ours, theirs = (np.random.Generator(np.random.MT19937(3)) for _ in range(2))
    assert np.array_equal(standard_normal(ours, (5,)), theirs.standard_normal(5))
