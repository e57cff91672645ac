"""Rules about the words on the vial and the marks on it: they name this medicine, this strength and no other vial.

The card tells the reader to check that the vial says these words, so words of another vial send the hand to it.

A strength is an amount in a volume: ``100 IU/mL``, ``10,000 units per mL``, ``5 mg/2 mL``; ``U-100`` is 100 units/mL.
How labels write them: from memory, common practice.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from itertools import combinations
from typing import Final

from fillcards.catalogue.medicines import load_medicines
from fillcards.catalogue.model import MedicineKind, Route
from fillcards.plan.rules.rule import Finding, Rule, find_place
from fillcards.problems import Place, Severity
from fillcards.quantities import Quantity, Unit
from fillcards.regimen.foreign_words import find_foreign_card_word, find_foreign_claim, find_foreign_number_word
from fillcards.regimen.free_words import find_digit, find_number_word, fold_text, list_plain_words, says_name
from fillcards.regimen.loose_names import NOT_IN_CATALOGUE
from fillcards.regimen.model import Medicine, Regimen

# Words of a generic name that by themselves name no medicine. From memory.
_FILLERS: Final = frozenset(("insulin", "human", "and", "acting", "with", "biphasic", "premixed", "example"))
_SAY_NOTHING: Final = frozenset(("a", "an", "one", "1", "the"))

_MARK: Final = "vial_mark"
_COPY: Final = "look at the vial in hand and copy its own words; or correct the medicine; or leave the words out"


_AMOUNT_IN_VOLUME: Final = re.compile(
    r"(?<![\w.,/])([0-9][0-9,]*(?:\.[0-9]+)?)\s*"
    r"(?:(units?|international units?|i\.?u\.?|u)|(mg|milligrams?)|(mcg|[u\u03bc]g|micrograms?)|(g|grams?))\s*"
    r"(?:/|\bper\b)\s*([0-9]+(?:\.[0-9]+)?)?\s*(?:ml|millilit(?:er|re)s?)\b"
)
_SCALE_NAME: Final = re.compile(r"\bu-?\s?([0-9]{2,3})\b")
_RATIO: Final = re.compile(r"\b([0-9]{2})\s*[/:-]\s*([0-9]{2})\b")
# A microgram, and a unit, in what an amount of each sort is counted in.
_COUNTED_IN: Final = ((Unit.UNITS_PER_ML, 1), (Unit.MG_PER_ML, 1000), (Unit.MG_PER_ML, 1), (Unit.MG_PER_ML, 1_000_000))
_PER_ML: Final = {Unit.UNITS_PER_ML: (Unit.UNITS_PER_ML, 1), Unit.MG_PER_ML: (Unit.MG_PER_ML, 1000)} | {
    Unit.MCG_PER_ML: (Unit.MG_PER_ML, 1)
}


def _list_name_words(text: str) -> frozenset[str]:
    """The words of a label or a name that can tell one medicine from another; a ratio such as 70/30 is one of them."""
    return frozenset(re.findall(r"[0-9]{2}/[0-9]{2}|[^\W_]+", fold_label(text))) - _FILLERS


@lru_cache(maxsize=1)
def _load_names() -> tuple[tuple[MedicineKind, frozenset[str]], ...]:
    """Each generic name of each catalogue medicine as words."""
    return tuple(
        (row, _list_name_words(name)) for row in load_medicines().values() for name in (row.kind, *row.other_names)
    )


def check_name_on_label(regimen: Regimen) -> Iterator[Finding]:
    """Words on a vial that do not hold the generic name of a catalogue medicine, or that name another medicine."""
    for medicine in regimen.medicines:
        label = medicine.on_the_label
        wrong = _find_wrong_name(medicine, label, regimen) if label else None
        if wrong:
            yield Finding(
                find_place(medicine, "on_the_label"),
                f'"{label}" on the vial of {medicine.name}: {wrong}',
                f"words that name {medicine.name} and no other medicine",
                _COPY,
            )


def _find_wrong_name(medicine: Medicine, label: str, regimen: Regimen) -> str | None:
    """What is wrong with the names on a label; ``None`` where it is right.

    A medicine of the catalogue must be named, by the name that has the most words there: ``insulin aspart faster`` is
    not insulin aspart. For any other the card prints its generic name beside words that lack it.
    """
    words = _list_name_words(label)
    named = [(row, name) for row, name in _load_names() if name <= words]
    own = max((name for row, name in named if row is medicine.row), key=len, default=frozenset[str]())
    if medicine.row is None:
        own = _list_name_words(medicine.name)
    elif not own:
        return "the generic name is not there"
    stranger = next((row.kind for row, name in named if row is not medicine.row and not name <= own), None)
    if stranger or (NOT_IN_CATALOGUE in words and NOT_IN_CATALOGUE not in own):
        return f"that is {stranger or 'an insulin that is not in the catalogue'}"
    others = [other.name for other in regimen.medicines if other.row is None and other is not medicine]
    stranger = next((name for name in others if says_name(label, name) and not _list_name_words(name) <= own), None)
    return f"that is {stranger}" if stranger else None


def check_strength_on_label(regimen: Regimen) -> Iterator[Finding]:
    """Words on a vial that hold another number than the strength."""
    for medicine in regimen.medicines:
        wrong = find_other_number(medicine)
        if wrong and not _find_wrong_name(medicine, medicine.on_the_label or "", regimen):
            yield Finding(
                find_place(medicine, "on_the_label"),
                f'"{wrong}" on the vial of {medicine.name}, whose strength is {medicine.strength or "not stated"}',
                "no number except the strength given under strength",
                "read the strength on the vial again and correct one of the two; leave other numbers out",
            )


def check_labels_apart(regimen: Regimen) -> Iterator[Finding]:
    """The same words on the vials of two medicines."""
    for one, other in combinations(regimen.medicines, 2):
        if not one.on_the_label or not other.on_the_label or _is_one_product(one, other):
            continue
        if list_plain_words(one.on_the_label) == list_plain_words(other.on_the_label):
            yield Finding(
                find_place(other, "on_the_label"),
                f'"{other.on_the_label}" on the vials of {one.key} and of {other.key}',
                "words that tell the two vials apart",
                _COPY,
            )


def _is_one_product(one: Medicine, other: Medicine) -> bool:
    return (one.row, one.name.casefold(), one.strength) == (other.row, other.name.casefold(), other.strength)


def check_marks_apart(regimen: Regimen) -> Iterator[Finding]:
    """One mark on two vials, or on two bottles."""
    for one, other in combinations(regimen.medicines, 2):
        if not one.vial_mark or not other.vial_mark or _is_bottle(one) is not _is_bottle(other):
            continue
        if _list_mark_words(one.vial_mark) == _list_mark_words(other.vial_mark):
            yield Finding(
                find_place(other, "vial_mark"),
                f'"{other.vial_mark}" on {one.key} and on {other.key}',
                "a mark of its own for each, such as one rubber band and two",
                "mark one of them differently and write that here, or delete one of the two marks",
            )


def check_twins_marked(regimen: Regimen) -> Iterator[Finding]:
    """Two vials of one medicine of which one has no mark."""
    for one, other in combinations(regimen.medicines, 2):
        bare = next((medicine for medicine in (one, other) if not medicine.vial_mark), None)
        if bare and _is_one_product(one, other):
            yield Finding(
                bare.place,
                f"{one.key} and {other.key}: two vials of {one.name}, and no mark on {bare.key}",
                "a vial_mark for each, such as one rubber band and two rubber bands",
                "mark both vials and write the marks here; or draw both fills from one vial, under one key",
            )


def _is_bottle(medicine: Medicine) -> bool:
    return medicine.route is Route.BY_MOUTH


def _list_mark_words(mark: str) -> tuple[str, ...]:
    return tuple("cap" if word == "lid" else word for word in list_plain_words(mark) if word not in _SAY_NOTHING)


def check_foreign_words(regimen: Regimen) -> Iterator[Finding]:
    """The clinic's own words with a number or a claim of a check in any language; marks with the card's own words."""
    for key, text, place in _list_own_words(regimen):
        is_mark = key == _MARK
        if word := find_foreign_number_word(text, regimen.language, in_mark=is_mark):
            remedy = (
                "delete the number, for doses go under fills; words that name no amount: write others, in that language"
            )
            yield Finding(place, f'{key}: "{word}", which is a number', "words without a number", remedy)
        elif word := find_foreign_claim(text, regimen.language):
            remedy = "delete the word: only checked_by, checked_on and checked_code under review can say so"
            yield Finding(place, f'{key}: "{word}"', "words that do not claim a check of the card", remedy)
        elif is_mark and (word := find_foreign_card_word(text, regimen.language)):
            remedy = "write what can be felt or seen, without the card's own words"
            yield Finding(place, f'{key}: "{word}"', "a few words such as one rubber band", remedy)


def _list_own_words(regimen: Regimen) -> Iterator[tuple[str, str, Place]]:
    says = regimen.clinic_says
    for key, text in (("low_sugar", says.low_sugar), ("sickness", says.sickness)):
        if text:
            yield key, text, regimen.places.get("clinic_says", Place())
    if regimen.notes:
        yield "notes", regimen.notes, regimen.places.get("notes", Place())
    for medicine in regimen.medicines:
        if medicine.warning:
            yield "warning", medicine.warning, find_place(medicine, "warning")
        if medicine.vial_mark:
            yield _MARK, medicine.vial_mark, find_place(medicine, _MARK)


_REFUSE = Severity.REFUSE

RULES = (
    Rule("LABEL-001", _REFUSE, check_name_on_label),
    Rule("LABEL-002", _REFUSE, check_strength_on_label),
    Rule("LABEL-003", _REFUSE, check_labels_apart),
    Rule("LABEL-004", _REFUSE, check_marks_apart),
    Rule("LABEL-005", _REFUSE, check_twins_marked),
    Rule("WORDS-002", _REFUSE, check_foreign_words),
)


def find_other_number(medicine: Medicine) -> str | None:
    """What on the label of a medicine is a number and not its strength, as folded words; ``None`` if there is none.

    Digits that belong to a name of the medicine, such as 70/30, count as the name.
    """
    if not medicine.on_the_label:
        return None
    rest = _remove_strength(medicine.on_the_label, medicine.strength)
    strange = _AMOUNT_IN_VOLUME.search(rest) or _SCALE_NAME.search(rest)
    if strange:
        return strange[0]
    names = (medicine.row.kind, *medicine.row.other_names) if medicine.row else (medicine.name,)
    numbered = [fold_label(name) for name in names if find_digit(name)]
    for words in (*numbered, *(ratio[0] for name in numbered for ratio in _RATIO.finditer(name))):
        rest = rest.replace(words, " ")
    return find_digit(rest) or find_number_word(rest)


def _remove_strength(label: str, strength: Quantity | None) -> str:
    """The folded words of a label without the strength, wherever it is."""

    def keep_others(match: re.Match[str]) -> str:
        return " " if strength and _read_strength(match) == _reduce(strength) else match[0]

    return _SCALE_NAME.sub(keep_others, _AMOUNT_IN_VOLUME.sub(keep_others, fold_label(label)))


def fold_label(text: str) -> str:
    """As ``fold_text``, and 70-30 or 70:30 as 70/30."""
    return _RATIO.sub(r"\1/\2", fold_text(text))


def _reduce(strength: Quantity) -> tuple[Unit, Fraction]:
    """A strength in units/mL, or in micrograms a mL (then under the unit of mass)."""
    unit, factor = _PER_ML[strength.unit]
    return unit, strength.amount * factor


def _read_strength(match: re.Match[str]) -> tuple[Unit, Fraction] | None:
    amount = Fraction(match[1].replace(",", ""))
    if match.re is _SCALE_NAME:
        return Unit.UNITS_PER_ML, amount
    volume_ml = Fraction(match[6] or 1)
    unit, factor = next(each for each, word in zip(_COUNTED_IN, match.groups()[1:5], strict=True) if word)
    return (unit, amount * factor / volume_ml) if volume_ml else None
