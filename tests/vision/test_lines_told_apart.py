"""Where the lines of the enlarged barrel are too fine for the reader, the close-ups are not, and the card says so."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Final

import pytest
from hypothesis import assume, event, given, settings
from hypothesis import strategies as st
from support.card_text import list_texts
from support.plans import build_card, make_plans, plan_example
from support.reading import find_figures

from fillcards.card.model import Card, FigurePair, LineGaps
from fillcards.catalogue.near_vision import measure_line_separation_mm, parse_near_acuity
from fillcards.catalogue.papers import load_papers
from fillcards.layout.model import Placed, PlacedCard
from fillcards.layout.pages import place_card
from fillcards.picture.items import Line, Text
from fillcards.plan.model import Plan
from fillcards.plan.print_size import choose_print_size
from fillcards.problems import RegimenRefused
from fillcards.regimen.model import BarrelDirection, Patient
from fillcards.wording.english.alt import USE_CLOSE_UP

EASE_MM: Final = 1e-6
WIDEST_MM: Final = 11.0
"""No picture has its lines further apart (design)."""
ACUITIES: Final = ("20/20", "20/40", "20/63", "20/100", "20/160", "20/200", "20/300", "20/500")


def place(plan: Plan, acuity: str, reserve: float = 2.0, paper: str = "letter") -> tuple[Card, PlacedCard]:
    """A plan's card for an eye at 40 cm."""
    size = choose_print_size(Patient(reads=parse_near_acuity(f"{acuity} at 40 cm", reserve)))
    card = build_card(plan, size=size, paper=paper)
    return card, place_card(card, size, load_papers()[paper])


def measure_gap_mm(figure: Placed, direction: BarrelDirection) -> float:
    """The least distance between neighbouring lines of the scale, measured on the picture as it stands on paper."""
    lines = [item for item in figure.items if isinstance(item, Line) and not item.dash_mm]
    if direction is BarrelDirection.NEEDLE_UP:
        level = [line for line in lines if line.y1_mm == line.y2_mm]
        # Lines of the scale start at one wall; a stop's line does as well, and stands on one of them.
        wall_mm = min(min(line.x1_mm, line.x2_mm) for line in level)
        starts = [line for line in level if min(line.x1_mm, line.x2_mm) == pytest.approx(wall_mm, abs=EASE_MM)]
        places = sorted({round(line.y1_mm, 6) for line in starts})
    else:
        level = [line for line in lines if line.x1_mm == line.x2_mm]
        ends = [y for line in level for y in (line.y1_mm, line.y2_mm)]
        wall_mm = max(ends) if direction is BarrelDirection.NEEDLE_LEFT else min(ends)
        starts = [line for line in level if min(abs(y - wall_mm) for y in (line.y1_mm, line.y2_mm)) < EASE_MM]
        places = sorted({round(line.x1_mm, 6) for line in starts})
    return min(other - one for one, other in pairwise(places))


def find_barrels(card: Card, placed: PlacedCard) -> list[tuple[int, Placed]]:
    """The enlarged barrels of the first fill, each with its page."""
    return find_figures(placed, card.fills[0].barrels.alts)


def find_close_ups(card: Card, placed: PlacedCard) -> list[tuple[int, Placed]]:
    """The close-ups of the first fill, each with its page."""
    pair = next(block for block in card.fills[0].after if isinstance(block, FigurePair))
    return find_figures(placed, [figure.alt for figure in pair.figures])


def say_so(placed: PlacedCard, fill_number: int = 1) -> bool:
    """Whether the pages of a fill send the reader to the close-up."""
    words = [
        item.text
        for page in placed.pages
        if page.fill_number == fill_number
        for each in page.placed
        for item in each.items
        if isinstance(item, Text)
    ]
    return USE_CLOSE_UP in " ".join(words)


def check_lines(plan: Plan, acuity: str, reserve: float, paper: str) -> None:
    """Every claim about the lines of one card."""
    needed_mm = reserve * measure_line_separation_mm(parse_near_acuity(f"{acuity} at 40 cm"))
    card, placed = place(plan, acuity, reserve, paper)
    direction = plan.regimen.print.barrel
    barrel_mm = min(measure_gap_mm(figure, direction) for _, figure in find_barrels(card, placed))
    close_mm = min(measure_gap_mm(figure, direction) for _, figure in find_close_ups(card, placed))
    assert close_mm >= min(needed_mm, WIDEST_MM) - 1e-4
    assert say_so(placed) == (barrel_mm < needed_mm - 1e-4)
    assert placed.barrel_gaps_mm[0] == pytest.approx(barrel_mm, abs=1e-4)
    told = next(block for block in card.makers if isinstance(block, LineGaps))
    assert told.close_up_mm[0] == pytest.approx(close_mm, abs=1e-4)
    assert told.least_mm == pytest.approx(needed_mm)


@pytest.mark.parametrize("acuity", ACUITIES)
@pytest.mark.parametrize("direction", BarrelDirection)
def test_every_acuity_gets_lines_it_can_tell_apart(acuity: str, direction: BarrelDirection) -> None:
    """Two insulins on the half-millilitre barrel, as the hand holds it, at every acuity."""
    plan = plan_example("W13")
    regimen = replace(plan.regimen, print=replace(plan.regimen.print, barrel=direction))
    try:
        check_lines(replace(plan, regimen=regimen), acuity, 2.0, "letter")
    except RegimenRefused as refusal:
        pytest.fail(f"no card: {refusal.problems[0].found}")


@settings(max_examples=25)
@given(make_plans(), st.sampled_from(ACUITIES), st.sampled_from((2.0, 3.0)), st.sampled_from(("letter", "a4")))
def test_random_regimens_get_lines_they_can_tell_apart(plan: Plan, acuity: str, reserve: float, paper: str) -> None:
    """Any scale, any stop, any eye: measured on the pictures as they stand on paper."""
    try:
        check_lines(plan, acuity, reserve, paper)
    except RegimenRefused as refusal:
        # A long scale at twice its size on a page of very large print; the maker is told, no card is made.
        event("refused: the barrel at twice its size is taller than a page")
        assume({problem.code for problem in refusal.problems} != {"LAYOUT-001"})
        raise


def test_the_worked_case_of_20_100() -> None:
    """20/100 at 40 cm needs 2.33 mm (400 mm x tan 2' x 5 x 2), 2.7 times the 0.86 mm of the standard's shortest barrel;
    a page of its own gives it, so nothing needs to be said.
    """
    card, placed = place(plan_example("mixed"), "20/100")
    barrel_mm = measure_gap_mm(find_barrels(card, placed)[0][1], BarrelDirection.NEEDLE_UP)
    assert barrel_mm >= 2.327
    assert not say_so(placed)


def test_the_worked_case_of_20_200() -> None:
    """20/200 at 40 cm needs 4.65 mm; 50 lines of that are 233 mm, more than the page has: the close-up is sent for."""
    card, placed = place(plan_example("mixed"), "20/200")
    barrel_mm = measure_gap_mm(find_barrels(card, placed)[0][1], BarrelDirection.NEEDLE_UP)
    close_mm = measure_gap_mm(find_close_ups(card, placed)[0][1], BarrelDirection.NEEDLE_UP)
    assert barrel_mm < 4.65 <= close_mm
    assert say_so(placed, 1)
    assert say_so(placed, 2)


def test_a_barrel_that_serves_goes_before_page_one() -> None:
    """Where page one has room for finer lines only, the barrel goes on to page two, if it serves there; where it serves
    nowhere, the card says so.
    """

    def find_page(needed_mm: float) -> tuple[set[int], bool]:
        size = replace(choose_print_size(Patient()), line_gap_mm=needed_mm)
        card = build_card(plan_example("W13"), size=size)
        placed = place_card(card, size, load_papers()["letter"])
        return {page for page, _ in find_barrels(card, placed)}, say_so(placed)

    assert find_page(0.0) == ({0}, False)
    assert find_page(2.8) == ({1}, False)
    assert find_page(5.0)[1]


def test_the_makers_page_tells_needed_and_got() -> None:
    """Both factors in words; where the whole barrel is too fine the maker reads that too."""
    _, placed = place(plan_example("mixed"), "20/200")
    words = " ".join(
        item.text
        for page in placed.pages
        if page.is_staff
        for each in page.placed
        for item in each.items
        if isinstance(item, Text)
    )
    assert "needs the lines of a scale 4.65 mm apart (5.4 times)" in words
    assert "too fine for counting" in words


def test_without_an_acuity_nothing_is_claimed() -> None:
    """Nobody is told that a barrel serves eyes that nobody measured."""
    plan = plan_example("mixed")
    size = choose_print_size(Patient())
    card = build_card(plan, size=size)
    placed = place_card(card, size, load_papers()["letter"])
    assert not say_so(placed)
    told = next(block for block in card.makers if isinstance(block, LineGaps))
    assert told.least_mm == 0
    assert USE_CLOSE_UP not in " ".join(list_texts(card.makers))
