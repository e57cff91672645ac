"""The forms without paper as somebody else reads them: HTML by html5lib, braille by liblouis."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

import html5lib
from support.touch import back_translate

HTML: Final = "{http://www.w3.org/1999/xhtml}"
SVG: Final = "{http://www.w3.org/2000/svg}"
BRF_TABLE: Final = "en-us-brf.dis"

_SPOKEN: Final = frozenset(("h1", "h2", "h3", "p", "li"))


@dataclass(frozen=True, slots=True)
class Piece:
    """A heading, a paragraph, an item of a list, or a picture with the words that replace it."""

    kind: str
    text: str


def parse_html(html: bytes) -> Any:
    """The root element. Any fault in the HTML is an error."""
    return html5lib.HTMLParser(strict=True).parse(html)


def find_all(root: Any, tag: str) -> list[Any]:
    """Every element of that tag."""
    return [element for element in root.iter() if element.tag == f"{HTML}{tag}"]


def read_html(html: bytes) -> list[Piece]:
    """The page's pieces in order; neither its controls and links nor what is hidden from screen readers."""
    return list(_read_element(parse_html(html)))


def _read_element(element: Any) -> Iterator[Piece]:
    tag = str(element.tag).removeprefix(HTML)
    if tag in {"head", "script"} or "data-control" in element.attrib or element.get("aria-hidden") == "true":
        return
    if tag == f"{SVG}svg":
        yield Piece("Figure", "".join(element.find(f"{SVG}title").itertext()))
    elif tag in _SPOKEN and not any(str(child.tag).removeprefix(HTML) in {"div", "p"} for child in element):
        yield Piece(tag.upper(), " ".join("".join(element.itertext()).split()))
    else:
        for child in element:
            yield from _read_element(child)


def split_brf(brf: bytes) -> list[list[str]]:
    """Lines of each page of a braille file."""
    text = brf.decode("ascii")
    assert text.endswith("\r\n\f")
    return [page.split("\r\n")[:-1] for page in text.split("\f")[:-1]]


def read_brf(brf: bytes, table: str) -> list[list[str]]:
    """Lines of each page as liblouis reads them, without their indentation; blank ones are empty.

    Args:
        brf: the file.
        table: of liblouis, for the grade.
    """
    return [
        [back_translate(line.strip(), BRF_TABLE, table) if line.strip() else "" for line in page]
        for page in split_brf(brf)
    ]


def read_brf_body(brf: bytes, table: str) -> list[str]:
    """Words of all pages in order, without the foot of each and the head of all but the first."""
    words: list[str] = []
    for number, page in enumerate(read_brf(brf, table)):
        rows = page[:-1] if number == 0 else page[page.index("") : -1]
        words += " ".join(rows).split()
    return words


def fold_marks(text: str) -> str:
    """Print has several quotation marks and dashes, braille has one of each; the eye's points are commas in braille."""
    for mark, plain in {
        "\u2018": "'",
        "\u2019": "'",
        "\u201c": "'",
        "\u201d": "'",
        '"': "'",
        "–": "-",
        " ·": ",",
    }.items():
        text = text.replace(mark, plain)
    return text
