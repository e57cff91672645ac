"""The raised pages of a card, and a plain copy of each for whoever sees.

Each fill has its own set that counts its own pages: words, key, barrel, close-ups. The first words of a set say what
it cannot do. Every raised page carries its fill's name, its number and the band; nothing on it is grey or thin, and no
print stands on it, since print would swell as well. The plain copies come first in the file, then the raised pages.

In millimetres at scale exactly 1; braille from ``picture.tactile_style``.
"""

from __future__ import annotations

from typing import Final

from fillcards.card.model import Card, FillSheets
from fillcards.catalogue.model import Paper
from fillcards.layout.model import Element, Page, PlacedCard
from fillcards.layout.tactile_helper import place_helper_pages
from fillcards.layout.tactile_page import Entry, PageWriter
from fillcards.layout.tactile_set import SetBuilder
from fillcards.picture.tactile_pieces import TactileTooSmall
from fillcards.picture.tactile_style import TactileStyle
from fillcards.problems import InternalFault, Place, Problem, RegimenRefused, Severity
from fillcards.wording.braille import BrailleTooWide, Translate
from fillcards.wording.english import tactile

_MOST_TRIES: Final = 5


def place_tactile(card: Card, paper: Paper, style: TactileStyle, translate: Translate) -> PlacedCard:
    """The raised pages of a whole card, with the flat ones that go with them.

    Args:
        card: its patient's sheets; the steps stay in the other forms.
        paper: the sheet.
        style: medium and sizes.
        translate: makes braille.

    Raises:
        RegimenRefused: ``RAISED-001`` if the paper is too small, ``BRAILLE-00x`` for what braille cannot hold.
    """
    try:
        sets = [_build_set(fill, card, paper, style, translate) for fill in card.fills]
    except (TactileTooSmall, BrailleTooWide) as error:
        raise RegimenRefused((_make_problem(str(error)),)) from error
    raised_count = sum(len(pages) for pages in sets)
    helper = place_helper_pages(card, paper, style, raised_count)
    writer = PageWriter(paper, style, helper.next_mark)
    pages: list[Page] = [*helper.pages]
    sections: list[Element] = [Element("Sect", helper.elements, title=tactile.HELPER_TITLE)]
    for is_raised in (False, True):
        for number, (fill, entries) in enumerate(zip(card.fills, sets, strict=True), start=1):
            elements: list[Element] = []
            for position, page in enumerate(entries, start=1):
                name = tactile.write_page_name(fill.name, position, len(entries))
                written = writer.write_page(page, number, None if is_raised else tactile.write_copy_foot(name))
                pages.append(written.page)
                elements += written.elements
            title = tactile.write_section_title(fill.name, is_raised=is_raised)
            sections.append(Element("Sect", tuple(elements), title=title))
    return PlacedCard(card.title, card.language, tuple(pages), Element("Document", tuple(sections)))


def _build_set(
    fill: FillSheets, card: Card, paper: Paper, style: TactileStyle, translate: Translate
) -> tuple[tuple[Entry, ...], ...]:
    """The pages of one fill. How many there are stands on each of them, so it is guessed until it comes true."""
    count = 5
    for _ in range(_MOST_TRIES):
        pages = SetBuilder(fill, card, paper, style, translate, count).build()
        if len(pages) == count:
            return pages
        count = len(pages)
    raise InternalFault("the raised pages of a fill do not come to a number")


def _make_problem(found: str) -> Problem:
    return Problem(
        "RAISED-001",
        Severity.REFUSE,
        Place(key="print.paper"),
        found,
        "the scale enlarged so far that fingers tell its lines apart, and its words, on one page",
        "choose letter or a4, the ordinary size of cell, contracted braille, or no raised digits",
    )
