"""One enlarged barrel on a page of its own size, for ``fillcards barrel``: to be put into a document at true size.

As large as the card's paper could hold. Above it the band that every unchecked page carries, below it its caption.
"""

from __future__ import annotations

from dataclasses import replace

from fillcards.card.model import Card, Figure
from fillcards.catalogue.model import Paper
from fillcards.layout.barrels import LEAST_ENLARGEMENT, draw_barrels, fit_barrels
from fillcards.layout.blocks import make_band
from fillcards.layout.model import Box, Element, Page, Placed, PlacedCard
from fillcards.layout.parts import Part, merge_marks, move_placed, stack_parts
from fillcards.layout.setter import Setter, space_parts
from fillcards.layout.sizes import LEAST_PATIENT_PT, MARGIN_MM, choose_maker_sizes

BORDER_MM = 5.0
GAP_MM = 4.0
LEAST_COLUMN_MM = 70.0
"""Narrower than this the words would break after every other word."""

WORDS_MM = 50.0
"""Height kept on the paper for the band and the caption."""


def place_barrel(card: Card, fill_number: int, draw_number: int, paper: Paper) -> PlacedCard:
    """One barrel of a card on a page as large as the picture, its words and a narrow border.

    Args:
        card: whose barrel, and whose band.
        fill_number: counts from 1.
        draw_number: counts from 1.
        paper: the card's; says how large the barrel may be.

    Raises:
        IndexError: there is no such fill or draw.
    """
    barrels = card.fills[fill_number - 1].barrels
    width_mm = float(paper.width_mm) - 2 * MARGIN_MM
    height_mm = float(paper.height_mm) - 2 * MARGIN_MM - WORDS_MM
    least_mm = LEAST_ENLARGEMENT * float(barrels.syringe.shortest_scale_length_mm)
    fitted = fit_barrels(barrels, width_mm, height_mm)
    figures = fitted.figures if fitted else draw_barrels(barrels, least_mm)
    figure = replace(figures[draw_number - 1], caption=barrels.captions[draw_number - 1])
    return _place_figure(figure, card, fill_number)


def _place_figure(figure: Figure, card: Card, fill_number: int) -> PlacedCard:
    size_pt = LEAST_PATIENT_PT
    setter = Setter(choose_maker_sizes())
    width_mm = max(figure.drawing.width_mm, LEAST_COLUMN_MM)
    parts: list[Part] = []
    elements: list[Element] = []
    if card.band is not None:
        mark = setter.take_mark()
        parts.append(make_band(card.band, size_pt, width_mm, mark))
        elements.append(Element("P", (mark,)))
    mark = setter.take_mark()
    parts.append(_make_figure(figure, mark, width_mm))
    elements.append(Element("Figure", (mark,), alt=figure.alt))
    if figure.caption is not None:
        caption = setter.set_text(figure.caption, size_pt, width_mm, bold=False)
        parts.extend(space_parts(caption.parts, GAP_MM))
        elements.extend(caption.elements)
    height_mm, placed = stack_parts(parts, BORDER_MM)
    page = Page(
        width_mm + 2 * BORDER_MM,
        height_mm + 2 * BORDER_MM,
        merge_marks(tuple(move_placed(each, 0.0, BORDER_MM) for each in placed)),
        fill_number,
    )
    return PlacedCard(card.title, card.language, (page,), Element("Document", tuple(elements)))


def _make_figure(figure: Figure, mark: int, width_mm: float) -> Part:
    drawing = figure.drawing
    placed = Placed(Box(0.0, 0.0, drawing.width_mm, drawing.height_mm), drawing.items, mark)
    centred = move_placed(placed, (width_mm - drawing.width_mm) / 2, 0.0)
    return Part(drawing.height_mm, (centred,), GAP_MM)
