"""Where steps end."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from thawline.warmup.step_clock import back_from, lengths_of, on_from, round_number


def test_what_all_readings_tell_is_taken_from_a_round_number_of_them():
    """1, 2, 4, 5, 8, 11, 16 ...: the whole parts of powers of the root of two."""
    found = [round_number(count) for count in range(20)]
    assert found == [0, 1, 2, 2, 4, 5, 5, 5, 8, 8, 8, 11, 11, 11, 11, 11, 16, 16, 16, 16]
    for count in (3600, 99_999):
        assert count / np.sqrt(2.0) - 1.0 < round_number(count) <= count


@given(st.floats(0.0, 5000.0), st.floats(1.0, 9000.0))
def test_steps_fill_the_time_and_end_where_they_must(begin, span):
    """Counted on from a beginning or back from an end: the lengths add up, none is negative."""
    until = begin + span
    ends, step, last = on_from(begin, until, 180)
    lengths = lengths_of(len(ends), step, last)
    assert ends[-1] == until and len(ends) <= 187
    assert np.all(lengths > 0.0) and np.all(lengths <= step + 1e-6)
    assert begin - 60.0 <= until - lengths.sum() + 1e-6 <= begin + 2e-6
    back, step, _ = back_from(until, begin)
    assert back[-1] == until and back[0] - step >= begin - 1e-6
