"""What a small card says: one fill a card, each complete in itself, in the order of the task."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from support.card_text import list_patient_texts
from support.checked import mark_checked
from support.plans import EXAMPLES, UNITS, build_small_card, make_fill, make_plans, plan_example, plan_replacing

from fillcards.card.model import Band, Block, Card, Figure, FigurePair, Heading, Paragraph, Steps, Stop, WriteIn
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Act, Plan
from fillcards.plan.replacing import compare_replaced
from fillcards.regimen.model import Regimen
from fillcards.wording.english.staple import SHORT


def list_blocks(card: Card, number: int = 0) -> tuple[Block, ...]:
    """Everything one fill's card says, without the picture."""
    return (*card.fills[number].front, *card.fills[number].after)


def list_words(card: Card, number: int = 0) -> str:
    """Every string of one fill's card."""
    return "\n".join(list_patient_texts(card.fills[number]))


def build(regimen: Regimen) -> Card:
    """The small cards of a regimen."""
    return build_small_card(plan_fills(regimen))


def test_each_fill_has_a_card_of_its_own() -> None:
    """Two fills make two cards, and nothing is said for both of them."""
    card = build_small_card(plan_example("mixed"))
    assert [fill.name for fill in card.fills] == ["Before breakfast", "Before supper"]
    assert card.general.blocks == ()
    assert "supper" not in list_words(card, 0)
    assert "breakfast" not in list_words(card, 1)


def test_the_name_comes_first_then_the_band_then_the_stops() -> None:
    """When, first line, total line, in this order; the band before any of the two."""
    blocks = [type(block) for block in build_small_card(plan_example("mixed")).fills[0].front]
    assert blocks[0] is Heading
    assert blocks.index(Band) < blocks.index(Stop)
    assert blocks.count(Stop) == 2


def test_order_of_what_follows() -> None:
    """Steps in short, cautions, discard rule, days of supply, prescription, initials, in this order."""
    after = build_small_card(plan_example("mixed")).fills[0].after
    words = "\n".join(_write(block) for block in after)
    wanted = (
        "Steps in short",
        "Fixed dose only",
        "28 days after you open",
        "28 days of supply",
        "Prescription",
        "Filled by",
    )
    places = [words.index(part) for part in wanted]
    assert places == sorted(places)


def _write(block: Block) -> str:
    match block:
        case Heading() | Paragraph():
            return block.text
        case WriteIn():
            return " ".join(block.labels)
        case _:
            return " ".join(getattr(block, "items", ()))


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_life_size_picture(name: str) -> None:
    """Label printers are coarse: there is no picture among the blocks, and the barrel is drawn enlarged."""
    card = build_small_card(plan_example(name))
    assert not any(
        isinstance(block, Figure | FigurePair)
        for number in range(len(card.fills))
        for block in list_blocks(card, number)
    )
    assert card.makers == ()


@given(make_plans())
def test_short_steps_name_every_amount_in_the_order_of_the_plan(plan: Plan) -> None:
    """Air, stops, and what to draw again to: none left out, none moved; which edge to read is said elsewhere."""
    from fillcards.wording.english.amounts import write_line

    fill = plan.fills[0]
    checks = {Act.CHECK_LINE, Act.CHECK_FIRST_LINE, Act.CHECK_TOTAL_LINE, Act.CHECK_LINE_BY_MOUTH}
    steps = next(block for block in build_small_card(plan).fills[0].after if isinstance(block, Steps))
    words, place = " ".join(steps.items), 0
    for step in fill.steps:
        if step.line is not None and step.act not in checks:
            medicine = (step.draw or fill.first).medicine
            found = words.find(f"to {write_line(step.line, medicine, plan.regimen.syringe)}", place)
            assert found >= 0
            place = found + 1


def test_every_act_but_the_left_out_ones_has_short_words() -> None:
    """What no short step names is said on the front, beside the picture, or is the person's own technique."""
    left_out = set(Act) - set(SHORT)
    checks = {Act.CHECK_LINE, Act.CHECK_FIRST_LINE, Act.CHECK_TOTAL_LINE, Act.CHECK_LINE_BY_MOUTH}
    skin = {Act.CHOOSE_PLACE, Act.CLEAN_SKIN, Act.LET_SKIN_DRY, Act.LIFT_SKIN, Act.PUSH_PLUNGER, Act.TAKE_OUT_OF_SKIN}
    assert left_out == {*checks, *skin, Act.CHECK_SYRINGE}


def test_the_edge_to_read_is_said_once_beside_the_picture() -> None:
    """It is no step of the short ones."""
    card = build_small_card(plan_example("mixed"))
    assert "edge of the stopper nearest the needle" in card.fills[0].barrels.captions[-1]


def test_days_of_supply_are_the_shorter_of_life_and_content() -> None:
    """Published (facts, section 9): 20 units twice a day from 1,000 are 25 days, fewer than the 28 of the label.

    Half as much a day would be 50 days by content: there the label's 28 count.
    """
    twice = tuple(
        make_fill(when, ("cloudy", "20", UNITS), ("clear", "10", UNITS)) for when in ("before breakfast", "at bedtime")
    )
    words = list_words(build(replace(EXAMPLES["mixed"], fills=twice)))
    assert "A full vial of insulin isophane is 25 days of supply." in words
    assert "A full vial of insulin regular is 28 days of supply." in words


def test_days_of_supply_are_written_in_where_they_cannot_be_counted() -> None:
    """The file does not say what the vial holds: there is a line to write on."""
    blocks = list_blocks(build_small_card(plan_example("weekly")))
    assert WriteIn(("Days of supply",)) in blocks


def test_discard_rule_with_a_line_to_write_on() -> None:
    """A vial without a date has the rule and both lines; one with a date has both dates."""
    assert WriteIn(("Opened", "Throw away")) in list_blocks(build_small_card(plan_example("mixed")))
    words = list_words(build_small_card(plan_example("single")))
    assert "Opened 2 November 2026. Do not use it from 30 November 2026 on." in words


def test_prescription_number_or_a_line_for_it() -> None:
    """As the file has it; else a line to write on."""
    regimen = EXAMPLES["single"]
    assert WriteIn(("Prescription number",)) in list_blocks(build(regimen))
    assert "Prescription number: 7001234" in list_words(build(replace(regimen, prescription="7001234")))


def test_initials_of_filler_and_checker() -> None:
    """The last thing on each card."""
    card = build_small_card(plan_example("mixed"))
    assert all(fill.after[-1] == WriteIn(("Filled by", "Checked by")) for fill in card.fills)


def test_checked_card_has_no_band_and_an_unchecked_one_has() -> None:
    """As on every other card."""
    regimen = EXAMPLES["W13"]
    assert build(regimen).band == "Not yet checked. Do not use."
    assert build(mark_checked(regimen)).band is None


def test_only_the_own_medicines_are_thrown_away() -> None:
    """A fill that draws one of two medicines tells nothing of the other's vial."""
    regimen = EXAMPLES["mixed"]
    alone = replace(regimen.fills[1], draws=regimen.fills[1].draws[1:])
    words = list_words(build(replace(regimen, fills=(regimen.fills[0], alone))), 1)
    assert "insulin isophane" not in words
    assert "insulin regular" in words


def test_notes_and_warnings_are_kept_word_for_word() -> None:
    """Nothing the file says for the patient is left out for want of room."""
    assert "Bring this card to each visit." in list_words(build_small_card(plan_example("mixed")))
    assert "High alert." in list_words(build_small_card(plan_example("weekly")))


def test_a_replacing_card_lists_what_is_new() -> None:
    """As the fridge card does, on each fill's own card."""
    plan = plan_replacing()
    words = list_words(build_small_card(plan, changes=compare_replaced(plan)))
    assert "What is new" in words
    assert "The lines were 6, then 24." in words


def test_date_of_the_card_is_not_todays() -> None:
    """Days of supply are counted from the file's own date, so that the same file always gives the same card."""
    regimen = replace(EXAMPLES["mixed"], review=replace(EXAMPLES["mixed"].review, date=date(2030, 2, 28)))
    assert list_words(build(regimen)) == list_words(build(regimen))
    assert "28 days of supply" in list_words(build(regimen))
