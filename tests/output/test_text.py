"""The plain text, and how amounts are written for the ear."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from support.checked import mark_checked
from support.plans import EXAMPLES, build_card, make_plans, plan_example

from fillcards.card.model import Table
from fillcards.output.text import write_text
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Plan
from fillcards.problems import InternalFault
from fillcards.wording.english.spoken import spell_codes, write_spoken, write_stop_words


@pytest.mark.parametrize(
    ("printed", "said"),
    [
        ("0.25 mg is 0.1 mL.", "0.25 milligrams is 0.1 milliliters."),
        ("1 mL", "1 milliliter"),
        ("50 mcg", "50 micrograms"),
        ("100 units/mL", "100 units per milliliter"),
        ("It must say: 2.5 mg/mL, clear.", "It must say: 2.5 milligrams per milliliter, clear."),
        ("a vial that says 10,000 units/mL.", "a vial that says 10,000 units per milliliter."),
        (
            "Only for a syringe that says mL and ends at 3 mL.",
            "Only for a syringe that says mL and ends at 3 milliliters.",
        ),
        ("8 + 18 = 26", "8 plus 18 is 26"),
        ("First line 8 · Total line 26", "First line 8, Total line 26"),
        ("Only for a syringe that says U-100.", "Only for a syringe that says U-100."),
        ("12.5 units", "12.5 units"),
    ],
)
def test_amounts_are_written_for_the_ear(printed: str, said: str) -> None:
    """Units after a number in full, since a voice spells "mL" and says "slash"; what stands on a thing stays."""
    assert write_spoken(printed) == said


@pytest.mark.parametrize(
    ("stop", "words"),
    [
        (("8", "units", "eight"), "eight units"),
        (("12.5", "units", "12 and a half"), "12 and a half units"),
        (("0.25", "mL", "zero point two five"), "zero point two five milliliters"),
        (("10", "line 10", "ten"), "line ten"),
        (("1", "unit", "one"), "one unit"),
    ],
)
def test_a_stop_is_said_in_words_with_its_unit(stop: tuple[str, str, str], words: str) -> None:
    """The figure gives way to its words; a bare line stays a line."""
    assert write_stop_words(*stop) == words


@pytest.mark.parametrize(
    ("written", "spelled"),
    [
        ("Card MX4T of 25 November 2026.", "Card M, X, 4, T of 25 November 2026."),
        ("Throw away card ABCD and all older cards.", "Throw away card A, B, C, D and all older cards."),
        ("Call Clinic: 555-0142.", "Call Clinic: 5 5 5, 0 1 4 2."),
        ("Call Clinic: +1 (800) 555-0142.", "Call Clinic: 1, 8 0 0, 5 5 5, 0 1 4 2."),
        ("Only for a vial that says 10,000 units.", "Only for a vial that says 10,000 units."),
        ("Opened 23 November 2026.", "Opened 23 November 2026."),
        ("Ward 7, bed 2, 0.25 mL, 100 units", "Ward 7, bed 2, 0.25 mL, 100 units"),
    ],
)
def test_codes_and_telephone_numbers_are_spelled(written: str, spelled: str) -> None:
    """Letter by letter and digit by digit; amounts and dates stay numbers."""
    assert spell_codes(written) == spelled


def test_text_of_a_mixed_fill_begins_with_what_fills_the_syringe() -> None:
    """The warning, when, whose, then both stops in figures and words, and the sum.

    6 and 18 make 24: worked example W13 of a public nursing question bank.
    """
    lines = write_text(build_card(plan_example("W13"))).splitlines()
    assert lines[:2] == ["Not yet checked. Do not use.", "Before breakfast."]
    first, total = (
        lines.index("First line: insulin regular, clear."),
        lines.index("Total line: add insulin isophane, cloudy."),
    )
    assert lines[first + 1] == "6 units. In words: six."
    assert lines[total + 1] == "24 units. In words: twenty-four."
    assert "6 plus 18 is 24." in lines


def test_text_of_a_bare_line_says_line_and_not_units() -> None:
    """A medicine in mg on a unit scale: the number is a line, never a dose."""
    text = write_text(build_card(plan_example("weekly")))
    assert "Line 10. In words: ten.\n" in text
    assert "10 units" not in text


@given(make_plans())
def test_text_has_one_act_a_line_and_nothing_a_voice_misreads(plan: Plan) -> None:
    """As many step lines as acts, numbered through; every line ends a sentence; no unit sign, stroke, plus or dot."""
    text = write_text(build_card(plan))
    lines = [line for line in text.splitlines() if line]
    numbers = [int(found[1]) for line in lines if (found := re.match(r"Step (\d+): ", line))]
    assert numbers == [number for fill in plan.fills for number in range(1, len(fill.steps) + 1)]
    assert [line for line in lines if line[-1] not in ".?:"] == []
    assert re.findall(r"\d ?m[Lg]\b|\d ?mcg|/|\+|=|·|_|\u00a0", text) == []


def test_text_leaves_the_makers_page_out() -> None:
    """What is not given away is not in the text."""
    text = write_text(build_card(plan_example("mixed")))
    assert "prints and checks" not in text
    assert "Fingerprint" not in text


def test_text_of_a_checked_card_has_no_warning() -> None:
    """A checked card does not say that it is unchecked."""
    assert "Not yet checked" not in write_text(build_card(plan_fills(mark_checked(EXAMPLES["W13"]))))


def test_text_refuses_a_block_of_the_makers_page() -> None:
    """A table on a patient's sheets is a fault of ours."""
    card = build_card(plan_example("W13"))
    general = replace(card.general, blocks=(Table(("What",), (("a",),)),))
    with pytest.raises(InternalFault, match="Table"):
        write_text(replace(card, general=general))
