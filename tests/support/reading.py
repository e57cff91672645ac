"""What a placed card says to whoever does not see it, and what the card it was made from says, to be compared.

Both come as one string of letters and digits for each section, so that line breaks, hyphens put in where a line ends,
and the signs between a figure and its unit count for nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import product

from support.card_text import list_texts

from fillcards.card.model import Band, Barrels, Block, Card, LineGaps, Steps
from fillcards.layout.model import Element, Placed, PlacedCard
from fillcards.picture.items import Text
from fillcards.wording.english.makers import write_line_gaps


def list_marks(element: Element) -> Iterator[int]:
    """The marks of a structure tree in reading order."""
    for child in element.children:
        if isinstance(child, int):
            yield child
        else:
            yield from list_marks(child)


def find_elements(element: Element, role: str) -> Iterator[Element]:
    """Every element with that role, in reading order."""
    if element.role == role:
        yield element
    for child in element.children:
        if not isinstance(child, int):
            yield from find_elements(child, role)


def find_placed(placed: PlacedCard, element: Element) -> list[tuple[int, Placed]]:
    """Everything on paper that an element stands for, with the position of its page, from 0."""
    marks = set(list_marks(element))
    return [(number, each) for number, page in enumerate(placed.pages) for each in page.placed if each.mark in marks]


def find_figures(placed: PlacedCard, alts: Iterable[str]) -> list[tuple[int, Placed]]:
    """The pictures with those words in place of them, each with the position of its page."""
    wanted = set(alts)
    figures = (figure for figure in find_elements(placed.structure, "Figure") if figure.alt in wanted)
    return [each for figure in figures for each in find_placed(placed, figure)]


def read_sections(placed: PlacedCard) -> list[str]:
    """What is read aloud of each section, in the order of the structure tree."""
    texts: dict[int, str] = {}
    for each in (each for page in placed.pages for each in page.placed if each.mark is not None):
        assert each.mark is not None
        words = "".join(item.text for item in each.items if isinstance(item, Text))
        texts[each.mark] = texts.get(each.mark, "") + words
    return [_squeeze(_read_element(section, texts)) for section in placed.structure.children]


def write_sections(card: Card, placed: PlacedCard) -> list[set[str]]:
    """What each section of the card says; more than one form where captions depend on the room there is.

    The band is read with the first fill and on the maker's page; elsewhere it is a repeat, as in a running head.
    """
    fronts = [fill.front if number == 0 else _leave_out_band(fill.front) for number, fill in enumerate(card.fills)]
    fills = [
        {
            _squeeze("".join((*_list_read(front, placed), barrels, *_list_read(fill.after, placed))))
            for barrels in _list_barrel_forms(fill.barrels)
        }
        for front, fill in zip(fronts, card.fills, strict=True)
    ]
    others = (_leave_out_band(card.general.blocks), card.makers)
    return [*fills, *({_squeeze("".join(_list_read(blocks, placed)))} for blocks in others)]


def _leave_out_band(blocks: tuple[Block, ...]) -> tuple[Block, ...]:
    return tuple(block for block in blocks if not isinstance(block, Band))


def _squeeze(text: str) -> str:
    return "".join(filter(str.isalnum, text))


def _read_element(element: Element | int, texts: dict[int, str]) -> str:
    if isinstance(element, int):
        return texts.get(element, "")
    return element.alt or "".join(_read_element(child, texts) for child in element.children)


def _list_barrel_forms(barrels: Barrels) -> Iterator[str]:
    for with_captions, with_note in product((False, True), repeat=2):
        captions = barrels.captions if with_captions else ("",) * len(barrels.alts)
        pictures = (alt + caption for alt, caption in zip(barrels.alts, captions, strict=True))
        yield "".join((*pictures, barrels.too_fine if with_note else ""))


def _list_read(blocks: Iterable[Block], placed: PlacedCard) -> Iterator[str]:
    """The strings of some blocks as they are read aloud: steps with their numbers."""
    for block in blocks:
        if isinstance(block, Steps):
            yield from (f"{number}. {text}" for number, text in enumerate(block.items, start=block.first_number))
        elif isinstance(block, LineGaps):
            told = block.names, placed.barrel_gaps_mm, block.close_up_mm, block.real_mm, block.least_mm
            yield from write_line_gaps(*told)
        else:
            yield from list_texts((block,))
