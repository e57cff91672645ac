"""A card onto sheets: each fill's, then those that hold for every fill, then the maker's pages.

Each name starts a new sheet and fills whole sheets, so that printing on two sides cannot join two of them.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from fillcards.card.model import Card
from fillcards.catalogue.model import Paper
from fillcards.layout.blocks import set_block
from fillcards.layout.flow import flow_parts, place_parts
from fillcards.layout.front import place_fill
from fillcards.layout.model import Element, Page, PlacedCard
from fillcards.layout.parts import Part, merge_marks, move_placed, place_lines
from fillcards.layout.setter import Setter
from fillcards.layout.sheets import Sheets
from fillcards.layout.sizes import MARGIN_MM, choose_maker_sizes, choose_patient_sizes, measure_pitch_mm
from fillcards.plan.print_size import PrintSize
from fillcards.problems import Place, Problem, RegimenRefused, Severity
from fillcards.typeface import TextTooWide, measure_width_mm

MAKERS_TITLE: Final = "For whoever prints and checks"


def place_card(card: Card, size: PrintSize, paper: Paper) -> PlacedCard:
    """Every page of the card.

    Args:
        card: what it says.
        size: type sizes of the patient's pages.
        paper: the sheet.

    Raises:
        RegimenRefused: ``LAYOUT-001`` or ``LAYOUT-002`` if something cannot fit on the paper at its size.
    """
    try:
        return _place_pages(card, size, paper)
    except TextTooWide as error:
        raise RegimenRefused((_make_too_wide_problem(error),)) from error


def _place_pages(card: Card, size: PrintSize, paper: Paper) -> PlacedCard:
    pages: list[Page] = []
    sections: list[Element] = []
    feet = (card.foot, card.short_foot)
    setter = Setter(choose_patient_sizes(size, card.band, float(paper.width_mm)))
    for number, fill in enumerate(card.fills, start=1):
        sheets = Sheets(fill.name, fill.running_lines, card.band, feet, setter, paper, reads_band=number == 1)
        pages += place_fill(fill, sheets, number)
        setter.barrel_gaps_mm += (sheets.barrel_gap_mm,)
        sections.append(Element("Sect", sheets.elements, title=fill.name))
    # Only the facts of page one keep the computed size above 36 pt; what holds for every fill comes as the steps do.
    sizes = replace(setter.sizes, fact_pt=setter.sizes.body_pt)
    setter = Setter(sizes, setter.next_mark, setter.barrel_gaps_mm)
    sheets = Sheets(card.general.name, None, card.band, feet, setter, paper, reads_band=False)
    parts = sheets.set_all(card.general.blocks)
    pages += sheets.make_pages(flow_parts(parts, sheets.room_mm, sheets.later_room_mm), None)
    sections.append(Element("Sect", sheets.elements, title=card.general.name))
    setter = Setter(choose_maker_sizes(), setter.next_mark, setter.barrel_gaps_mm)
    maker_pages, maker_elements = place_makers_pages(card, setter, paper)
    sections.append(Element("Sect", maker_elements, title=MAKERS_TITLE))
    structure = Element("Document", tuple(sections))
    return PlacedCard(card.title, card.language, (*pages, *maker_pages), structure, setter.barrel_gaps_mm)


def place_makers_pages(card: Card, setter: Setter, paper: Paper) -> tuple[list[Page], tuple[Element, ...]]:
    """The maker's pages and their elements: the same grid without the magnet's room, in desk sizes."""
    width_mm = float(paper.width_mm) - 2 * MARGIN_MM
    elements: list[Element] = []
    parts: list[Part] = []
    for block in card.makers:
        done = set_block(setter, block, width_mm)
        elements += done.elements
        parts += done.parts
    size_pt = setter.sizes.body_pt
    pitch_mm = measure_pitch_mm(size_pt)
    foot_y_mm = float(paper.height_mm) - MARGIN_MM - pitch_mm
    # Two lines: on one, three runs of words side by side look like a sentence that is not read aloud.
    room_mm = foot_y_mm - pitch_mm - MARGIN_MM - setter.sizes.gap_mm
    contents = flow_parts(parts, room_mm, room_mm)
    pages = []
    for position, page_parts in enumerate(contents, start=1):
        right = f"page {position} of {len(contents)}"
        right_x_mm = width_mm - measure_width_mm(right, size_pt, False)
        foot = [
            move_placed(place_lines((text,), size_pt, bold=False, mark=None, x_mm=x_mm), MARGIN_MM, y_mm)
            for text, x_mm, y_mm in (
                (MAKERS_TITLE, 0.0, foot_y_mm - pitch_mm),
                (card.foot, 0.0, foot_y_mm),
                (right, right_x_mm, foot_y_mm),
            )
        ]
        placed = (*merge_marks(place_parts(page_parts, MARGIN_MM, MARGIN_MM)), *foot)
        pages.append(Page(float(paper.width_mm), float(paper.height_mm), placed, None, is_makers=True))
    return pages, tuple(elements)


def _make_too_wide_problem(error: TextTooWide) -> Problem:
    return Problem(
        "LAYOUT-002",
        Severity.REFUSE,
        Place(key="print.paper"),
        f"{error}",
        "every number fits on one line of the page",
        "choose a larger paper or a smaller text size, or put spaces into long numbers",
    )
