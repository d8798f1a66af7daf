"""The monotone cubic, against a published library."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from thawline.story.monotone import monotone_cubic

steps = st.lists(st.floats(0.1, 50.0), min_size=3, max_size=6)


@given(steps, steps, st.floats(0.0, 1.0))
@settings(max_examples=80, deadline=None)
def test_it_equals_the_librarys(dx, dy, share):
    """Source: scipy.interpolate.PchipInterpolator, which implements Fritsch and Butland 1984."""
    n = min(len(dx), len(dy))
    x, y = np.cumsum([0.0, *dx[:n]]), np.cumsum([0.0, *dy[:n]])
    at = float(share * x[-1])
    assert monotone_cubic(x, y, at) == pytest.approx(float(PchipInterpolator(x, y)(at)), abs=1e-6)
