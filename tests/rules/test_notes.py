"""Claims about notes and warnings: no words that the card's own sentences would be taken for."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest

from fillcards.plan.rules import check_rules
from fillcards.problems import Severity
from fillcards.readback.phrases import OTHER, find_phrases

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import make_mixed

OWN_SENTENCES = (
    "Sample, not for a patient.",
    "Not yet checked. Do not use.",
    "For the animal, never for a person.",
    "For Anna Example",
    "Card MX4T.",
    "Card MX4T of 3 May 2026.",
    "Card MX4T, 3 May 2026",
    "Throw away card ABCD and all older cards.",
    "Inject 30 minutes before breakfast.",
    "Only on Monday.",
    "Not on Monday.",
    "3 short lines past 15.",
    "The line with the number 20.",
    "Each line is 1 unit.",
    "Each line counts half a unit.",
    "Only a syringe that says U-100 and ends at 50.",
    "Only for a vial that says 100 units/mL.",
    "8 units is 0.08 mL.",
    "5 is the line.",
    "Check the label of the clear vial. It must say: insulin.",
    "Roll the cloudy vial 10 times.",
    "Tip it 10 times.",
    "Shake the cloudy vial well.",
    "Pull air to line 8.",
    "The air is for the clear vial.",
    "Push this air into the clear vial.",
    "Take the needle out.",
    "Put the needle into the vial.",
    "Turn the vial and the syringe over.",
    "Pull the plunger to line 8.",
    "Draw again to 8 units.",
    "The ring must be on 8 units.",
    "Throw insulin regular away 90 days after you open it.",
    "Sooner, if its printed date comes first: 3 May 2027.",
    "Opened 3 May 2026.",
    "Do not use it from 21 January 2027 on.",
    "A full vial of insulin is 30 days of supply.",
    "Ask by 3 May 2027 if this card is still right.",
    "The line is now 9.",
    "The lines are now 9, then 20.",
    "Life size, scale 48 mm.",
    "page 2 of 3",
    "12",
    "Checked by Anna on 25 November 2026, for card code ABCD.",
)


@pytest.mark.parametrize("sentence", OWN_SENTENCES)
def test_a_note_in_the_cards_own_words_is_refused(sentence: str) -> None:
    """Whatever the readback would take for a sentence of the card is refused before a card is drawn."""
    assert {kind for kind, _, _ in find_phrases(sentence, bold=False)} != {OTHER}
    problems = check_rules(replace(make_mixed("8 units", "18 units"), notes=sentence))
    refusing = {problem.code for problem in problems if problem.severity is Severity.REFUSE}
    assert refusing & {"NOTES-001", "NOTES-003"}


@pytest.mark.parametrize(
    "notes",
    [
        "Call 555-0100 at 8 o'clock. Press 2.",
        "Visit on 3 May at 10:15.",
        "Call if your sugar is over 300 mg/dL.",
        "Keep the opened vial where the family has agreed to keep it.",
        "Take the vial out of the fridge one hour before.",
        "Throw used needles away in the sharps box.",
        "Call us if you feel ill for 2 days.",
        "Use a new needle each time. Change the place each day.",
        "The fridge must be at 4 degrees. It must be on the top shelf.",
        "Ask Anna (room 12). Next visit: bring both vials & this card.",
    ],
)
def test_a_harmless_note_gets_no_word(notes: str) -> None:
    """Visits, storage, telephones, readings and sharps: the sort of note a clinic writes (invented)."""
    problems = check_rules(replace(make_mixed("8 units", "18 units"), notes=notes))
    assert not {problem.code for problem in problems if problem.code.startswith("NOTES")}
