"""Every sentence a patient meets: at most 15 words, and at or under grade 6 by two published formulas.

Flesch-Kincaid (syllables) and the Automated Readability Index (letters): both are linear in words a sentence, so they
are defined for one sentence, and they measure the words by two different things. SMOG wants 30 sentences, Coleman-Liau
and Fog samples of 100 words; a card has none of these. Source of the grade: AMA advice on patient information.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Final

import pytest
import textstat
from hypothesis import given
from support.card_text import list_given_away_texts, split_sentences
from support.plans import (
    EXAMPLES,
    STARTERS,
    build_card,
    build_small_card,
    make_plans,
    plan_example,
    plan_replacing,
    plan_starter,
)

from fillcards.plan.model import Plan
from fillcards.plan.replacing import compare_replaced
from fillcards.regimen.model import Weekday

MOST_WORDS: Final = 15
MOST_GRADE: Final = 6.0

UNAVOIDABLE: Final[Mapping[str, str]] = {
    "prescriber": "doctor",
    "pharmacist": "nurse",
    "veterinarian": "doctor",
    "emergency": "rescue",
}
"""Words the card must use for people and things, and what each is graded as: a plain word for the same. Their own
length would hide whether the sentence around them is plain."""


def list_given_words(plan: Plan) -> list[str]:
    """What the file, the catalogue or the calendar names: it is graded as a short word, longest first."""
    regimen = plan.regimen
    words = [fill.when for fill in regimen.fills] + [
        text for contact in regimen.contacts for text in (contact.who, contact.phone)
    ]
    words += [re.sub(r"^(before|at|in) ", "", fill.when) for fill in regimen.fills]
    for medicine in regimen.medicines:
        words += [medicine.name, *([medicine.vial_mark] if medicine.vial_mark else [])]
        words += [text for text in (medicine.on_the_label, medicine.warning) if text]
    words += [regimen.notes] if regimen.notes else []
    words += [day.word for day in Weekday]
    sentences = [sentence.rstrip(".") for text in words for sentence in split_sentences(text)]
    return sorted(sentences, key=len, reverse=True)


def list_sentences(plan: Plan, texts: tuple[str, ...]) -> set[tuple[str, str]]:
    """Whole sentences, as printed and as graded: what is given is "noon", a month "May"."""
    sentences = {sentence for text in texts for sentence in split_sentences(text) if sentence.endswith((".", "?"))}
    graded = set()
    for sentence in sentences:
        plain = sentence
        for word in list_given_words(plan):
            plain = re.sub(re.escape(word), "noon", plain, flags=re.IGNORECASE)
        plain = re.sub(r"(\d+) (?:[A-Z][a-z]+) (20\d\d)", r"\1 May \2", plain)
        for word, stand_in in UNAVOIDABLE.items():
            plain = plain.replace(word, stand_in)
        graded.add((sentence, plain))
    return graded


def find_hard_sentences(plan: Plan, texts: tuple[str, ...]) -> list[str]:
    """Sentences over a limit, each with its figures."""
    hard = []
    for sentence, plain in sorted(list_sentences(plan, texts)):
        words = len(sentence.split())
        kincaid = textstat.flesch_kincaid_grade(plain)
        index = textstat.automated_readability_index(plain)
        if words > MOST_WORDS or max(kincaid, index) > MOST_GRADE:
            hard.append(f"{words} words, grades {kincaid:.1f} and {index:.1f}: {sentence}")
    return hard


def list_card_texts(plan: Plan) -> tuple[str, ...]:
    """Every string of a plan's patient's pages."""
    return list_given_away_texts(build_card(plan))


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_sentence_of_the_examples_is_plain(name: str) -> None:
    """Every act, rescue, rule and caution is met in the examples; each sentence is at or under grade 6."""
    plan = plan_example(name)
    assert find_hard_sentences(plan, list_card_texts(plan)) == []


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_every_sentence_of_the_starters_is_plain(path: Path) -> None:
    """What is shipped keeps to it too; the words of the starter's own author are not graded."""
    plan = plan_starter(path)
    assert find_hard_sentences(plan, list_card_texts(plan)) == []


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_sentence_of_small_cards_is_plain(name: str) -> None:
    """The short steps, the cautions and the days of supply are at or under grade 6 too."""
    plan = plan_example(name)
    assert find_hard_sentences(plan, list_given_away_texts(build_small_card(plan))) == []


@given(make_plans())
def test_sentences_stay_plain_whatever_the_amounts(plan: Plan) -> None:
    """Large numbers, odd scales and long days make no sentence hard."""
    assert find_hard_sentences(plan, list_card_texts(plan)) == []


def test_what_is_new_is_plain() -> None:
    """The sentences of a replacing card are held to the same."""
    plan = plan_replacing()
    texts = list_given_away_texts(build_card(plan, changes=compare_replaced(plan)))
    assert any("The lines were" in text for text in texts)
    assert find_hard_sentences(plan, texts) == []


@pytest.mark.parametrize(
    "sentence",
    [
        "Administer the aforementioned preparation subcutaneously in accordance with instructions.",
        "Pull the plunger back and look at it and turn it over and then push it in and wait.",
    ],
)
def test_a_hard_sentence_is_found(sentence: str) -> None:
    """The check can fail: long words and long sentences are both caught."""
    assert find_hard_sentences(plan_example("mixed"), (sentence,))


def test_the_formulas_are_the_published_ones() -> None:
    """Flesch-Kincaid for 10 words of 13 syllables: 0.39 x 10 + 11.8 x 1.3 - 15.59 = 3.65 (facts, check value 65)."""
    sentence = "The water of the river runs over the old stones."
    assert len(sentence.rstrip(".").split()) == 10
    assert textstat.syllable_count(sentence) == 13
    assert textstat.flesch_kincaid_grade(sentence) == pytest.approx(3.65, abs=0.01)
