import numpy as np
import pytest

from thawline.suggest.candidate import Candidate, Habits
from thawline.suggest.dull import is_constant, why_dull


@pytest.mark.parametrize(
    ("habits", "word"),
    [
        (Habits(1000, 1.0, 0.9, 1.0), "counter"),
        (Habits(1000, 0.99, 1.0, 0.004), "checksum"),
        (Habits(1, 0.0, 0.0, 0.0), "once"),
        (Habits(1000, 0.3, 0.001, 0.1), ""),
        (Habits(1000, 0.02, 1.0, 0.01), ""),
    ],
)
def test_what_measures_nothing_is_named(habits, word):
    """Counters, checksums and what came once; a curve and a rare state are neither."""
    why = why_dull(Candidate("a", "", np.zeros(9), habits=habits))
    assert word in why
    assert bool(why) is bool(word)


def test_a_constant_is_one_code():
    """Seen from its codes."""
    assert is_constant(Candidate("a", "", np.zeros(9), codes=(0.0,)))
    assert not is_constant(Candidate("a", "", np.zeros(9), codes=(0.0, 1.0)))
