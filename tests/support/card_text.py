"""Every string of a card's pages, in reading order, and the sentences in them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from fillcards.card.model import (
    Band,
    Barrels,
    Block,
    Card,
    Figure,
    FigurePair,
    FillSheets,
    GeneralSheets,
    Heading,
    LineGaps,
    Paragraph,
    Points,
    Steps,
    Stop,
    Table,
    WriteIn,
)
from fillcards.layout.barrels import LEAST_ENLARGEMENT, draw_barrels
from fillcards.picture.items import Drawing, Text
from fillcards.wording.english.makers import write_line_gaps


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
            case LineGaps():
                # What the barrels came to is known to the layout alone; any figure has the same words.
                barrels_mm = (2 * block.real_mm,) * len(block.names)
                yield from write_line_gaps(block.names, barrels_mm, block.close_up_mm, block.real_mm, block.least_mm)


def list_barrel_texts(barrels: Barrels) -> Iterator[str]:
    """What may be said of the enlarged barrels, whatever their place leaves room for."""
    yield from (*barrels.alts, *barrels.captions)
    if barrels.too_fine:
        yield barrels.too_fine


def list_patient_texts(sheets: FillSheets | GeneralSheets) -> tuple[str, ...]:
    """Every string of one fill's pages, or of those that hold for every fill."""
    if isinstance(sheets, GeneralSheets):
        return (sheets.name, *list_texts(sheets.blocks))
    pictures = (*list_barrel_texts(sheets.barrels), *list_texts(sheets.after))
    return (sheets.name, sheets.running_lines, *list_texts(sheets.front), *pictures)


def list_given_away_texts(card: Card) -> tuple[str, ...]:
    """Every string of all the patient's pages."""
    fills = tuple(text for sheets in card.fills for text in list_patient_texts(sheets))
    return (*fills, *list_patient_texts(card.general))


def list_all_texts(card: Card) -> tuple[str, ...]:
    """Every string of a card: patient's pages, maker's page, title and foot."""
    return (card.title, card.foot, *list_given_away_texts(card), *list_texts(card.makers))


def list_drawn_texts(sheets: FillSheets) -> tuple[str, ...]:
    """Every string painted inside a picture of one fill's pages."""
    shortest_mm = float(sheets.barrels.syringe.shortest_scale_length_mm)
    barrels = draw_barrels(sheets.barrels, LEAST_ENLARGEMENT * shortest_mm)
    drawings: list[Drawing] = [figure.drawing for figure in barrels]
    for block in (*sheets.front, *sheets.after):
        if isinstance(block, Figure):
            drawings.append(block.drawing)
        if isinstance(block, FigurePair):
            drawings += [figure.drawing for figure in block.figures]
    return tuple(item.text for drawing in drawings for item in drawing.items if isinstance(item, Text))


def split_sentences(text: str) -> tuple[str, ...]:
    """Sentences of a string; a point inside a number ends none."""
    return tuple(part.strip() for part in re.split(r"(?<=[.?!])\s+", text) if part.strip())
