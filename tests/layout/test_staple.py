"""Claims about small cards on paper: random regimens on every small paper, held any way, alone and on sheets.

The measuring is done on the placed items; the staple's corner, the margins and the least sizes are restated here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support.plans import EXAMPLES, SMALL_PAPERS, build_small_card, make_plans, place_small_card, plan_example
from support.reading import find_elements, list_marks

from fillcards.card.model import Stop
from fillcards.catalogue.papers import load_papers
from fillcards.layout import staple
from fillcards.layout.model import Box, Element, Page, Placed, PlacedCard
from fillcards.layout.n_up import place_n_up
from fillcards.layout.proof import find_faults, measure_item_box
from fillcards.layout.staple import needs_short_form, place_staple
from fillcards.picture.items import Dot, Item, Line, Polygon, Text
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Plan
from fillcards.problems import RegimenRefused
from fillcards.regimen.model import BarrelDirection, Regimen

STAPLE_MM: Final = 15.0
LEAST_PT: Final = 12.0
LEAST_STROKE_MM: Final = 2 * 25.4 / 203 - 0.001
"""Two dots of a printer with 203 dots to the inch."""

PAPERS = st.sampled_from(SMALL_PAPERS)
SHEETS = st.sampled_from(("letter", "a4"))


def list_items(page: Page) -> Iterator[Item]:
    """Everything painted on a page."""
    yield from (item for placed in page.placed for item in placed.items)


def list_cards_of(placed: PlacedCard, number: int) -> list[Page]:
    """The sides of one fill's card."""
    return [page for page in placed.pages if page.fill_number == number]


def read_words(page: Page) -> str:
    """All text of a page, as painted."""
    return " ".join(item.text for item in list_items(page) if isinstance(item, Text))


def turn(regimen: Regimen, direction: BarrelDirection) -> Plan:
    """The plan of a regimen, its barrel held another way."""
    return plan_fills(replace(regimen, print=replace(regimen.print, barrel=direction)))


@settings(max_examples=60)
@given(make_plans(), PAPERS, st.booleans())
def test_no_card_has_a_fault(plan: Plan, paper: str, has_backs: bool) -> None:
    """No overlap, nothing in the margin, nothing clipped, whatever is to be said and on whatever small paper."""
    placed = place_small_card(plan, paper, has_backs=has_backs)
    assert [fault for page in placed.pages for fault in find_faults(page)] == []


@settings(max_examples=40)
@given(make_plans(), PAPERS)
def test_the_staple_has_its_corner(plan: Plan, paper: str) -> None:
    """15 x 15 mm without ink at the top left of every side, and at the top right of every side that may be a back."""
    placed = place_small_card(plan, paper)
    for number, page in enumerate(list_cards_of(placed, 1)):
        corners = [0.0] if number == 0 else [0.0, page.width_mm - STAPLE_MM]
        for box in map(measure_item_box, list_items(page)):
            for left_mm in corners:
                beside = box.right_mm <= left_mm or box.x_mm >= left_mm + STAPLE_MM
                assert beside or box.y_mm >= STAPLE_MM


@settings(max_examples=40)
@given(make_plans(), PAPERS)
def test_nothing_is_under_12_pt_or_finer_than_two_dots(plan: Plan, paper: str) -> None:
    """Every letter, and every stroke, frame and dot that means something."""
    for page in place_small_card(plan, paper).pages:
        for item in list_items(page):
            match item:
                case Text():
                    assert item.size_pt >= LEAST_PT
                case Line():
                    assert item.width_mm >= LEAST_STROKE_MM
                case Dot():
                    assert item.diameter_mm >= LEAST_STROKE_MM
                case Polygon():
                    box = measure_item_box(item)
                    ink_mm = item.outline_mm if item.fill is None else min(box.width_mm, box.height_mm)
                    assert ink_mm >= LEAST_STROKE_MM


@settings(max_examples=40)
@given(make_plans(), PAPERS)
def test_both_figures_stand_on_the_first_side_and_are_the_largest(plan: Plan, paper: str) -> None:
    """At least 42 pt, more than twice any other word on the card."""
    front, *others = list_cards_of(place_small_card(plan, paper), 1)
    stops = [block for block in build_small_card(plan).fills[0].front if isinstance(block, Stop)]
    large = [item.text for item in list_items(front) if isinstance(item, Text) and item.size_pt >= 42]
    assert large == [stop.figure for stop in stops]
    assert all(item.size_pt <= 33 for page in others for item in list_items(page) if isinstance(item, Text))


@settings(max_examples=40)
@given(make_plans(), PAPERS)
def test_every_mark_is_placed_and_read_once(plan: Plan, paper: str) -> None:
    """The structure tree names each placed mark exactly once, and no mark that is not placed."""
    placed = place_small_card(plan, paper)
    read = list(list_marks(placed.structure))
    on_paper = {item.mark for page in placed.pages for item in page.placed if item.mark is not None}
    assert len(read) == len(set(read))
    assert set(read) == on_paper


@pytest.mark.parametrize("paper", SMALL_PAPERS)
@pytest.mark.parametrize("name", EXAMPLES)
def test_nothing_of_the_card_is_left_out(name: str, paper: str) -> None:
    """Every step, caution, rule and label of every fill is on its own card."""
    plan, size = plan_example(name), load_papers()[paper]
    card = build_small_card(plan, is_short=needs_short_form(size))
    placed = place_staple(card, size)
    for number, fill in enumerate(card.fills, start=1):
        words = _squeeze(" ".join(map(read_words, list_cards_of(placed, number))))
        for block in (*fill.front, *fill.after):
            for text in _list_texts(block):
                assert _squeeze(text) in words


def _list_texts(block: object) -> list[str]:
    """The strings of a block that stand on paper as they are."""
    found = [getattr(block, name, None) for name in ("text", "figure", "words", "addition")]
    found += [*getattr(block, "items", ()), *getattr(block, "labels", ()), *getattr(block, "count", ())]
    return [text for text in found if isinstance(text, str)]


def _squeeze(text: str) -> str:
    """Letters and digits alone: lines may break anywhere between them."""
    return "".join(letter for letter in text if letter.isalnum())


@settings(max_examples=30)
@given(make_plans(), PAPERS)
def test_no_card_has_another_fills_words_on_its_back(plan: Plan, paper: str) -> None:
    """Each fill takes whole cards: an even number of sides, each of them its own."""
    twice = replace(plan.regimen, fills=(plan.regimen.fills[0], replace(plan.regimen.fills[0], when="at noon")))
    placed = place_small_card(plan_fills(twice), paper)
    numbers = [page.fill_number for page in placed.pages]
    assert numbers == sorted(numbers, key=lambda number: number or 0)
    assert numbers.count(1) % 2 == numbers.count(2) % 2 == 0
    assert not any("noon" in read_words(page).lower() for page in list_cards_of(placed, 1))


def test_label_stock_gets_no_empty_side() -> None:
    """Where cards have no backs each side is a leaf, and none is empty."""
    placed = place_small_card(plan_example("single"), "4x6 in", has_backs=False)
    assert not any("left empty" in read_words(page) for page in placed.pages)


@settings(max_examples=30)
@given(make_plans(), PAPERS)
def test_every_side_names_its_fill_its_lines_and_its_place(plan: Plan, paper: str) -> None:
    """A lost leaf can be put back: name, both lines, code, page n of m, and the band while unchecked."""
    pages = list_cards_of(place_small_card(plan, paper), 1)
    fill = build_small_card(plan).fills[0]
    for position, page in enumerate(pages, start=1):
        words = _squeeze(read_words(page))
        wanted = [fill.name, f"page {position} of {len(pages)}", "Not yet checked. Do not use."]
        wanted += [fill.running_lines] if position > 1 else []
        assert all(_squeeze(text) in words for text in wanted)


@pytest.mark.parametrize("direction", BarrelDirection)
@pytest.mark.parametrize("paper", SMALL_PAPERS)
def test_one_barrel_at_least_twice_the_standards_shortest(paper: str, direction: BarrelDirection) -> None:
    """One picture a card, 86 mm or more from zero line to last line; where it does not fit, the lines up close."""
    plan = turn(EXAMPLES["mixed"], direction)
    placed = place_small_card(plan, paper)
    sections = [section for section in placed.structure.children if isinstance(section, Element)]
    for section in sections:
        figures = list(find_elements(section, "Figure"))
        if len(figures) == 1:
            (picture,) = (p for page in placed.pages for p in page.placed if p.mark in set(list_marks(figures[0])))
            assert max(picture.box.width_mm, picture.box.height_mm) >= 2 * 43
        else:
            assert all("up close" in (figure.alt or "") for figure in figures)
            assert len(figures) == 2


@pytest.mark.parametrize("paper", SMALL_PAPERS)
def test_a_half_milliliter_barrel_fits_every_small_paper_upright(paper: str) -> None:
    """The commonest syringe is shown whole, checked or not."""
    figures = list(find_elements(place_small_card(plan_example("mixed"), paper).structure, "Figure"))
    assert [("large syringe" in (figure.alt or "")) for figure in figures] == [True, True]


def test_larger_paper_has_larger_words_or_fewer_cards() -> None:
    """Nothing is gained by a smaller card."""
    plan = plan_example("W13")
    small, large = (place_small_card(plan, paper) for paper in ("a6", "a5"))
    assert len(large.pages) <= len(small.pages)


@pytest.mark.parametrize("paper", SMALL_PAPERS)
def test_larger_type_never_costs_a_card(paper: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """As many cards as in 12 pt throughout; and some come in larger type."""
    sizes: list[float] = []
    for name in EXAMPLES:
        chosen = place_small_card(plan_example(name), paper)
        sizes += chosen.body_sizes_pt
        with monkeypatch.context() as patch:
            patch.setattr(staple, "BODY_SIZES_PT", ())
            least = place_small_card(plan_example(name), paper)
        assert set(least.body_sizes_pt) == {12.0}
        assert len(chosen.pages) == len(least.pages)
    assert 12.0 < max(sizes) <= 18.0


# On sheets.


@settings(max_examples=30)
@given(make_plans(), PAPERS, SHEETS)
def test_a_card_on_a_sheet_is_the_card_alone_moved(plan: Plan, paper: str, sheet: str) -> None:
    """Scale exactly 1: every item has the same size, and the same place on its card."""
    leaves = place_small_card(plan, paper, has_backs=False)
    sheets = place_n_up(leaves, load_papers()[sheet])
    cards = [card for page in sheets.pages[::2] for card in page.small_cards]
    for leaf, card, page in zip(leaves.pages, cards, _repeat(sheets, len(leaves.pages)), strict=False):
        on_sheet = {_locate(placed, card.x_mm, card.y_mm) for placed in page.placed}
        assert {_locate(placed, 0.0, 0.0) for placed in leaf.placed} <= on_sheet
        assert (card.width_mm, card.height_mm) == (leaf.width_mm, leaf.height_mm)


def _repeat(sheets: PlacedCard, count: int) -> list[Page]:
    """The sheet that each leaf stands on."""
    return [page for page in sheets.pages[::2] for _ in page.small_cards][:count]


def _locate(placed: Placed, x_mm: float, y_mm: float) -> tuple[float, ...]:
    box = placed.box
    sizes = [item.size_pt if isinstance(item, Text) else 0.0 for item in placed.items]
    places = (box.x_mm - x_mm, box.y_mm - y_mm, box.width_mm, box.height_mm)
    return (*(round(value, 6) for value in places), *sizes)


@pytest.mark.parametrize(
    ("paper", "sheet", "count"),
    [
        ("a6", "a4", 4),  # ISO 216: A6 is a quarter of A4
        ("a5", "a4", 2),  # and A5 half of it
        ("half_letter", "letter", 2),
        ("4x6 in", "letter", 2),
        ("4x6 in", "a4", 2),
        ("a6", "letter", 2),
    ],
)
def test_as_many_cards_as_the_sheet_holds(paper: str, sheet: str, count: int) -> None:
    """Upright or sideways, whichever holds more."""
    sheets = place_n_up(place_small_card(plan_example("mixed"), paper, has_backs=False), load_papers()[sheet])
    assert len(sheets.pages[0].small_cards) == count


@settings(max_examples=20)
@given(make_plans(), PAPERS, SHEETS)
def test_no_sheet_has_a_fault(plan: Plan, paper: str, sheet: str) -> None:
    """Cut marks meet nothing that is said and no staple's corner; cards meet nowhere."""
    sheets = place_n_up(place_small_card(plan, paper, has_backs=False), load_papers()[sheet])
    assert [fault for page in sheets.pages for fault in find_faults(page)] == []


def test_cut_marks_are_on_the_edges_to_cut_and_on_no_other() -> None:
    """Four cards of A6 on A4: one cut down the middle, one across it, and one along the foot, 1 mm from the edge."""
    sheets = place_n_up(place_small_card(plan_example("mixed"), "a6", has_backs=False), load_papers()["a4"])
    marks = [
        item
        for placed in sheets.pages[0].placed
        if placed.mark is None
        for item in placed.items
        if isinstance(item, Line) and item.width_mm == 0.3
    ]
    upright = {round(mark.x1_mm, 3) for mark in marks if mark.x1_mm == mark.x2_mm}
    level = {round(mark.y1_mm, 3) for mark in marks if mark.y1_mm == mark.y2_mm}
    assert upright == {105.0}
    assert level == {148.0, 296.0}


def test_backs_of_sheets_are_empty() -> None:
    """However it is printed, no card has another's words behind it."""
    sheets = place_n_up(place_small_card(plan_example("mixed"), "a6", has_backs=False), load_papers()["a4"])
    assert {read_words(page) for page in sheets.pages[1::2]} == {"This side is left empty."}
    assert len(sheets.pages) % 2 == 0


def test_a_card_larger_than_the_sheet_is_refused() -> None:
    """A5 does not go on A6."""
    leaves = place_small_card(plan_example("single"), "a5", has_backs=False)
    with pytest.raises(RegimenRefused) as refusal:
        place_n_up(leaves, load_papers()["a6"])
    assert [problem.code for problem in refusal.value.problems] == ["PAPER-002"]


class TestProofCanFail:
    """The geometric proof finds each kind of fault that only small cards have."""

    @staticmethod
    def find(item: Item, box: Box) -> list[str]:
        """The faults of an A6 front with one thing on it."""
        whole = Box(0.0, 0.0, 105.0, 148.0)
        corner = Box(0.0, 0.0, STAPLE_MM, STAPLE_MM)
        page = Page(105.0, 148.0, (Placed(box, (item,), 0),), 1, small_cards=(whole,), free=(corner,))
        return list(find_faults(page))

    def test_in_the_corner(self) -> None:
        """A line that ends in the square is reported."""
        faults = self.find(Line(10.0, 12.0, 60.0, 12.0, 0.5), Box(10.0, 11.75, 50.0, 0.5))
        assert any("staple's corner" in fault for fault in faults)

    def test_in_the_margin(self) -> None:
        """A line 3 mm from the edge is reported."""
        faults = self.find(Line(3.0, 50.0, 60.0, 50.0, 0.5), Box(3.0, 49.75, 57.0, 0.5))
        assert any("leaves the live area" in fault for fault in faults)

    def test_too_small(self) -> None:
        """Text of 11.5 pt is reported, text of 12 pt is not."""
        box = Box(20.0, 40.0, 40.0, 10.0)
        assert any("least is 12" in fault for fault in self.find(Text(20.0, 47.0, "8 units", 11.5), box))
        assert self.find(Text(20.0, 47.0, "8 units", 12.0), box) == []

    def test_too_fine(self) -> None:
        """A line of one dot of 203 dpi is reported."""
        faults = self.find(Line(20.0, 50.0, 60.0, 50.0, 25.4 / 203), Box(20.0, 49.0, 40.0, 2.0))
        assert any("stroke" in fault for fault in faults)
