"""Sections of sides, and the placed card they come to; what cannot be placed at all.

Of the words at the head and foot of side after side, a line on three sides or more is a running line: read aloud where
it first stands, an artifact on the others, as PDF/UA wants it (ISO 14289-1, 7.8). A line on fewer sides is read
wherever it stands, so that no words are lost to a listener.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import Final, NamedTuple

from fillcards.card.model import Card
from fillcards.codes import make_problem
from fillcards.layout.model import Element, Page, PlacedCard
from fillcards.layout.setter import Setter
from fillcards.picture.items import Text
from fillcards.problems import Place, RegimenRefused
from fillcards.wording.messages import Say, say

STAFF_LANGUAGE: Final = "en"
"""Of the sheet on every card: what those read who print and check it."""

RUNS_FROM_SIDES: Final = 3

Lines = tuple[str, ...]


class Section(NamedTuple):
    """Sides that follow each other: their title for the bookmark, and what is read aloud of them in order."""

    title: Say
    pages: tuple[Page, ...]
    elements: tuple[Element, ...]


def refuse(found: str, code: str = "LAYOUT-001") -> RegimenRefused:
    """To be raised. The layout does not know the file; what it asks for is chosen under ``print``."""
    return RegimenRefused((make_problem(code, Place(key="print.paper"), found),))


def join_sections(
    setter: Setter,
    card: Card,
    sections: Iterable[Section],
    *,
    document: Say | None = None,
    body_sizes_pt: tuple[float, ...] = (),
) -> PlacedCard:
    """The print they make.

    Args:
        setter: of the card's language.
        card: whose sections they are.
        sections: in order, set one after the other.
        document: its title as a file, if that is not the card's.
        body_sizes_pt: of each fill's small card, its running text.
    """
    pages: list[Page] = []
    parts: list[Element] = []
    for title, sides, elements in sections:
        pages += sides
        is_for_staff = sides[0].is_staff and setter.language != STAFF_LANGUAGE
        words = setter.turn_to(STAFF_LANGUAGE if is_for_staff else setter.language).write(title)
        parts.append(Element("Sect", elements, title=words, language=STAFF_LANGUAGE if is_for_staff else None))
    whole, count = Element("Document", tuple(parts)), setter.write(say("page", page=0, pages=0))
    read = _silence_repeats(pages, whole, count)
    return PlacedCard(setter.write(document or card.title), card.language, *read, body_sizes_pt=body_sizes_pt)


def _silence_repeats(pages: Sequence[Page], structure: Element, count: str) -> tuple[tuple[Page, ...], Element]:
    """The same pages and tree, each running line read once.

    Args:
        pages: in order; of each, the marks at its head and foot.
        structure: the tree over all of them.
        count: the words that count the sides, with 0 for each number: they are one running line all the same.
    """
    counted = re.compile(re.escape(count).replace("0", "[0-9]+"))
    sides = [dict(_list_lines(page, counted)) for page in pages]
    counts = Counter(lines for side in sides for lines in set(side.values()))
    read: set[Lines] = set()
    silent: set[int] = set()
    for page, side in zip(pages, sides, strict=True):
        # Several marks may share a line: none of them silences another of its own side.
        silent |= {mark for mark in page.running if counts[side[mark]] >= RUNS_FROM_SIDES and side[mark] in read}
        read |= {side[mark] for mark in page.running}
    return tuple(_silence_page(page, silent) for page in pages), _silence_element(structure, silent)


def _list_lines(page: Page, counted: re.Pattern[str]) -> Iterator[tuple[int, Lines]]:
    """Of each mark, the whole lines its words stand in."""
    words: dict[float, list[tuple[float, str]]] = {}
    places: dict[int, set[float]] = {}
    for placed in page.placed:
        for item in placed.items:
            if isinstance(item, Text):
                y_mm = round(item.y_mm, 1)
                words.setdefault(y_mm, []).append((item.x_mm, item.text))
                if placed.mark is not None:
                    places.setdefault(placed.mark, set()).add(y_mm)
    for mark, rows in places.items():
        lines = (" ".join(text for _, text in sorted(words[y_mm])) for y_mm in sorted(rows))
        yield mark, tuple(" ".join(counted.sub("0", line).split()) for line in lines)


def _silence_page(page: Page, silent: set[int]) -> Page:
    placed = tuple(each._replace(mark=None) if each.mark in silent else each for each in page.placed)
    return page._replace(placed=placed, running=tuple(mark for mark in page.running if mark not in silent))


def _silence_element(element: Element, silent: set[int]) -> Element:
    """Without the elements whose one mark is silent."""
    children = (each if isinstance(each, int) else _silence_element(each, silent) for each in element.children)
    return element._replace(children=tuple(each for each in children if not _is_silent(each, silent)))


def _is_silent(child: Element | int, silent: set[int]) -> bool:
    return isinstance(child, Element) and len(child.children) == 1 and child.children[0] in silent
