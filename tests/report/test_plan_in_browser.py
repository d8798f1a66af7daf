"""The page of a plan in a browser: charts drawn, no errors, no request."""

from __future__ import annotations

import pytest

from tests.plan.made import asked, sure_car
from tests.report.test_page_in_browser import CHROMIUM, INKED, browser, opened
from thawline.plan.make import make_plan
from thawline.report.plan_page import plan_page

__all__ = ["browser"]  # a fixture of the page's own test serves here, too

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="there is no chromium on this machine"),
]


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    """The page of a plan with charge and a warm cabin."""
    path = tmp_path_factory.mktemp("plan") / "plan.html"
    plan = make_plan(sure_car(), asked(hours=3.0, charge=53.0, cabin=20.0), is_quick=True)
    path.write_text(plan_page(plan), "utf-8")
    return path


@pytest.mark.parametrize("width", [1280, 400])
def test_charts_are_drawn_and_nothing_leaves_the_page(browser, file, width):
    """All charts hold ink; no error, no request but the file; nothing wider than the screen."""
    page, noise, requests = opened(browser, file, width)
    inked = page.evaluate(INKED)
    assert all(inked)
    assert len(inked) >= 4
    assert noise == []
    assert requests == [file.as_uri()]
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.close()
