"""The page in the system's Chromium, without a window and without a network: what a screen reader is told of it.

A missing browser fails the test and says what to install.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any, Final

import pytest
from playwright.sync_api import Browser, Page, sync_playwright
from support.spoken_forms import Piece

FLAGS: Final = (
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
)


@contextmanager
def open_browser() -> Iterator[Browser]:
    """The system's browser, headless."""
    program = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    if program is None:
        pytest.fail("these tests need a browser: apt-get install chromium; or leave them out with -m 'not browser'")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=list(FLAGS), headless=True)
        try:
            yield browser
        finally:
            browser.close()


def show(page: Page, html: bytes) -> None:
    """Load a page from its bytes."""
    page.set_content(html.decode("utf-8"))


def read_accessibility(page: Page) -> list[Piece]:
    """What the browser hands to a screen reader, in order, without the links to the parts of the page."""
    session = page.context.new_cdp_session(page)
    nodes = session.send("Accessibility.getFullAXTree")["nodes"]
    by_id = {node["nodeId"]: node for node in nodes}
    return list(_walk(nodes[0], by_id))


def _walk(node: Mapping[str, Any], by_id: Mapping[str, Mapping[str, Any]]) -> Iterator[Piece]:
    role, name = _read(node, "role"), _read(node, "name")
    if role == "navigation":
        return
    if role == "heading":
        level = next(each["value"]["value"] for each in node["properties"] if each["name"] == "level")
        yield Piece(f"H{level}", name)
    elif role in {"image", "img"}:
        yield Piece("Figure", name)
    elif role in {"paragraph", "Figcaption"}:
        yield Piece("P", _join_text(node, by_id))
    elif role == "listitem":
        yield Piece("LI", _join_text(node, by_id))
    elif role == "StaticText" and name.strip():
        yield Piece("stray", name)
    else:
        for child in node.get("childIds", ()):
            yield from _walk(by_id[child], by_id)


def _join_text(node: Mapping[str, Any], by_id: Mapping[str, Mapping[str, Any]]) -> str:
    role = _read(node, "role")
    if role == "ListMarker":
        return _read(node, "name") if _read(node, "name").strip("• \xa0") else ""
    if role == "StaticText":
        return _read(node, "name")
    return "".join(_join_text(by_id[child], by_id) for child in node.get("childIds", ()))


def _read(node: Mapping[str, Any], key: str) -> str:
    return str(node.get(key, {}).get("value", ""))
