"""The pictures on a card: large enough, within their room, and with words that say what they say."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.plans import EXAMPLES, SIZE, build_card, make_plans, plan_example

from fillcards.card.barrels import BESIDE_HEIGHT_MM, OWN_PAGE_HEIGHT_MM, choose_scale_length_mm
from fillcards.card.model import Figure, FigurePair, Heading, Steps
from fillcards.catalogue.papers import load_papers
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Plan
from fillcards.plan.print_size import PrintSize
from fillcards.regimen.model import BarrelDirection, PrintChoice
from fillcards.wording.english.amounts import write_line

LETTER = load_papers()["letter"]
LARGE = PrintSize(32.0, 32.0, 44.0, 96.0, "asked for")
EASE_MM = 1e-6


@given(make_plans(), st.sampled_from((SIZE, LARGE)))
def test_the_barrel_is_at_least_twice_life_size(plan: Plan, size: PrintSize) -> None:
    """Never so small that somebody takes it for life size, and always a whole step of enlargement."""
    length_mm = choose_scale_length_mm(plan.fills[0], plan.regimen, size, LETTER)
    assert length_mm >= 2 * float(plan.regimen.syringe.shortest_scale_length_mm) - EASE_MM


@given(make_plans())
def test_upright_barrels_keep_within_their_room(plan: Plan) -> None:
    """On letter an upright barrel takes at most 132 mm beside the stops, else at most 190 mm on page two."""
    if plan.regimen.print.barrel is BarrelDirection.NEEDLE_UP:
        heights = [figure.drawing.height_mm for figure in build_card(plan).fills[0].barrels.figures]
        assert max(heights) <= OWN_PAGE_HEIGHT_MM + EASE_MM
        # Insulin on the half-millilitre barrel: 2 x 43 mm (ISO 8537:2007, Table 1) fits beside with needle and plunger.
        if plan.fills[0].first.medicine.is_insulin and plan.regimen.syringe.shortest_scale_length_mm <= 43:
            assert max(heights) <= BESIDE_HEIGHT_MM + EASE_MM


@given(make_plans())
def test_lying_barrels_keep_within_the_sides(plan: Plan) -> None:
    """A lying barrel is no wider than the page between its margins, and its two pictures fit one page."""
    if plan.regimen.print.barrel is not BarrelDirection.NEEDLE_UP:
        drawings = [figure.drawing for figure in build_card(plan).fills[0].barrels.figures]
        assert max(drawing.width_mm for drawing in drawings) <= float(LETTER.width_mm) - 30 + EASE_MM
        assert sum(drawing.height_mm for drawing in drawings) <= OWN_PAGE_HEIGHT_MM


def test_large_print_gets_the_larger_barrel() -> None:
    """At 32 pt the barrels lead page two and use its room."""
    plan = plan_example("mixed")
    beside, alone = (choose_scale_length_mm(plan.fills[0], plan.regimen, size, LETTER) for size in (SIZE, LARGE))
    assert alone > beside


def test_a_taller_paper_gives_a_larger_barrel() -> None:
    """A4 is 17.6 mm taller than letter (ISO 216: 297 mm; 11 in)."""
    plan = plan_example("mixed")
    a4 = load_papers()["a4"]
    on_letter = choose_scale_length_mm(plan.fills[0], plan.regimen, SIZE, LETTER)
    on_a4 = choose_scale_length_mm(plan.fills[0], plan.regimen, SIZE, a4)
    assert 0 < on_a4 - on_letter <= 17.6 + 0.05 * float(plan.regimen.syringe.shortest_scale_length_mm)


@given(make_plans())
def test_each_picture_says_its_stop(plan: Plan) -> None:
    """The alt text of barrel and close-up names the stop with what it counts."""
    fill = plan.fills[0]
    sheets = build_card(plan).fills[0]
    close_ups = next(block for block in sheets.after if isinstance(block, FigurePair))
    for pictures in (sheets.barrels, close_ups):
        for draw, figure in zip(fill.draws, pictures.figures, strict=True):
            line = write_line(draw.stop_line, draw.medicine, plan.regimen.syringe)
            assert line in figure.alt
            assert figure.caption is not None
            assert line in figure.caption


def test_the_second_picture_tells_of_both_lines() -> None:
    """The picture shows the first line as a lighter mark, so its words do too."""
    first, second = build_card(plan_example("mixed")).fills[0].barrels.figures
    assert "26" not in first.alt
    assert "The first line, 8 units, is a lighter mark." in second.alt


def test_the_words_tell_how_the_barrel_is_held() -> None:
    """Needle left in the file is needle left in the words."""
    regimen = replace(EXAMPLES["W13"], print=PrintChoice(barrel=BarrelDirection.NEEDLE_LEFT))
    alt = build_card(plan_fills(regimen)).fills[0].barrels.figures[0].alt
    assert "needle to the left" in alt


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_picture_stands_beside_an_air_step(name: str) -> None:
    """Between the heading of the filling steps and the last step there is no picture: its line would be misread."""
    for sheets in build_card(plan_example(name)).fills:
        positions = [number for number, block in enumerate(sheets.after) if isinstance(block, Steps)]
        between = sheets.after[positions[0] : positions[-1] + 1]
        assert not any(isinstance(block, Figure | FigurePair) for block in between)
        assert isinstance(sheets.after[positions[0] - 1], Heading) or name == "weekly"


@given(make_plans())
def test_steps_are_numbered_through(plan: Plan) -> None:
    """Each list of steps goes on where the one before ended, so that "step 9" is one step."""
    expected = 1
    for block in build_card(plan).fills[0].after:
        if isinstance(block, Steps):
            assert block.first_number == expected
            expected += len(block.items)
    assert expected == len(plan.fills[0].steps) + 1
