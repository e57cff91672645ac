"""Claims about the pages of real regimens: every starter and random plans, at every size, on every paper, held any way.

The proof measures what stands on paper; the reading order is held against the card's own words.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Final

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.checked import mark_checked
from support.plans import EXAMPLES, STARTERS, build_card, make_plans, plan_example, plan_starter
from support.reading import read_sections, write_sections

from fillcards.card.model import Card, Stop
from fillcards.catalogue.papers import load_papers
from fillcards.layout.model import Element, Page, PlacedCard
from fillcards.layout.pages import place_card
from fillcards.layout.proof import find_faults
from fillcards.picture.items import Text
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Plan
from fillcards.plan.print_size import PrintSize, choose_print_size
from fillcards.problems import RegimenRefused
from fillcards.regimen.model import BarrelDirection, Patient, Regimen

SIZES_PT: Final = (18, 22, 24, 28, 32, 36, 48, 72, 96)
PAPERS: Final = ("letter", "a4")


def choose_size(body_pt: int) -> PrintSize:
    """The sizes a file gets that asks for so many points."""
    return choose_print_size(Patient(text_size_pt=Fraction(body_pt)))


def turn(plan: Plan, direction: BarrelDirection) -> Plan:
    """The same plan, the barrel held another way."""
    return replace(plan, regimen=replace(plan.regimen, print=replace(plan.regimen.print, barrel=direction)))


def place(plan: Plan, body_pt: int, paper: str) -> tuple[Card, PlacedCard]:
    """The card and its pages.

    Raises:
        RegimenRefused: a piece of it fits on no page.
    """
    size = choose_size(body_pt)
    card = build_card(plan, size=size, paper=paper)
    return card, place_card(card, size, load_papers()[paper])


def list_faults(card: Card, placed: PlacedCard) -> list[str]:
    """Everything wrong with the pages of a card, in words."""
    faults = [
        f"page {number}: {fault}" for number, page in enumerate(placed.pages, start=1) for fault in find_faults(page)
    ]
    for number in (*range(1, len(card.fills) + 1), None):
        count = sum(page.fill_number == number and not page.is_makers for page in placed.pages)
        if count == 0 or count % 2:
            faults.append(f"fill {number} has {count} sides")
    titles = [section.title for section in placed.structure.children if isinstance(section, Element)]
    if titles[:-1] != [*(fill.name for fill in card.fills), card.general.name]:
        faults.append(f"sections are {titles}")
    for title, read, written in zip(titles, read_sections(placed), write_sections(card, placed), strict=True):
        if read not in written:
            faults.append(f"{title} is not read as the card is written: {read}")
    return faults


@pytest.mark.parametrize("direction", BarrelDirection)
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_pages_of_the_starters_are_sound(path: Path, paper: str, direction: BarrelDirection) -> None:
    """At every size: nothing overlaps or leaves its place, whole sheets for each name, read in the card's order.

    Only a number that fits on no line is refused, and only in print over 48 pt: a strength of five digits, such as
    10,000 units/mL, is wider than any of these papers then.
    """
    plan = turn(plan_starter(path), direction)
    refused = []
    for body_pt in SIZES_PT:
        try:
            assert list_faults(*place(plan, body_pt, paper)) == [], body_pt
        except RegimenRefused as refusal:
            refused += [(body_pt, problem.code) for problem in refusal.problems]
    expected = [(72, "LAYOUT-002"), (96, "LAYOUT-002")] if path.stem == "units-on-a-milliliter-scale" else []
    assert refused == expected


@given(make_plans(), st.sampled_from(SIZES_PT), st.sampled_from(PAPERS))
def test_pages_of_random_plans_are_sound(plan: Plan, body_pt: int, paper: str) -> None:
    """The same whatever the scale, the doses and the route; none is refused in print under 36 pt."""
    faults, refused = [], set()
    try:
        faults = list_faults(*place(plan, body_pt, paper))
    except RegimenRefused as refusal:
        refused = {problem.code for problem in refusal.problems}
    assert faults == []
    assert refused <= ({"LAYOUT-001", "LAYOUT-002"} if body_pt >= 36 else set())


STATES: Final = ("sample", "unchecked", "checked")


def list_page_texts(page: Page) -> list[Text]:
    """Every run of text on a page outside its pictures, which hold lines of text and of scales."""
    plain = (each for each in page.placed if all(isinstance(item, Text) for item in each.items))
    return [item for each in plain for item in each.items if isinstance(item, Text)]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("direction", BarrelDirection)
@pytest.mark.parametrize("body_pt", [18, 22, 24, 28, 32])
@pytest.mark.parametrize("regimen", [EXAMPLES["mixed"], EXAMPLES["W13"], mark_checked(EXAMPLES["W13"])], ids=STATES)
def test_page_one_holds_both_stops(regimen: Regimen, body_pt: int, direction: BarrelDirection, paper: str) -> None:
    """Design 3.3: of an ordinary mixed fill the two large figures stand on page one, and on no other page."""
    card, placed = place(turn(plan_fills(regimen), direction), body_pt, paper)
    for number, fill in enumerate(card.fills, start=1):
        pages = [page for page in placed.pages if page.fill_number == number]
        figures = [
            [item.text for item in list_page_texts(page) if item.size_pt == choose_size(body_pt).figure_pt]
            for page in pages
        ]
        assert figures == [[block.figure for block in fill.front if isinstance(block, Stop)], *[[]] * (len(pages) - 1)]


TO_FILL_BY: Final = ("Before breakfast", "Sample Patient", "Card ", "1 short line past 5", "past 20", "6 + 18 = 24")
IN_DOUBT: Final = ("Past the total line?", "Not sure?", "Only for a syringe that says U-100 and ends at 50.")


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(("body_pt", "said"), [(18, (*TO_FILL_BY, *IN_DOUBT)), (32, TO_FILL_BY)])
def test_page_one_is_enough_to_fill_by(body_pt: int, said: tuple[str, ...], paper: str) -> None:
    """Design 3.3: when, whose, which card, both counts and the sum are on page one; at 18 pt the rescues too."""
    _, placed = place(plan_example("W13"), body_pt, paper)
    words = " ".join(item.text for item in list_page_texts(placed.pages[0]))
    assert [each for each in said if each not in words] == []


class TestCheckCanFail:
    """The check over real cards finds each kind of fault it is there for."""

    @pytest.fixture
    def made(self) -> tuple[Card, PlacedCard]:
        """A sound card."""
        made = place(plan_example("W13"), 18, "letter")
        assert list_faults(*made) == []
        return made

    def test_half_a_sheet(self, made: tuple[Card, PlacedCard]) -> None:
        """A side too few is told."""
        card, placed = made
        assert any("sides" in fault for fault in list_faults(card, replace(placed, pages=placed.pages[1:])))

    def test_wrong_order(self, made: tuple[Card, PlacedCard]) -> None:
        """Two elements read the other way round are told."""
        card, placed = made
        first, *others = placed.structure.children
        assert isinstance(first, Element)
        turned = first._replace(children=(*first.children[1::-1], *first.children[2:]))
        structure = placed.structure._replace(children=(turned, *others))
        assert any("not read as" in fault for fault in list_faults(card, replace(placed, structure=structure)))

    def test_lost_words(self, made: tuple[Card, PlacedCard]) -> None:
        """A caution the pages do not have is told."""
        card, placed = made
        other = build_card(plan_example("mixed")).general
        assert any("not read as" in fault for fault in list_faults(replace(card, general=other), placed))
