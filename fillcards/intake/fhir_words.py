"""The words of a dosage line against its fields. A person wrote the words and a person will follow them, so where they
say another amount or time, or make the dose depend on something, the line is refused.

Reads English words only and understands no sentence: it looks for signs. What it lets through is not thereby right, and
every word stands in the draft for whoever compares it. The lists are common practice, no source.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from fillcards.intake.element import Element
from fillcards.intake.fhir_dose import UNIT_OF_WORD
from fillcards.intake.fhir_timing import Schedule
from fillcards.quantities import Quantity
from fillcards.strict_text import quote_text

# All of these are for words with single spaces: runs of them would make the search slow without end.
_DEPENDS: Final = re.compile(
    r"\b(?:sliding|scale|correction|titrat\w*|adjust\w*|increas\w*|decreas\w*|reduc\w*|p\.?r\.?n|(?:as|if|when) needed"
    r"|as required|up to|at most|max(?:imum)?|carbs?|carbohydrates?|protocol|depending|according to|unless|hold|if)\b",
    re.IGNORECASE,
)
_NUMBER: Final = r"(?<![\d.,])(\d+(?:[.,]\d+)*)"
_WORDS: Final = "|".join(re.escape(word) for word in sorted(UNIT_OF_WORD, key=len, reverse=True))
_AMOUNT: Final = re.compile(rf"{_NUMBER}[ -]?({_WORDS})(?![\w\]}}])(?! ?(?:/|per\b))", re.IGNORECASE)
_RANGE: Final = re.compile(
    rf"{_NUMBER} ?(?:{_WORDS})? ?(?:-|\u2013|\u2014|/|\bto\b|\bor\b) ?\d[\d.,]* ?(?:{_WORDS})(?![\w\]}}])",
    re.IGNORECASE,
)
_MINUTES: Final = re.compile(rf"{_NUMBER} ?-?min(?:ute)?s?\b", re.IGNORECASE)
_MEALS: Final = {meal: meal for meal in ("breakfast", "lunch", "dinner", "bedtime")} | {"supper": "dinner"}
_CONDITIONS: Final = ("asNeededCodeableConcept", "maxDosePerPeriod", "maxDosePerAdministration", "maxDosePerLifetime")
_ASK: Final = "ask the prescriber which holds, and write it into the draft by hand"


def check_conditions(dosage: Element) -> None:
    """Refuse a dose that is given only sometimes, or whose amount is left open, by its fields or by its words."""
    for name in _CONDITIONS:
        if dosage.has(name):
            remedy = "ask the prescriber for a dose that depends on nothing; no card is made for this one"
            dosage.refuse("FHIR-015", name, "a dose without a condition or a limit", remedy, name)
    if dosage.node.get("asNeededBoolean") is True:
        remedy = "no card is made for a dose as needed: take it out of the draft"
        dosage.refuse("FHIR-015", "a dose as needed", "a dose at set times", remedy, "asNeededBoolean")
    for path, text in list_words(dosage):
        require_no_condition(dosage, path, text)


def list_words(dosage: Element) -> list[tuple[str, str]]:
    """Every sentence of a dosage line with the name it stands under."""
    named = [(name, dosage.find_text(name)) for name in ("text", "patientInstruction")]
    for index, concept in enumerate(dosage.list_children("additionalInstruction")):
        path = f"additionalInstruction[{index}]"
        named.append((path, concept.find_text("text")))
        named += [(path, coding.find_text("display")) for coding in concept.list_children("coding")]
    return [(name, _join_spaces(text)) for name, text in named if text]


def _join_spaces(text: str) -> str:
    return " ".join(text.split())


def require_no_condition(element: Element, path: str, text: str) -> None:
    """Refuse words that make a dose depend on something; only the word itself is quoted."""
    match = _DEPENDS.search(_join_spaces(text))
    if match:
        found = f"words with {quote_text(match[0])}"
        element.refuse("FHIR-015", found, "a dose that depends on nothing", _ASK, path)


def check_words(dosage: Element, dose: Quantity, schedule: Schedule) -> None:
    """Refuse words that say another amount, other minutes or another meal than the fields."""
    for path, text in list_words(dosage):
        for found, expected in _find_disagreements(text, dose, schedule):
            dosage.refuse("FHIR-019", found, expected, _ASK, path)


def _find_disagreements(text: str, dose: Quantity, schedule: Schedule) -> list[tuple[str, str]]:
    found = []
    wrong = _find_wrong_amount(text, dose)
    if wrong:
        found.append((f"words with {quote_text(wrong)}", f"{dose}, as the fields say"))
    for match in _MINUTES.finditer(text):
        if schedule.minutes_before is None or not _is_number(match[1], Fraction(schedule.minutes_before)):
            said = "no minutes" if schedule.minutes_before is None else f"{schedule.minutes_before} minutes"
            found.append((f"words with {quote_text(match[0])}", f"{said}, as the fields say"))
    meals = {_MEALS[word] for word in re.findall("|".join(_MEALS), text.casefold())}
    said_meals = {meal for time in schedule.times for meal in _MEALS.values() if meal in time}
    if meals and said_meals and not meals <= said_meals:
        said = " and ".join(schedule.times)
        found.append((f"words that name {' and '.join(sorted(meals))}", f"{said}, as the fields say"))
    return found


def _find_wrong_amount(text: str, dose: Quantity) -> str | None:
    """The first range, or the first amount that is not the dose."""
    if match := _RANGE.search(text):
        return match[0]
    for match in _AMOUNT.finditer(text):
        if UNIT_OF_WORD.get(match[2].casefold()) is not dose.unit or not _is_number(match[1], dose.amount):
            return match[0]
    return None


def _is_number(text: str, value: Fraction) -> bool:
    """A number with a comma could be read in two ways, and one beyond sense is none: they are equal to nothing."""
    return re.fullmatch(r"\d{1,9}(?:\.\d{1,9})?", text) is not None and Fraction(text) == value
