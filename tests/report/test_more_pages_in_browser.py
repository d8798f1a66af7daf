"""The pages of comparing and learning in a browser: charts drawn, no errors, no request."""

from __future__ import annotations

import pytest

from tests.charge.proving import mornings
from tests.compare.pair import pair
from tests.report.test_learned_page import MAP
from tests.report.test_page_in_browser import CHROMIUM, INKED, browser, opened
from thawline.charge.learn import learn_from, look_at
from thawline.compare.compare import compare
from thawline.plating.own import kept_distance
from thawline.report.compare_page import compare_page
from thawline.report.learned_page import learned_page

__all__ = ["browser"]  # a fixture of the page's own test serves here, too

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="there is no chromium on this machine"),
]


def learned() -> str:
    seen = look_at(recording for _, recording in mornings())
    found = learn_from(seen)
    kept = [kept_distance(MAP, one, found.capacity.Ah) for one in seen.observed]
    return learned_page(found, MAP, tuple(one for one in kept if one is not None))


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    folder = tmp_path_factory.mktemp("more")
    (folder / "compare.html").write_text(compare_page(compare(*pair(), 0.5)), "utf-8")
    (folder / "learned.html").write_text(learned(), "utf-8")
    return folder


@pytest.mark.parametrize("width", [1280, 400])
@pytest.mark.parametrize("name", ["compare.html", "learned.html"])
def test_charts_are_drawn_and_nothing_leaves_the_page(browser, files, name, width):
    """Every chart holds ink; no error, no request but the file; nothing wider than the screen."""
    page, noise, requests = opened(browser, files / name, width)
    assert all(page.evaluate(INKED)) and len(page.evaluate(INKED)) >= 6
    assert noise == []
    assert requests == [(files / name).as_uri()]
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.close()
