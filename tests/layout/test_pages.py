"""Claims about pages, over random cards, sizes and papers. The measuring is done on the placed items."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support.cards import build_example_barrels, draw_cross, make_cards
from support.reading import find_elements, find_figures, list_marks

from fillcards.card.model import (
    Card,
    Figure,
    FigurePair,
    FillSheets,
    GeneralSheets,
    Heading,
    Paragraph,
    Steps,
    Stop,
    WriteIn,
)
from fillcards.catalogue.papers import load_papers
from fillcards.layout.model import Box, Element, Page, Placed, PlacedCard
from fillcards.layout.pages import place_card
from fillcards.layout.proof import find_faults, require_apart
from fillcards.picture.items import Line, Text
from fillcards.plan.print_size import PrintSize
from fillcards.problems import InternalFault, RegimenRefused
from fillcards.regimen.model import BarrelDirection

PAPERS = [paper for paper in load_papers().values() if not paper.is_small]


def make_size(body_pt: float) -> PrintSize:
    """A print size in the ratios of the design's table."""
    return PrintSize(body_pt, min(body_pt, 36.0), max(44.0, body_pt), 120.0 if body_pt <= 24 else 96.0, "asked for")


SIZES = st.sampled_from((18.0, 20.0, 24.0, 32.0, 36.0, 48.0, 72.0, 96.0)).map(make_size)


def place_or_refuse(card: Card, size: PrintSize, paper_number: int) -> PlacedCard | None:
    """The placed card, or ``None`` where a piece is honestly too tall for a page."""
    refused: list[str] = []
    placed = None
    try:
        placed = place_card(card, size, PAPERS[paper_number])
    except RegimenRefused as error:
        refused = [problem.code for problem in error.problems]
    assert set(refused) <= {"LAYOUT-001", "LAYOUT-002"}
    return placed


@settings(max_examples=150, deadline=None, derandomize=True)
@given(make_cards(), SIZES, st.integers(0, len(PAPERS) - 1))
def test_nothing_overlaps_leaves_the_live_area_or_is_too_small(card: Card, size: PrintSize, paper: int) -> None:
    """No page of any card at any size has a fault by the geometric proof."""
    placed = place_or_refuse(card, size, paper)
    if placed is not None:
        assert [fault for page in placed.pages for fault in find_faults(page)] == []


@settings(max_examples=60, deadline=None, derandomize=True)
@given(make_cards(), SIZES, st.integers(0, len(PAPERS) - 1))
def test_every_mark_is_placed_and_read_once(card: Card, size: PrintSize, paper: int) -> None:
    """The structure tree names each placed mark exactly once, and no mark that is not placed."""
    placed = place_or_refuse(card, size, paper)
    if placed is not None:
        read = list(list_marks(placed.structure))
        on_paper = {item.mark for page in placed.pages for item in page.placed if item.mark is not None}
        assert len(read) == len(set(read))
        assert set(read) == on_paper


@settings(max_examples=60, deadline=None, derandomize=True)
@given(make_cards(), SIZES, st.integers(0, len(PAPERS) - 1))
def test_a_step_stands_on_one_page_with_its_number(card: Card, size: PrintSize, paper: int) -> None:
    """No step is split over two pages, or from its number."""
    placed = place_or_refuse(card, size, paper)
    if placed is None:
        return
    pages_of: dict[int, set[int]] = {}
    for number, page in enumerate(placed.pages):
        for item in page.placed:
            if item.mark is not None:
                pages_of.setdefault(item.mark, set()).add(number)
    for step in find_elements(placed.structure, "LI"):
        assert len(set.union(*(pages_of[mark] for mark in list_marks(step)))) == 1


@settings(max_examples=40, deadline=None, derandomize=True)
@given(make_cards(), SIZES, st.integers(0, len(PAPERS) - 1))
def test_each_name_takes_whole_sheets(card: Card, size: PrintSize, paper: int) -> None:
    """Each fill, and what holds for all, has an even number of pages: two-sided printing cannot join two of them."""
    placed = place_or_refuse(card, size, paper)
    if placed is not None:
        patients = [page.fill_number for page in placed.pages if not page.is_makers]
        names = [*range(1, len(card.fills) + 1), None]
        assert list(dict.fromkeys(patients)) == names
        assert all(patients.count(name) % 2 == 0 for name in names)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(make_cards(), st.sampled_from((18.0, 24.0, 32.0)).map(make_size))
def test_every_page_of_a_fill_bears_its_name_and_page_count(card: Card, size: PrintSize) -> None:
    """A dropped or turned sheet names its fill and its place in it; so does one that holds for every fill."""
    placed = place_or_refuse(card, size, 0)
    if placed is None:
        return
    heads = [(number, fill.name, fill.running_lines) for number, fill in enumerate(card.fills, start=1)]
    for number, name, running_lines in (*heads, (None, card.general.name, "")):
        pages = [page for page in placed.pages if page.fill_number == number and not page.is_makers]
        for position, page in enumerate(pages, start=1):
            words = " ".join(item.text for block in page.placed for item in block.items if isinstance(item, Text))
            assert name in words
            assert f"page {position} of {len(pages)}" in words
            if position > 1:
                assert running_lines in words
                assert card.band is None or card.band in words


def test_a_last_step_never_stands_alone() -> None:
    """Of a list that breaks over pages the last two steps stay together."""
    card = make_card_of_steps(40)
    placed = place_card(card, make_size(24.0), PAPERS[0])
    steps = list(find_elements(placed.structure, "LI"))
    page_of = {item.mark: n for n, page in enumerate(placed.pages) for item in page.placed if item.mark is not None}
    pages = [page_of[next(list_marks(step))] for step in steps]
    assert len(set(pages)) > 1
    assert pages[-1] == pages[-2]
    assert pages[0] == pages[1]


def make_card_of_steps(count: int) -> Card:
    """A card whose first fill has many steps."""
    card = _plain_card()
    fill = replace(card.fills[0], after=(Steps(tuple(f"Do act {number} slowly." for number in range(count))),))
    return replace(card, fills=(fill,))


def _plain_card() -> Card:
    """One fill, one medicine, one line of text after page one."""
    stop = Stop("Line", "insulin glargine", "14", "units", "fourteen", ("4 short lines past 10.",))
    front = (Heading(1, "Noon"), stop, Paragraph("Call the clinic."))
    barrels = build_example_barrels("single", BarrelDirection.NEEDLE_UP)
    fill = FillSheets("Noon", "Line 14", front, barrels, (Paragraph("x"),))
    general = GeneralSheets("Your vial", (Heading(1, "Your vial"), Paragraph("x")))
    return Card("Sample", "en", "K7QX", None, (fill,), general, (Heading(1, "Maker"),), "card code K7QX", "K7QX")


def test_a_text_taller_than_a_page_goes_on_overleaf() -> None:
    """A long paragraph breaks between its lines; nothing of it is lost."""
    words = "push the plunger slowly " * 120
    card = _plain_card()
    fill = replace(card.fills[0], after=(Paragraph(words.strip()),))
    placed = place_card(replace(card, fills=(fill,)), make_size(36.0), PAPERS[0])
    pages = [
        " ".join(
            item.text for block in page.placed for item in block.items if isinstance(item, Text) and "push" in item.text
        )
        for page in placed.pages
    ]
    assert sum(bool(text) for text in pages) > 1
    assert " ".join(" ".join(pages).split()).count("push") == 120


def test_captions_taller_than_a_page_do_not_refuse_the_card() -> None:
    """Two pictures whose captions grow too tall side by side stand one below the other; nothing is made smaller."""
    words = "push the plunger slowly " * 14
    pair = FigurePair(tuple(Figure(draw_cross(60.0, 70.0), alt, words.strip()) for alt in ("one", "other")))
    fill = replace(_plain_card().fills[0], after=(pair,))
    placed = place_card(replace(_plain_card(), fills=(fill,)), make_size(36.0), PAPERS[0])
    (one_on, one), (other_on, other) = find_figures(placed, ("one", "other"))
    assert (one_on, one.box.bottom_mm) < (other_on, other.box.y_mm)
    assert {(each.box.width_mm, each.box.height_mm) for each in (one, other)} == {(60.0, 70.0)}


def test_a_label_taller_than_a_page_breaks_and_keeps_its_line() -> None:
    """The line to write on stands under the last words of its label, on their page."""
    label = WriteIn(("push the plunger slowly " * 20,))
    fill = replace(_plain_card().fills[0], after=(label,))
    placed = place_card(replace(_plain_card(), fills=(fill,)), make_size(72.0), PAPERS[0])
    pages = [page for page in placed.pages if any(_holds_word(each, "plunger") for each in page.placed)]
    assert len(pages) > 1
    last_words = max(each.box.bottom_mm for each in pages[-1].placed if _holds_word(each, "slowly"))
    lines = [
        item for each in pages[-1].placed for item in each.items if isinstance(item, Line) and item.width_mm == 0.5
    ]
    assert [line.y1_mm > last_words for line in lines] == [True]


def _holds_word(placed: Placed, word: str) -> bool:
    return any(isinstance(item, Text) and word in item.text for item in placed.items)


class TestProofCanFail:
    """The geometric proof finds each kind of fault it is there for."""

    @staticmethod
    def make_page(*placed: Placed) -> Page:
        """A letter page of a fill."""
        return Page(215.9, 279.4, placed, 1)

    @staticmethod
    def make_block(x_mm: float, y_mm: float, width_mm: float = 40.0, height_mm: float = 10.0) -> Placed:
        """A block with one line across it."""
        line = Line(x_mm, y_mm + height_mm / 2, x_mm + width_mm, y_mm + height_mm / 2, 0.5)
        return Placed(Box(x_mm, y_mm, width_mm, height_mm), (line,), 0)

    def test_overlap(self) -> None:
        """Two boxes that meet are reported."""
        faults = list(find_faults(self.make_page(self.make_block(20, 40), self.make_block(50, 45))))
        assert any("overlaps" in fault for fault in faults)

    def test_outside(self) -> None:
        """A box in the margin is reported."""
        faults = list(find_faults(self.make_page(self.make_block(5, 40))))
        assert any("leaves the live area" in fault for fault in faults)

    def test_magnet_room(self) -> None:
        """A box in the top 22 mm of a patient's page is reported."""
        faults = list(find_faults(self.make_page(self.make_block(20, 16))))
        assert any("leaves the live area" in fault for fault in faults)

    def test_clipped(self) -> None:
        """An item larger than its box is reported."""
        block = self.make_block(20, 40)._replace(items=(Line(20, 40, 90, 40, 0.5),))
        assert any("leaves its box" in fault for fault in find_faults(self.make_page(block)))

    def test_small_text(self) -> None:
        """Text of 12 pt on a patient's page is reported."""
        block = self.make_block(20, 40)._replace(items=(Text(20, 47, "8 units", 12),))
        assert any("12 pt" in fault for fault in find_faults(self.make_page(block)))

    def test_raises(self) -> None:
        """A fault of layout is raised as a fault of ours."""
        page = self.make_page(self.make_block(5, 40))
        with pytest.raises(InternalFault, match="page 1"):
            require_apart(PlacedCard("t", "en", (page,), Element("Document", (0,))))
