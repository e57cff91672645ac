"""One picture on a page of its own size, for ``fillcards barrel``: to be put into a document, at scale exactly 1.

Above it the band that every unchecked page carries, below it its caption.
"""

from __future__ import annotations

from fillcards.card.model import Figure
from fillcards.layout.blocks import make_band
from fillcards.layout.model import Box, Element, Page, Placed, PlacedCard
from fillcards.layout.parts import Part, merge_marks, move_placed, stack_parts
from fillcards.layout.setter import Setter, space_parts
from fillcards.layout.sizes import LEAST_PATIENT_PT, TypeSizes

BORDER_MM = 5.0
GAP_MM = 4.0
LEAST_COLUMN_MM = 70.0
"""Narrower than this the words would break after every other word."""


def place_picture(figure: Figure, *, title: str, language: str, band: str | None, fill_number: int) -> PlacedCard:
    """A page as large as the picture, its words and a narrow border.

    Args:
        figure: the drawing with its alt text and caption.
        title: of the document.
        language: of all its words.
        band: the words of an unchecked card or a sample.
        fill_number: which fill is shown.
    """
    size_pt = LEAST_PATIENT_PT
    setter = Setter(TypeSizes(size_pt, size_pt, size_pt, size_pt, size_pt))
    width_mm = max(figure.drawing.width_mm, LEAST_COLUMN_MM)
    parts: list[Part] = []
    elements: list[Element] = []
    if band is not None:
        mark = setter.take_mark()
        parts.append(make_band(band, size_pt, width_mm, mark))
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
    return PlacedCard(title, language, (page,), Element("Document", tuple(elements)))


def _make_figure(figure: Figure, mark: int, width_mm: float) -> Part:
    drawing = figure.drawing
    placed = Placed(Box(0.0, 0.0, drawing.width_mm, drawing.height_mm), drawing.items, mark)
    centred = move_placed(placed, (width_mm - drawing.width_mm) / 2, 0.0)
    return Part(drawing.height_mm, (centred,), GAP_MM)
