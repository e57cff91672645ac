"""Every string of a card's pages, in reading order, and the sentences in them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from fillcards.card.model import (
    Band,
    Block,
    Card,
    Figure,
    FigurePair,
    FillSheets,
    Heading,
    Paragraph,
    Points,
    Steps,
    Stop,
    Table,
    WriteIn,
)
from fillcards.picture.items import Drawing, Text


def list_texts(blocks: Iterable[Block]) -> Iterator[str]:
    """The strings of some blocks, alt texts and captions too; nothing that is only drawn."""
    for block in blocks:
        match block:
            case Heading() | Paragraph() | Band():
                yield block.text
            case Stop():
                yield from (block.label, block.medicine, block.figure, block.unit, block.words, *block.count)
                yield from (block.addition,) if block.addition else ()
            case Figure():
                yield block.alt
                yield from (block.caption,) if block.caption else ()
            case FigurePair():
                yield from list_texts(block.figures)
            case Steps() | Points():
                yield from block.items
            case WriteIn():
                yield from block.labels
            case Table():
                yield from (cell for row in (block.header, *block.rows) for cell in row)


def list_patient_texts(sheets: FillSheets) -> tuple[str, ...]:
    """Every string of one fill's pages."""
    return (sheets.name, sheets.running_lines, *list_texts((*sheets.front, sheets.barrels, *sheets.after)))


def list_all_texts(card: Card) -> tuple[str, ...]:
    """Every string of a card: patient's pages, maker's page, title and foot."""
    patients = [text for sheets in card.fills for text in list_patient_texts(sheets)]
    return (card.title, card.foot, *patients, *list_texts(card.makers))


def list_drawn_texts(sheets: FillSheets) -> tuple[str, ...]:
    """Every string painted inside a picture of one fill's pages."""
    drawings: list[Drawing] = []
    for block in (*sheets.front, sheets.barrels, *sheets.after):
        if isinstance(block, Figure):
            drawings.append(block.drawing)
        if isinstance(block, FigurePair):
            drawings += [figure.drawing for figure in block.figures]
    return tuple(item.text for drawing in drawings for item in drawing.items if isinstance(item, Text))


def split_sentences(text: str) -> tuple[str, ...]:
    """Sentences of a string; a point inside a number ends none."""
    return tuple(part.strip() for part in re.split(r"(?<=[.?!])\s+", text) if part.strip())
