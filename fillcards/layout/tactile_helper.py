"""The helper's page of a tactile card: how to make the raised pages, in large print on plain paper."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from fillcards.card.model import Band, Block, Card, Figure, Heading, Paragraph, Points, Weight
from fillcards.catalogue.model import Paper
from fillcards.layout.blocks import set_block
from fillcards.layout.flow import flow_parts, place_parts
from fillcards.layout.model import Element, Page
from fillcards.layout.parts import Part, merge_marks, move_placed, place_lines
from fillcards.layout.setter import Setter
from fillcards.layout.sizes import MARGIN_MM, TypeSizes, measure_pitch_mm
from fillcards.picture.print_check import draw_hundred_mm_bar
from fillcards.picture.tactile_style import TactileStyle
from fillcards.problems import InternalFault
from fillcards.typeface import measure_width_mm
from fillcards.wording.english import makers, tactile

HELPER_SIZES: Final = TypeSizes(
    fact_pt=18.0, body_pt=18.0, title_pt=30.0, heading_pt=20.0, figure_pt=30.0, band_pt=18.0
)
_MOST_PAGES: Final = 9


@dataclass(frozen=True, slots=True)
class HelperPages:
    """The pages, their elements in reading order, and the first mark that is free after them."""

    pages: tuple[Page, ...]
    elements: tuple[Element, ...]
    next_mark: int


def place_helper_pages(card: Card, paper: Paper, style: TactileStyle, raised_count: int) -> HelperPages:
    """What the helper needs to know before printing.

    Args:
        card: gives band and foot.
        paper: the sheet.
        style: says which medium.
        raised_count: how many raised pages follow, after as many plain copies.
    """
    # The page names its own number, so it is guessed until it comes true.
    for count in range(1, _MOST_PAGES):
        placed = _place(_build_blocks(card, style, count + raised_count, count + 2 * raised_count), card, paper)
        if len(placed.pages) == count:
            return placed
    raise InternalFault("the helper's pages do not come to a number")


def _build_blocks(card: Card, style: TactileStyle, plain_pages: int, all_pages: int) -> tuple[Block, ...]:
    barrels = card.fills[0].barrels
    points = tactile.write_helper_points(
        style.medium.value, plain_pages, all_pages, barrels.fill.first.medicine, barrels.direction
    )
    return (
        Paragraph(tactile.HELPER_NOTICE, Weight.STRONG),
        *((Band(card.band),) if card.band else ()),
        Heading(1, tactile.HELPER_TITLE),
        Points(points),
        Figure(draw_hundred_mm_bar(), makers.BAR_ALT, None),
    )


def _place(blocks: tuple[Block, ...], card: Card, paper: Paper) -> HelperPages:
    setter = Setter(HELPER_SIZES)
    width_mm, height_mm = float(paper.width_mm), float(paper.height_mm)
    parts: list[Part] = []
    elements: list[Element] = []
    for block in blocks:
        done = set_block(setter, block, width_mm - 2 * MARGIN_MM)
        parts += done.parts
        elements += done.elements
    size_pt = HELPER_SIZES.body_pt
    foot_y_mm = height_mm - MARGIN_MM - measure_pitch_mm(size_pt)
    room_mm = foot_y_mm - MARGIN_MM - HELPER_SIZES.gap_mm
    contents = flow_parts(parts, room_mm, room_mm)
    pages = []
    for position, page_parts in enumerate(contents, start=1):
        right = tactile.write_page_count(position, len(contents))
        right_x_mm = width_mm - 2 * MARGIN_MM - measure_width_mm(right, size_pt, False)
        foot = [
            move_placed(place_lines((text,), size_pt, bold=False, mark=None, x_mm=x_mm), MARGIN_MM, foot_y_mm)
            for text, x_mm in ((card.foot, 0.0), (right, right_x_mm))
        ]
        placed = (*merge_marks(place_parts(page_parts, MARGIN_MM, MARGIN_MM)), *foot)
        pages.append(Page(width_mm, height_mm, placed, None, is_makers=True))
    return HelperPages(tuple(pages), tuple(elements), setter.next_mark)
