"""The write page in the system's browser: answers that come late, and in another order than they were asked for."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route, expect
from support.browser import begin_desk
from support.desks import share_process

pytestmark = pytest.mark.browser

STARTER = Path(__file__).parents[2] / "templates_yaml" / "two-insulins-twice-a-day.yaml"
FIRST, SECOND = "dose of insulin regular, before breakfast", "dose of insulin regular, before supper"


@pytest.fixture
def page(browser: Browser, tmp_path: Path) -> Iterator[Page]:
    """The page of a card with two fills."""
    (tmp_path / "card.yaml").write_text(STARTER.read_text(encoding="utf-8"), encoding="utf-8")
    with share_process(tmp_path) as desk:
        page = browser.new_page()
        begin_desk(page, desk.address, "Writer Anna")
        page.get_by_role("link", name="card.yaml").click()
        page.wait_for_url("**/write/*")  # its script too: what a test holds back is asked for by its own reload
        yield page
        page.close(run_before_unload=False)


def hold_writes(page: Page) -> list[Route]:
    """What is to be written from now on waits here until it is let go."""
    held: list[Route] = []

    def hold(route: Route) -> None:
        if '"write":true' in (route.request.post_data or ""):
            held.append(route)
        else:
            route.continue_()

    page.route("**/blank", hold)
    return held


def test_a_slow_answer_hides_no_problem(page: Page) -> None:
    """A dose is left for a blank of the next fill, and its writing takes long: its problem is told all the same."""
    held = hold_writes(page)
    dose = page.get_by_label(FIRST)
    dose.focus()
    dose.evaluate("blank => { blank.value = '9.5 units'; }")  # quicker than the picture
    page.get_by_label(SECOND).click()
    page.wait_for_timeout(1500)  # time enough for another answer to come first
    held[0].continue_()
    expect(page.locator("[id='p-fills[1]']")).to_contain_text("Problem: 9.5 units would be line 9.5")


def test_it_says_written_when_all_is_written(page: Page) -> None:
    """Two blanks are left; after the first answer the second is still under way."""
    held = hold_writes(page)
    for label in (FIRST, SECOND):
        page.get_by_label(label).fill("10 units")
        page.keyboard.press("Tab")
    expect(page.locator("#state")).to_have_text("being written")
    with page.expect_response(lambda answer: '"write":true' in (answer.request.post_data or "")):
        held[0].continue_()
    page.wait_for_timeout(500)
    expect(page.locator("#state")).to_have_text("being written", timeout=1)
    held[1].continue_()
    expect(page.locator("#state")).to_have_text("written to the file")


def test_what_was_typed_before_the_script_came_is_written(page: Page) -> None:
    """The page stands there a moment before its script runs; a blank is typed in and left in it."""
    held: list[Route] = []

    def hold(route: Route) -> None:
        held.append(route)

    page.route("**/desk.js*", hold)
    page.reload(wait_until="commit")
    page.get_by_label(FIRST).fill("10 units")
    page.keyboard.press("Tab")
    held[0].continue_()
    expect(page.locator("#state")).to_have_text("written to the file")
