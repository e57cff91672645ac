"""Words and marks on vials: which words may stand on which, from names of the catalogue (generic names from memory)."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from num2words import num2words

import fillcards
from fillcards.plan.rules import check_rules
from fillcards.regimen.free_words import (
    FOREIGN,
    find_foreign_number_word,
    find_foreign_word,
)
from fillcards.regimen.languages import ENGLISH, LANGUAGES
from fillcards.regimen.model import Medicine

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import make_insulin, make_other, make_regimen
from wording.language_data import HINDI


def list_label_codes(*medicines: Medicine) -> set[str]:
    """The codes about labels and marks that these medicines get."""
    problems = check_rules(make_regimen(medicines=medicines))
    return {problem.code for problem in problems if problem.code.startswith("LABEL")}


@pytest.mark.parametrize(
    ("kind", "of", "label"),
    [
        ("insulin regular", "100 units/mL", "insulin human regular"),
        ("insulin regular", "100 units/mL", "Insulín regulár"),
        ("insulin regular", "100 units/mL", "U-100 regular insulin 100 units per mL"),
        ("insulin isophane", "100 units/mL", "NPH"),
        ("insulin isophane", "100 units/mL", "neutral protamine Hagedorn insulin"),
        ("insulin isophane", "40 units/mL", "insulin isophane 40 IU/mL"),
        ("insulin premixed 70/30", "100 units/mL", "insulin isophane and regular 70/30"),
        ("insulin premixed 70/30", "100 units/mL", "human insulin 70-30"),
        ("insulin premixed 75/25", "100 units/mL", "biphasic insulin lispro 25 100 units/mL"),
        ("insulin glargine", "100 units/mL", "insulin glargine-yfgn"),
        ("insulin aspart faster", "100 units/mL", "fast-acting insulin aspart"),
        ("insulin regular concentrated", "500 units/mL", "insulin human regular 500 units/mL"),
        ("insulin regular concentrated", "500 units/mL", "insulin regular U-500"),
    ],
)
def test_the_vials_own_words_are_taken(kind: str, of: str, label: str) -> None:
    """Every name of the row, in any order, with fillers and the right strength."""
    assert list_label_codes(make_insulin("a", kind, of, vial_ml=10, on_the_label=label)) == set()


@pytest.mark.parametrize(
    ("kind", "of", "label", "code"),
    [
        ("insulin regular", "100 units/mL", "insulin human isophane", "LABEL-001"),
        ("insulin isophane", "100 units/mL", "insulin human regular", "LABEL-001"),
        ("insulin isophane", "100 units/mL", "isophan and regular 70/30", "LABEL-001"),
        ("insulin premixed 70/30", "100 units/mL", "insulin lispro 75/25", "LABEL-001"),
        ("insulin premixed 70/30", "100 units/mL", "insulin isophane", "LABEL-001"),
        ("insulin premixed 50/50", "100 units/mL", "premixed 70/30", "LABEL-001"),
        ("insulin lispro", "100 units/mL", "insulin lispro-aabc", "LABEL-001"),
        ("insulin glargine", "100 units/mL", "insulin degludek", "LABEL-001"),
        ("insulin aspart", "100 units/mL", "insulin aspart faster", "LABEL-001"),
        ("insulin aspart faster", "100 units/mL", "insulin aspart", "LABEL-001"),
        ("insulin regular concentrated", "500 units/mL", "insulin human regular", "LABEL-001"),
        ("insulin regular", "100 units/mL", "insulin regular 500 units/mL", "LABEL-001"),
        ("insulin regular", "100 units/mL", "heparin", "LABEL-001"),
        ("insulin regular", "100 units/mL", "insulin regular U-40", "LABEL-002"),
        ("insulin regular", "100 units/mL", "insulin regular 1,000 units", "LABEL-002"),
        ("insulin regular", "100 units/mL", "insulin regular, forty units", "LABEL-002"),
        ("insulin regular", "100 units/mL", "insulin regular 40 units", "LABEL-002"),
        ("insulin glargine", "100 units/mL", "glargine 100 units/mL, 300 units/mL", "LABEL-002"),
    ],
)
def test_another_vials_words_are_refused(kind: str, of: str, label: str, code: str) -> None:
    """Another row of the catalogue, or another strength."""
    assert list_label_codes(make_insulin("a", kind, of, on_the_label=label)) == {code}


@pytest.mark.parametrize(
    ("name", "of", "label", "codes"),
    [
        ("heparin", "10000 units/mL", "heparin sodium 10,000 units/mL", set()),
        ("heparin", "5000 units/mL", "heparin 25,000 units/5 mL", set()),
        ("sample", "1 mg/mL", "sample 1000 mcg/mL", set()),
        ("sample", "500 mg/mL", "sample 5 g/10 mL", set()),
        ("protamine sulfate", "10 mg/mL", "protamine sulfate 10 mg/mL", set()),
        ("heparin", "10000 units/mL", "heparin 1,000 units/mL", {"LABEL-002"}),
        ("heparin", "10000 units/mL", "heparin 10,000 international units per milliliter", set()),
        ("interferon beta-1a", "30 mcg/mL", "interferon beta-1a 30 micrograms/mL", set()),
        ("sample", "2.5 mg/mL", "sample 5 mg per milliliter", {"LABEL-002"}),
        ("sample", "10 mg/mL", "sample 10 micrograms/mL", {"LABEL-002"}),
        ("sample", "2.5 mg/mL", "sample 25 mg/mL", {"LABEL-002"}),
        ("sample", "2.5 mg/mL", "sample 2.5 mcg/mL", {"LABEL-002"}),
        ("sample", "1 mg/mL", "sample line 4", {"LABEL-002"}),
        ("sample", "1 mg/mL", "insulin glargine", {"LABEL-001"}),
        ("sample", "1 mg/mL", "drug beta", {"LABEL-001"}),
    ],
)
def test_labels_of_medicines_outside_the_catalogue(name: str, of: str, label: str, codes: set[str]) -> None:
    """Strengths are compared exactly, in any volume and unit of mass; no insulin and no neighbour."""
    medicines = (make_other("a", name, of, on_the_label=label), make_other("b", "drug beta", "1 mg/mL"))
    assert list_label_codes(*medicines) == codes


@pytest.mark.parametrize(
    ("one", "other", "is_same"),
    [
        ("one rubber band", "One rubber band", True),
        ("a rubber band", "1 rubber band", True),
        ("one rubber band", "two rubber bands", False),
        ("one rubber band", None, False),
    ],
)
def test_one_mark_is_one_vials(one: str, other: str | None, is_same: bool) -> None:
    """A mark in other letters is the same to the hand."""
    medicines = (
        make_insulin("a", "insulin regular", vial_mark=one),
        make_insulin("b", "insulin isophane", vial_mark=other),
    )
    assert ("LABEL-004" in list_label_codes(*medicines)) is is_same


def say_in_words(number: int, language: str) -> str:
    """A number from 2 to 99 in words, by num2words; Hindi by the table of its own."""
    return HINDI[number] if language == "hi" else str(num2words(number, lang=language))


@pytest.mark.parametrize("language", FOREIGN)
@pytest.mark.parametrize("card", LANGUAGES)
def test_every_number_to_99_is_seen_beside_a_unit_on_every_card(language: str, card: str) -> None:
    """In whatever language it is said: for whoever reads it, it is a dose. Words: the library num2words."""
    unit = {"es": "unidades", "ru": "\u0435\u0434\u0438\u043d\u0438\u0446", "vi": "\u0111\u01a1n v\u1ecb"}.get(language)
    unit = unit or {"hi": "\u092f\u0942\u0928\u093f\u091f", "ar": "\u0648\u062d\u062f\u0629"}[language]
    said = [f"{say_in_words(number, language)} {unit}" for number in range(2, 100)]
    assert [words for words in said if find_foreign_number_word(words, card) is None] == []


@pytest.mark.parametrize(
    "text",
    [
        *("Call us once a week.", "Dos and don'ts: ask the nurse.", "We are a few miles away.", "Ask for Nurse Hai."),
        *("Social media cannot answer you.", "Ask Dr. Ba.", "Your sugar is on par."),
    ],
)
def test_english_words_are_no_numbers_of_another_language(text: str) -> None:
    """Spelled like eleven, two, half, thousands or a pair; names that are numbers in Vietnamese. Invented notes."""
    assert find_foreign_number_word(text, ENGLISH) is None


def test_no_english_sentence_of_a_card_is_taken_for_another_language() -> None:
    """Four hundred ordinary sentences hold no number, claim or order of another language: no list is too wide."""
    lines = (Path(fillcards.__file__).parent / "wording" / "en.po").read_text("utf-8").splitlines()
    said = [line.partition('"')[2] for line in lines if line.startswith(("msgstr", '"'))]
    assert len(said) > 400
    assert {find_foreign_number_word(text, ENGLISH) for text in said} == {None}
    sorts = ("claims", "of_the_card", "looks")
    assert {find_foreign_word(text, sort, ENGLISH) for text in said for sort in sorts} == {None}
