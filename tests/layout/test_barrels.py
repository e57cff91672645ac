"""The enlarged barrels: at least twice life size, as large as their place allows, to one scale; and where they are."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Final

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from support.pictures import find_scale, make_filled, turn_all_up
from support.plans import SIZE, build_card, plan_example
from support.reading import find_elements, find_figures, find_placed

from fillcards.card.model import Barrels, Card, Figure, FigurePair
from fillcards.catalogue.papers import load_papers
from fillcards.layout.barrels import ENLARGEMENT_STEP, choose_scale_length_mm, draw_barrels, fit_barrels
from fillcards.layout.model import Placed, PlacedCard
from fillcards.layout.pages import place_card
from fillcards.picture.items import Text
from fillcards.plan.model import Plan
from fillcards.plan.print_size import PrintSize, choose_print_size
from fillcards.regimen.model import BarrelDirection, Patient, PrintChoice

LARGE: Final = choose_print_size(Patient(text_size_pt=Fraction(32)))
ROOMS: Final = st.tuples(st.integers(30, 190), st.integers(30, 240))
"""Width and height in mm, from a corner of a page to the whole of it."""
EASE_MM: Final = 1e-6


@st.composite
def make_barrels(draw: st.DrawFn, least_draws: int = 1) -> Barrels:
    """The barrels of any fill: any scale of the catalogue, one or two stops on its lines, held any way."""
    syringe, fill, direction = draw(make_filled(least_draws))
    words = ("words",) * len(fill.draws)
    return Barrels(fill, syringe, direction, words, words, number_pt=draw(st.sampled_from((14.0, 18.0, 28.0))))


def find_shortest_mm(barrels: Barrels) -> float:
    """The standard's shortest scale."""
    return float(barrels.syringe.shortest_scale_length_mm)


def measure_scale_mm(barrels: Barrels, figure: Figure) -> float:
    """From the first line of a drawn scale to its last, as it stands on paper."""
    lines = find_scale(turn_all_up(figure.drawing, barrels.direction))
    return lines[-1].y1_mm - lines[0].y1_mm


def fits(figures: tuple[Figure, ...], width_mm: float, height_mm: float) -> bool:
    """Whether each picture is no larger than its room."""
    return all(
        figure.drawing.width_mm <= width_mm + EASE_MM and figure.drawing.height_mm <= height_mm + EASE_MM
        for figure in figures
    )


@given(make_barrels(), ROOMS)
def test_the_barrel_is_at_least_twice_life_size(barrels: Barrels, room_mm: tuple[int, int]) -> None:
    """However small the room, no drawn scale is under twice the standard's shortest: rather there is none."""
    fitted = fit_barrels(barrels, *room_mm)
    assume(fitted is not None)
    assert fitted is not None
    for figure in fitted.figures:
        assert measure_scale_mm(barrels, figure) >= 2 * find_shortest_mm(barrels) - EASE_MM


@given(make_barrels(), ROOMS)
def test_the_barrel_is_never_larger_than_its_room(barrels: Barrels, room_mm: tuple[int, int]) -> None:
    """No picture of a draw is wider or higher than the room for it."""
    fitted = fit_barrels(barrels, *room_mm)
    assume(fitted is not None)
    assert fitted is not None
    assert fits(fitted.figures, *room_mm)


@given(make_barrels(), ROOMS)
def test_the_barrel_is_as_large_as_fits(barrels: Barrels, room_mm: tuple[int, int]) -> None:
    """One step of enlargement more would not fit; where there is no barrel, twice the shortest does not fit."""
    length_mm = choose_scale_length_mm(barrels, *room_mm)
    step_mm = ENLARGEMENT_STEP * find_shortest_mm(barrels)
    next_mm = 2 * find_shortest_mm(barrels) if length_mm is None else length_mm + step_mm
    assert not fits(draw_barrels(barrels, next_mm), *room_mm)


@given(make_barrels(), ROOMS)
def test_there_is_none_only_where_twice_life_size_does_not_fit(barrels: Barrels, room_mm: tuple[int, int]) -> None:
    """Small numbers are no reason to leave the barrel out: with 14 pt beside the scale it would not fit either."""
    if fit_barrels(barrels, *room_mm) is None:
        smallest = replace(barrels, number_pt=14.0)
        assert not fits(draw_barrels(smallest, 2 * find_shortest_mm(barrels)), *room_mm)


@given(make_barrels(least_draws=2), ROOMS)
def test_both_draws_are_to_one_scale(barrels: Barrels, room_mm: tuple[int, int]) -> None:
    """Their scales and their pictures are equally large, so that the eye can compare the two."""
    fitted = fit_barrels(barrels, *room_mm)
    assume(fitted is not None)
    assert fitted is not None
    first, second = fitted.figures
    assert measure_scale_mm(barrels, first) == pytest.approx(measure_scale_mm(barrels, second))
    assert (first.drawing.width_mm, first.drawing.height_mm) == (second.drawing.width_mm, second.drawing.height_mm)


def turn(plan: Plan, direction: BarrelDirection) -> Plan:
    """The same plan, the barrel held another way."""
    return replace(plan, regimen=replace(plan.regimen, print=PrintChoice(barrel=direction)))


def place(
    direction: BarrelDirection = BarrelDirection.NEEDLE_UP, size: PrintSize = SIZE, paper: str = "letter"
) -> tuple[Card, PlacedCard]:
    """An ordinary mixed fill: 6 units and 18 units on a barrel of 50 (worked example W13)."""
    card = build_card(turn(plan_example("W13"), direction), size=size, paper=paper)
    return card, place_card(card, size, load_papers()[paper])


def find_barrels(card: Card, placed: PlacedCard) -> list[tuple[int, Placed]]:
    """The two pictures of the fill, each with the position of its page."""
    found = find_figures(placed, card.fills[0].barrels.alts)
    assert len(found) == 2
    return found


def find_stops(placed: PlacedCard) -> list[tuple[int, Placed]]:
    """The two large figures, each with the position of its page."""
    figures = (pair for element in find_elements(placed.structure, "P") for pair in find_placed(placed, element))
    return [
        (number, each)
        for number, each in figures
        if any(isinstance(item, Text) and item.text in {"6", "24"} and item.size_pt >= 96 for item in each.items)
    ]


def test_barrels_stand_beside_the_stops_at_18_pt() -> None:
    """On letter (design 3.3): on page one, right of both figures and level with them."""
    card, placed = place()
    barrels, stops = find_barrels(card, placed), find_stops(placed)
    assert {number for number, _ in (*barrels, *stops)} == {0}
    for _, barrel in barrels:
        for _, stop in stops:
            assert barrel.box.x_mm > stop.box.right_mm
            assert barrel.box.y_mm < stop.box.bottom_mm
            assert stop.box.y_mm < barrel.box.bottom_mm


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_barrels_stand_overleaf_at_32_pt(paper: str) -> None:
    """Page one keeps both stops; the barrels follow its last lines, before all other pictures and steps."""
    card, placed = place(size=LARGE, paper=paper)
    assert [number for number, _ in find_stops(placed)] == [0, 0]
    (barrels_on, _), (second_on, _) = find_barrels(card, placed)
    close_ups = next(block for block in card.fills[0].after if isinstance(block, FigurePair))
    (close_up_on, _), *_ = find_figures(placed, (figure.alt for figure in close_ups.figures))
    assert 0 < barrels_on == second_on < close_up_on


def test_barrels_lead_page_two_if_page_one_holds_all_its_lines() -> None:
    """Design 3.3: the page that follows page one begins with the barrels, under nothing but its running head."""
    plan = plan_example("W13")
    card = build_card(plan, size=LARGE)
    fill = replace(card.fills[0], front=card.fills[0].front[:-3])
    placed = place_card(replace(card, fills=(fill,)), LARGE, load_papers()["letter"])
    (first_on, first), (second_on, _) = find_barrels(card, placed)
    assert (first_on, second_on) == (1, 1)
    read = [each for each in placed.pages[1].placed if each.mark is not None]
    assert min(each.box.y_mm for each in read) == first.box.y_mm


def test_upright_barrels_stand_side_by_side() -> None:
    """Both needles are at one height, so that the two lines can be compared."""
    for size in (SIZE, LARGE):
        (_, first), (_, second) = find_barrels(*place(size=size))
        assert first.box.right_mm < second.box.x_mm
        assert first.box.y_mm == pytest.approx(second.box.y_mm)


@pytest.mark.parametrize("size", [SIZE, LARGE], ids=["18 pt", "32 pt"])
@pytest.mark.parametrize("direction", [BarrelDirection.NEEDLE_LEFT, BarrelDirection.NEEDLE_RIGHT])
def test_level_barrels_stand_one_below_the_other(direction: BarrelDirection, size: PrintSize) -> None:
    """In drawing order, on one page, both from the left margin, so that line stands below line."""
    (page, first), (other_page, second) = find_barrels(*place(direction, size))
    assert page == other_page
    assert first.box.bottom_mm < second.box.y_mm
    assert first.box.x_mm == pytest.approx(second.box.x_mm)


def test_large_print_gets_the_larger_barrel() -> None:
    """At 32 pt the barrels have a page to themselves and use its room."""
    (_, beside), (_, alone) = (find_barrels(*place(size=size))[0] for size in (SIZE, LARGE))
    assert alone.box.height_mm > beside.box.height_mm


def test_a_taller_paper_gives_a_larger_barrel() -> None:
    """A4 is 17.6 mm taller than letter (ISO 216: 297 mm; 11 in), and the barrel by no more than that and one step."""
    (_, on_letter), (_, on_a4) = (find_barrels(*place(paper=paper))[0] for paper in ("letter", "a4"))
    assert 0 < on_a4.box.height_mm - on_letter.box.height_mm <= 17.6 + ENLARGEMENT_STEP * 43 + EASE_MM
