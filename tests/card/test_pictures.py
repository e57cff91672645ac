"""The pictures on a card: with words that say what they say, and never beside an air step."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from support.plans import EXAMPLES, build_card, make_plans, plan_example

from fillcards.card.model import Figure, FigurePair, Heading, Steps
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Plan
from fillcards.regimen.model import BarrelDirection, PrintChoice
from fillcards.wording.english.amounts import write_line


@given(make_plans())
def test_each_picture_says_its_stop(plan: Plan) -> None:
    """The alt text of barrel and close-up names the stop with what it counts."""
    fill = plan.fills[0]
    sheets = build_card(plan).fills[0]
    close_ups = next(block for block in sheets.after if isinstance(block, FigurePair))
    barrels = zip(sheets.barrels.alts, sheets.barrels.captions, strict=True)
    for words in (barrels, ((figure.alt, figure.caption or "") for figure in close_ups.figures)):
        for draw, (alt, caption) in zip(fill.draws, words, strict=True):
            line = write_line(draw.stop_line, draw.medicine, plan.regimen.syringe)
            assert line in alt
            assert line in caption


def test_the_second_picture_tells_of_both_lines() -> None:
    """The picture shows the first line as a lighter mark, so its words do too."""
    first, second = build_card(plan_example("mixed")).fills[0].barrels.alts
    assert "26" not in first
    assert "The first line, 8 units, is a lighter mark." in second


def test_the_words_tell_how_the_barrel_is_held() -> None:
    """Needle left in the file is needle left in the words."""
    regimen = replace(EXAMPLES["W13"], print=PrintChoice(barrel=BarrelDirection.NEEDLE_LEFT))
    barrels = build_card(plan_fills(regimen)).fills[0].barrels
    assert barrels.direction is BarrelDirection.NEEDLE_LEFT
    assert "needle to the left" in barrels.alts[0]


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
