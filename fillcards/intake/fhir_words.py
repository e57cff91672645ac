"""The words of a prescription against its fields. A person wrote the words and a person will follow them.

A text of a dosage line is let through only if the fields explain every word of it (``fhir_explain``); a note, which may
speak of anything, if it has no word of the dose. What is let through is in the draft, for the person who compares it.
Reads English words only. The list of conditions is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from fillcards.catalogue.model import Route
from fillcards.intake.element import Element
from fillcards.intake.fhir_concept import list_texts
from fillcards.intake.fhir_dose import UNIT_OF_WORD
from fillcards.intake.fhir_explain import (
    DOSE,
    LONGEST_TEXT,
    Explained,
    explain_text,
    find_shown,
    speaks_of_dose,
    split_text,
)
from fillcards.intake.fhir_medicine import NamedMedicine
from fillcards.intake.fhir_phrases import Phrases, build_phrases, build_plain_phrases
from fillcards.intake.fhir_timing import Schedule
from fillcards.quantities import Quantity, Unit
from fillcards.regimen.model import EVERY_DAY
from fillcards.strict_text import quote_text

# For words with single spaces: runs of them would make the search slow without end.
_DEPENDS: Final = re.compile(
    r"\b(?:sliding|scale|correction|titrat\w*|adjust\w*|increas\w*|decreas\w*|reduc\w*|p\.?r\.?n|(?:as|if|when) needed"
    r"|as required|up to|at most|max(?:imum)?|carbs?|carbohydrates?|protocol|depending|according to|unless|hold|if)\b",
    re.IGNORECASE,
)
_CONDITIONS: Final = ("asNeededCodeableConcept", "maxDosePerPeriod", "maxDosePerAdministration", "maxDosePerLifetime")
_UNIT_WORDS: Final = frozenset(word for word, unit in UNIT_OF_WORD.items() if unit is Unit.UNITS)
_OF_A_STRENGTH: Final = frozenset(("/", "per", "in"))
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
    for path, text in _list_words(dosage):
        _check_condition(dosage, path, text)


def _list_words(dosage: Element) -> Iterator[tuple[str, str]]:
    """Every text of a dosage line, those that its timing has beside a code too, with the name it stands under."""
    for name in ("text", "patientInstruction"):
        if text := dosage.find_text(name):
            yield name, _join_spaces(text)
    concepts = [
        (f"additionalInstruction[{n}]", each) for n, each in enumerate(dosage.list_children("additionalInstruction"))
    ]
    code = timing.find_child("code") if (timing := dosage.find_child("timing")) else None
    for path, concept in (*concepts, *((("timing.code", code),) if code else ())):
        yield from ((path, _join_spaces(text)) for text in list_texts(concept))


def _join_spaces(text: str) -> str:
    return " ".join(text.split())


def _check_condition(element: Element, path: str, text: str) -> bool:
    """Refuse words that make a dose depend on something; only the word itself is quoted."""
    match = _DEPENDS.search(text)
    if match:
        found = f"words with {quote_text(match[0])}"
        element.refuse("FHIR-015", found, "a dose that depends on nothing", _ASK, path)
    return match is not None


def check_words(
    dosage: Element, medicine: NamedMedicine, route: Route | None, dose: Quantity, schedule: Schedule
) -> None:
    """Refuse every text of a dosage line that says another thing than the fields, or more."""
    phrases = build_phrases(medicine, route, dose, schedule)
    days = {None: "no days", EVERY_DAY: "every day"}.get(
        schedule.days, " and ".join(d.word for d in schedule.days or ())
    )
    minutes = f"{schedule.minutes_before} minutes " if schedule.minutes_before is not None else ""
    said = f"nothing but what the fields say: {dose}, {minutes}{' and '.join(schedule.times)}, {days}"
    for index, concept in enumerate(dosage.list_children("additionalInstruction")):
        if not concept.has("text") and any(not each.has("display") for each in concept.list_children("coding")):
            path = f"additionalInstruction[{index}]"
            dosage.refuse("FHIR-019", "an instruction as a code without words", said, _ASK, path)
    for path, text in _list_words(dosage):
        if not _DEPENDS.search(text) and (found := _find_disagreement(text, phrases, schedule)):
            dosage.refuse("FHIR-019", found, said, _ASK, path)


def _find_disagreement(text: str, phrases: Phrases, schedule: Schedule) -> str | None:
    if len(text) > LONGEST_TEXT:
        return f"a text of more than {LONGEST_TEXT:,} characters"
    explained = explain_text(text, phrases)
    if explained.rest:
        return _describe_rest(explained)
    if explained.stated.get(DOSE, 0) > 1:
        return "words with the amount twice"
    for kind, count in (("time", len(schedule.times)), ("day", len(schedule.days or ()))):
        if 0 < sum(name.startswith(kind) for name in explained.stated) < count:
            return f"words that name one {kind} of {count}"
    return None


def _describe_rest(explained: Explained) -> str:
    """The first word that is not explained is repeated only if it is not a name: a name must not get into a log."""
    shown = find_shown(explained.rest)
    if shown is not None:
        return f"words with {quote_text(shown)}"
    return f"a word that no field explains (number {explained.number} of the text)"


def check_names(request: Element, medicine: NamedMedicine) -> None:
    """Refuse a medicine whose name holds a dose or a condition."""
    at = "medicationReference" if request.has("medicationReference") else "medicationCodeableConcept"
    for name in medicine.names:
        if _check_condition(request, at, _join_spaces(name)):
            continue
        forms = [token.form for token in split_text(name)]
        for number, unit, after in zip(forms, forms[1:], [*forms[2:], ""], strict=False):
            if number[0].isdigit() and unit in _UNIT_WORDS and after not in _OF_A_STRENGTH:
                expected = "a name, with no amount but a strength such as 100 units/mL"
                request.refuse("FHIR-019", f"a name with {quote_text(f'{number} {unit}')}", expected, _ASK, at)


def check_reasons(request: Element) -> None:
    """Refuse a prescription whose reason or category makes the dose depend on something."""
    for name in ("reasonCode", "category"):
        for index, concept in enumerate(request.list_children(name)):
            for text in list_texts(concept):
                _check_condition(request, f"{name}[{index}]", _join_spaces(text))


def check_notes(request: Element, medicine: NamedMedicine | None) -> None:
    """Refuse a prescription with a note that may change it; point out a note that is about something else."""
    phrases = build_plain_phrases(medicine, None) if medicine else {}
    for index, note in enumerate(request.list_children("note")):
        path, text = f"note[{index}].text", _join_spaces(note.find_text("text") or "")
        if _check_condition(request, path, text):
            continue
        explained = explain_text(text, phrases)
        words = tuple(each for each in explained.rest if speaks_of_dose(each))
        if words:
            expected = "a note that says nothing of amount, time or change"
            shown = find_shown(words[:1])
            found = f"a note with {quote_text(shown) if shown else 'words of amount, time or change'}"
            request.refuse("FHIR-019", found, expected, _ASK, path)
        elif explained.rest:
            remedy = "read it in the draft, beside this medicine"
            request.warn("FHIR-025", "a note about something else", "a note that is understood", remedy, path)
