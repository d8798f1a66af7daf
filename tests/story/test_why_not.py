"""Why-not at any instant."""

import numpy as np
import pytest

from tests.story.mornings import Plan, morning
from thawline.errors import RequestError
from thawline.story.tell import tell
from thawline.story.why_not import WHATS, why_not

LIMITS = {
    "coldest-cell", "supply", "charger-rating", "target-reached", "not-requested",
    "loads-first", "nothing-known",
}  # fmt: skip


@pytest.mark.parametrize("left", [(), ("Limits", "IsRequested"), ("Charg", "Current", "Speed")])
def test_any_instant_has_an_answer(left):
    """Whatever is recorded, an answer has a known limit and one sentence."""
    recording, flows = morning(Plan(duration_s=1000.0, drive_s=(920.0, 990.0), leave_out=left))
    story = tell(recording, flows)
    for what in WHATS:
        for t_s in np.linspace(0.0, recording.duration_s, 9):
            found = why_not(recording, flows, story, what, float(t_s))
            assert found.limit in LIMITS and found.because.endswith(".")
            assert found.now_kW is None or found.now_kW >= 0.0


def test_in_a_gap_nothing_is_known():
    """Where nothing was recorded, that is the answer."""
    recording, flows = morning(Plan(duration_s=600.0, drive_s=None, gap_s=(200.0, 260.0)))
    found = why_not(recording, flows, tell(recording, flows), "charging", 230.0)
    assert found.limit == "nothing-known" and found.now_kW is None
    assert "from 3:20 to 4:20" in found.because


@pytest.mark.parametrize(
    ("what", "t_s", "names"), [("chargin", 5.0, "charging"), ("charging", 5000.0, "[0, 600]")]
)
def test_a_wrong_question_names_the_cure(what, t_s, names):
    """An unknown thing or an instant outside the recording is the request's fault."""
    recording, flows = morning(Plan(duration_s=600.0, drive_s=None))
    with pytest.raises(RequestError) as error:
        why_not(recording, flows, tell(recording, flows), what, t_s)
    assert names in str(error.value)
