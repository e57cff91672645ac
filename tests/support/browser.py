"""The page in the system's Chromium, without a window and without a network: what a screen reader is told of it.

A missing browser fails the test and says what to install.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final, Literal

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect, sync_playwright
from support.desks import PASSPHRASE

FLAGS: Final = (
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
)

SCHEMES: Final[dict[Literal["light", "dark"], dict[str, object]]] = {
    "light": {"resultTypes": ["violations"]},
    "dark": {"resultTypes": ["violations"], "runOnly": {"type": "tag", "values": ["cat.color"]}},
}
"""What axe is asked of a page: of a dark one, which differs in its colours alone, no more than those."""


@contextmanager
def open_browser() -> Iterator[Browser]:
    """The system's browser, headless."""
    expect.set_options(timeout=30_000)  # other work may run beside the tests
    program = next(filter(None, map(shutil.which, ("chromium-headless-shell", "chromium"))), None)
    if program is None:
        pytest.fail(
            "a browser is needed: apt-get install chromium-headless-shell; or leave these out: -m 'not browser'"
        )
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=list(FLAGS), headless=True)
        try:
            yield browser
        finally:
            browser.close()


def show(page: Page, html: bytes) -> None:
    """Load a page from its bytes."""
    page.set_content(html.decode("utf-8"))


def list_errors(page: Page) -> list[str]:
    """A list that takes every error of the page's scripts from now on; a listener that raised would end the browser."""
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    return errors


def look_with_axe(page: Page, *, is_dark_too: bool = True) -> None:
    """No violation of any rule on a light page, of any about colours on a dark one; and nothing runs over the side of a
    narrow one.

    Contrast is most of the time that axe takes: a page that was looked at dark before is not asked for it again.
    """
    if not page.evaluate("'axe' in window"):
        page.evaluate(Axe().axe_script)
    for scheme, rules in SCHEMES.items():
        if scheme == "dark" and not is_dark_too:
            continue
        page.emulate_media(color_scheme=scheme)
        found = page.evaluate("rules => axe.run(rules).then((told) => told.violations)", rules)
        assert [(each["id"], [node["html"] for node in each["nodes"]]) for each in found] == []
    page.emulate_media(color_scheme="light")
    size = page.viewport_size
    page.set_viewport_size({"width": 320, "height": 800})
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    page.set_viewport_size(size or {"width": 1280, "height": 900})


def begin_desk(page: Page, address: str, name: str) -> None:
    """Open a desk that nobody has used, as the first person."""
    page.goto(address)
    page.get_by_label("your name").fill(name)
    page.get_by_label("passphrase, at least 10 letters").fill(PASSPHRASE)
    page.get_by_label("the same passphrase again").fill(PASSPHRASE)
    page.get_by_role("button", name="Sign on").click()
