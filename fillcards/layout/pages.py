"""A card onto sheets: page one by its budget, then the flow, with running heads and feet; the maker's page last.

Each fill starts a new sheet and fills whole sheets, so that printing on two sides cannot join two fills.
"""

from __future__ import annotations

from dataclasses import replace

from fillcards.card.model import Block, Card, FillSheets, Heading, Paragraph, Stop
from fillcards.catalogue.model import Paper
from fillcards.layout.blocks import make_band, set_block
from fillcards.layout.flow import flow_parts, measure_parts_mm, place_parts
from fillcards.layout.model import Box, Element, Page, Placed, PlacedCard
from fillcards.layout.parts import Part, merge_marks, move_placed, place_lines, stack_parts
from fillcards.layout.setter import Setter, space_parts
from fillcards.layout.sizes import (
    MAGNET_MM,
    MARGIN_MM,
    TypeSizes,
    choose_maker_sizes,
    choose_patient_sizes,
    measure_pitch_mm,
)
from fillcards.layout.stops import fits_beside, set_stop
from fillcards.picture.items import Line
from fillcards.plan.print_size import PrintSize
from fillcards.problems import Place, Problem, RegimenRefused, Severity
from fillcards.typeface import TextTooWide, measure_width_mm, wrap_text

LEAST_STOP_COLUMN_MM = 84.0
"""Narrower than this the stops stand alone and the barrels lead the next page."""

MOST_EXTRA_GAP_MM = 7.0
"""Page one spreads what room is left between its blocks, up to this much each."""

HEAD_RULE_MM = 0.8


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
    setter = Setter(choose_patient_sizes(size))
    for number, fill in enumerate(card.fills, start=1):
        sheets = _FillSheets(card, fill, setter, paper)
        pages += sheets.place(number)
        sections.append(Element("Sect", sheets.elements, title=fill.name))
    setter = Setter(choose_maker_sizes(), setter.next_mark)
    maker_pages, maker_elements = _place_makers_pages(card, setter, paper)
    pages += maker_pages
    sections.append(Element("Sect", maker_elements, title=MAKERS_TITLE))
    return PlacedCard(card.title, card.language, tuple(pages), Element("Document", tuple(sections)))


def _make_too_wide_problem(error: TextTooWide) -> Problem:
    return Problem(
        "LAYOUT-002",
        Severity.REFUSE,
        Place(key="print.paper"),
        f"{error}",
        "every number fits on one line of the page",
        "choose a larger paper or a smaller text size, or put spaces into long numbers",
    )


MAKERS_TITLE = "For whoever prints and checks"


class _FillSheets:
    """One fill's sheets while they are being laid out."""

    def __init__(self, card: Card, fill: FillSheets, setter: Setter, paper: Paper) -> None:
        self.card = card
        self.fill = fill
        self.setter = setter
        self.sizes: TypeSizes = setter.sizes
        self.page_width_mm = float(paper.width_mm)
        self.page_height_mm = float(paper.height_mm)
        self.width_mm = self.page_width_mm - 2 * MARGIN_MM
        self.elements: tuple[Element, ...] = ()
        foot_mm = measure_pitch_mm(self.sizes.body_pt)
        self.foot_y_mm = self.page_height_mm - MARGIN_MM - foot_mm
        self.room_mm = self.foot_y_mm - MAGNET_MM - self.sizes.gap_mm

    def place(self, number: int) -> list[Page]:
        front, barrels_parts = self._set_front()
        head = self._make_running_head()
        head_mm = measure_parts_mm(head) + 1.5 * self.sizes.gap_mm
        after: list[Part] = list(barrels_parts)
        for block in self.fill.after:
            after += self._set(block)
        first_pages = flow_parts(front, self.room_mm, self.room_mm - head_mm)
        *full, last = first_pages
        if len(first_pages) > 1:
            # What page one could not hold goes on, and the rest follows on the same page.
            later = flow_parts([*last, *after], self.room_mm - head_mm, self.room_mm - head_mm)
            contents = [*full, *later]
        else:
            contents = [last, *flow_parts(after, self.room_mm - head_mm, self.room_mm - head_mm)]
        if len(contents) % 2:
            contents.append([])
        return [
            self._make_page(number, position, len(contents), parts, head, head_mm)
            for position, parts in enumerate(contents, start=1)
        ]

    def _set(self, block: Block) -> tuple[Part, ...]:
        done = set_block(self.setter, block, self.width_mm)
        self.elements += done.elements
        return done.parts

    def _set_front(self) -> tuple[list[Part], tuple[Part, ...]]:
        """Page one's parts, and the barrels' parts where they do not stand on it."""
        stops = tuple(block for block in self.fill.front if isinstance(block, Stop))
        position = self.fill.front.index(stops[0])
        before = self._set_facts(self.fill.front[:position])
        mark, elements = self.setter.next_mark, self.elements
        beside = self._set_stops_beside_barrels(stops)
        if beside is not None:
            stops_part, barrel_elements = beside
            parts = [*before, stops_part, *self._set_facts(self.fill.front[position + len(stops) :])]
            if measure_parts_mm(parts) <= self.room_mm:
                self.elements += barrel_elements
                return self._spread(parts), ()
        self.setter.next_mark, self.elements = mark, elements
        alone = [part for stop in stops for part in self._set(stop)]
        below = self._set_facts(self.fill.front[position + len(stops) :])
        return self._spread([*before, *alone, *below]), self._set(self.fill.barrels)

    def _set_facts(self, blocks: tuple[Block, ...]) -> list[Part]:
        """Facts that follow one another stand close, as one group; the first stands apart from what is above it."""
        parts: list[Part] = []
        for before, block in zip((None, *blocks), blocks, strict=False):
            done = self._set(block)
            if isinstance(block, Paragraph):
                is_apart = not isinstance(before, Heading | Paragraph)
                done = space_parts(done, self.sizes.group_gap_mm if is_apart else self.sizes.fact_gap_mm)
            parts += done
        return parts

    def _set_stops_beside_barrels(self, stops: tuple[Stop, ...]) -> tuple[Part, tuple[Element, ...]] | None:
        """Stops in the left column, the enlarged barrels in the right; ``None`` if they do not fit side by side."""
        gutter_mm = 3 * self.sizes.gap_mm
        drawings = [figure.drawing for figure in self.fill.barrels.figures]
        barrels_mm = sum(drawing.width_mm for drawing in drawings) + gutter_mm / 2 * (len(drawings) - 1)
        column_mm = self.width_mm - barrels_mm - gutter_mm
        widest_mm = max(measure_width_mm(stop.figure, self.sizes.figure_pt, True) for stop in stops)
        if column_mm < max(LEAST_STOP_COLUMN_MM, widest_mm):
            return None
        words_beside = all(fits_beside(self.setter, stop, column_mm) for stop in stops)
        parts: list[Part] = []
        for stop in stops:
            done = set_stop(self.setter, stop, column_mm, words_beside=words_beside)
            self.elements += done.elements
            parts += done.parts
        height_mm, left = stack_parts(parts)
        barrels_height_mm = max(drawing.height_mm for drawing in drawings)
        placed = list(left)
        barrel_elements: list[Element] = []
        x_mm = self.width_mm - barrels_mm
        for figure in self.fill.barrels.figures:
            done = set_block(self.setter, replace(figure, caption=None), figure.drawing.width_mm)
            placed += [move_placed(item, x_mm, 0.0) for part in done.parts for item in part.placed]
            barrel_elements += done.elements
            x_mm += figure.drawing.width_mm + gutter_mm / 2
        whole = Part(max(height_mm, barrels_height_mm), tuple(placed), self.sizes.group_gap_mm)
        return whole, tuple(barrel_elements)

    def _spread(self, parts: list[Part]) -> list[Part]:
        """The room left on page one goes between its blocks, never inside them."""
        spare_mm = self.room_mm - measure_parts_mm(parts)
        least_mm = min(self.sizes.gap_mm, self.sizes.group_gap_mm)
        gaps = [number for number, part in enumerate(parts) if number and part.space_before_mm >= least_mm]
        if spare_mm <= 0 or not gaps:
            return parts
        extra_mm = min(spare_mm / len(gaps), MOST_EXTRA_GAP_MM)
        return [
            replace(part, space_before_mm=part.space_before_mm + extra_mm) if number in gaps else part
            for number, part in enumerate(parts)
        ]

    def _make_running_head(self) -> list[Part]:
        """What stands at the top of every page after the first; a repeat, so it is not read aloud again."""
        size_pt = self.sizes.body_pt
        parts: list[Part] = []
        if self.card.band is not None:
            parts.append(make_band(self.card.band, size_pt, self.width_mm, None))
        one_line_mm = measure_width_mm(f"{self.fill.name}    {self.fill.running_lines}", size_pt, True)
        if one_line_mm <= self.width_mm:
            name = place_lines((self.fill.name,), size_pt, bold=True, mark=None)
            lines_mm = measure_width_mm(self.fill.running_lines, size_pt, True)
            lines = place_lines(
                (self.fill.running_lines,), size_pt, bold=True, mark=None, x_mm=self.width_mm - lines_mm
            )
            parts.append(Part(name.box.height_mm, (name, lines), self.sizes.gap_mm))
        else:
            for text in (self.fill.name, self.fill.running_lines):
                placed = place_lines(wrap_text(text, size_pt, True, self.width_mm), size_pt, bold=True, mark=None)
                parts.append(Part(placed.box.height_mm, (placed,), self.sizes.gap_mm / 2))
        rule = Line(0.0, HEAD_RULE_MM / 2, self.width_mm, HEAD_RULE_MM / 2, HEAD_RULE_MM)
        parts.append(Part(HEAD_RULE_MM, (Placed(Box(0.0, 0.0, self.width_mm, HEAD_RULE_MM), (rule,), None),), 1.0))
        return parts

    def _make_page(
        self, number: int, position: int, count: int, parts: list[Part], head: list[Part], head_mm: float
    ) -> Page:
        placed: tuple[Placed, ...] = ()
        y_mm = MAGNET_MM
        if position > 1:
            placed += place_parts(head, MARGIN_MM, y_mm)
            y_mm += head_mm
        if not parts:
            empty = place_lines((EMPTY_SIDE,), self.sizes.body_pt, bold=False, mark=None)
            parts = [Part(empty.box.height_mm, (empty,))]
        placed += merge_marks(place_parts(parts, MARGIN_MM, y_mm))
        placed += self._make_foot(position, count)
        return Page(self.page_width_mm, self.page_height_mm, placed, number)

    def _make_foot(self, position: int, count: int) -> tuple[Placed, ...]:
        size_pt = self.sizes.body_pt
        left = self.fill.name
        right = f"page {position} of {count}"
        whole = f"{left}   {self.card.foot}   {right}"
        right_x_mm = self.width_mm - measure_width_mm(right, size_pt, False)
        runs = [(left, 0.0), (right, right_x_mm)]
        if measure_width_mm(whole, size_pt, False) <= self.width_mm:
            left_mm, foot_mm = measure_width_mm(left, size_pt, False), measure_width_mm(self.card.foot, size_pt, False)
            runs.insert(1, (self.card.foot, left_mm + (right_x_mm - left_mm - foot_mm) / 2))
        elif measure_width_mm(f"{left}  {right}", size_pt, False) > self.width_mm:
            runs = [(right, right_x_mm)]
        return tuple(
            move_placed(place_lines((text,), size_pt, bold=False, mark=None, x_mm=x_mm), MARGIN_MM, self.foot_y_mm)
            for text, x_mm in runs
        )


EMPTY_SIDE = "This side is left empty."


def _place_makers_pages(card: Card, setter: Setter, paper: Paper) -> tuple[list[Page], tuple[Element, ...]]:
    """The maker's pages: the same grid without the magnet's room, in desk sizes."""
    width_mm = float(paper.width_mm) - 2 * MARGIN_MM
    elements: list[Element] = []
    parts: list[Part] = []
    for block in card.makers:
        done = set_block(setter, block, width_mm)
        elements += done.elements
        parts += done.parts
    size_pt = setter.sizes.body_pt
    foot_y_mm = float(paper.height_mm) - MARGIN_MM - measure_pitch_mm(size_pt)
    room_mm = foot_y_mm - MARGIN_MM - setter.sizes.gap_mm
    contents = flow_parts(parts, room_mm, room_mm)
    pages = []
    for position, page_parts in enumerate(contents, start=1):
        foot = f"{MAKERS_TITLE}: not for the patient   page {position} of {len(contents)}"
        foot_placed = move_placed(place_lines((foot,), size_pt, bold=False, mark=None), MARGIN_MM, foot_y_mm)
        placed = (*merge_marks(place_parts(page_parts, MARGIN_MM, MARGIN_MM)), foot_placed)
        pages.append(Page(float(paper.width_mm), float(paper.height_mm), placed, None))
    return pages, tuple(elements)
