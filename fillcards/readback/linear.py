"""The forms without pages against the claims: plain text, the screen page, the words handed to the voice.

Each is a list of lines, one sentence or phrase a line, and must equal the claims line by line: nothing changed, missing,
added or in another order.
"""

from __future__ import annotations

from collections.abc import Iterable
from difflib import SequenceMatcher
from html.parser import HTMLParser
from typing import Final

from fillcards.readback.saying import Sentence

WRITE_IN: Final = " ____"
_BLOCKS: Final = frozenset(
    [
        "title",
        "h1",
        "h2",
        "h3",
        "h4",
        "p",
        "li",
        "dt",
        "dd",
        "figcaption",
        "th",
        "td",
        "summary",
        "button",
        "label",
        "div",
        "section",
        "article",
        "header",
        "footer",
        "main",
        "nav",
        "ol",
        "ul",
        "body",
        "aside",
    ]
)
_SILENT: Final = frozenset(("script", "style"))


def compare_lines(seen: Iterable[str], claimed: Iterable[Sentence], form: str) -> list[str]:
    """Every difference between what is said and what must be said, as sentences for people."""
    said = [" ".join(line.removesuffix(WRITE_IN).split()) for line in seen if line.strip()]
    meant = [" ".join(sentence.text.split()) for sentence in claimed]
    faults: list[str] = []
    for tag, a, b, c, d in SequenceMatcher(None, meant, said, autojunk=False).get_opcodes():
        if tag != "equal":
            says, should = " / ".join(said[c:d]) or "nothing", " / ".join(meant[a:b]) or "nothing"
            faults.append(f'{form}: says "{says}", should say "{should}"')
    return faults


def read_text(data: bytes) -> list[str]:
    """The lines of a plain text file."""
    return [line for line in data.decode("utf-8").splitlines() if line.strip()]


class _Page(HTMLParser):
    """Collects the words of an HTML page block by block, pictures' titles apart."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.lines: list[str] = []
        self.alts: list[str] = []
        self.language = ""
        self._open: list[str] = []
        self._line = ""
        self._alt: str | None = None
        self._skipped = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = dict(attrs)
        if tag == "html":
            self.language = values.get("lang") or ""
        if tag in _SILENT or "hidden" in values or "data-control" in values:
            self._skipped += 1
            self._open.append(f"!{tag}")
            return
        if tag == "svg":
            self._end_line()
            self._alt = ""
        if tag in _BLOCKS:
            self._end_line()
        if tag not in {"br", "meta", "link", "img", "input", "hr", "path", "line", "circle", "polygon", "rect"}:
            self._open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if self._open and self._open[-1].lstrip("!") == tag:
            if self._open.pop().startswith("!"):
                self._skipped -= 1
                return
        if tag == "svg" and self._alt is not None:
            self.alts.append(" ".join(self._alt.split()))
            self._alt = None
        if tag in _BLOCKS:
            self._end_line()

    def handle_data(self, data: str) -> None:
        if self._skipped:
            return
        if self._alt is not None:
            if self._open and self._open[-1] == "title":
                self._alt += data
            return
        self._line += data

    def _end_line(self) -> None:
        if self._line.strip():
            self.lines.append(" ".join(self._line.split()))
        self._line = ""


def read_html(data: bytes) -> tuple[list[str], list[str], str]:
    """The page's words by block, its pictures' alternative texts, and its language."""
    page = _Page()
    page.feed(data.decode("utf-8"))
    page.close()
    return page.lines, page.alts, page.language
