"""Rules about the words on the vial and the marks on it: they name this medicine, this strength and no other vial.

The card tells the reader to check that the vial says these words, so words of another vial send the hand to it.
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
from fillcards.plan.rules.label_strengths import find_other_amount, list_label_strengths, remove_strengths
from fillcards.plan.rules.rule import Finding, Rule, find_place
from fillcards.problems import ProblemCode, Severity
from fillcards.regimen.free_words import fold_text, list_plain_words
from fillcards.regimen.loose_names import find_insulin_word, find_near_word, list_loose_words
from fillcards.regimen.model import Medicine, Regimen

# Words of a label that name no medicine. From memory.
_FILLERS: Final = frozenset(
    (
        *(
            "insulin",
            "human",
            "and",
            "injection",
            "injectable",
            "suspension",
            "solution",
            "recombinant",
            "rdna",
            "with",
        ),
        *("acting", "for", "the", "of", "a", "u", "vial", "ml", "sterile", "medicine", "liquid", "sample", "example"),
        *("weekly", "daily", "new", "old"),
    )
)
_BLENDS: Final = frozenset(("premixed", "biphasic", "mix", "mixed"))
_FORMS_OF_ASPART: Final = frozenset(("fast", "faster"))
_FORMS_OF_ISOPHANE: Final = frozenset(("isophane", "nph"))
# The ending of another insulin than lispro, as the catalogue's note on that row says.
_NOT_IN_CATALOGUE: Final = "aabc"
_ONE: Final = frozenset(("a", "an", "1"))

_COPY = "look at the vial in hand and copy its own words; or correct the medicine; or leave the words out"


def _list_name_words(text: str) -> frozenset[str]:
    """The words of a label or a name that can tell one medicine from another, without its strength."""
    plain = remove_strengths(fold_text(text)).replace("neutral protamine hagedorn", "nph")
    words = set(list_loose_words(re.sub(r"\b([0-9]{2})\s*[/:-]\s*([0-9]{2})\b", r"\1/\2", plain))) - _FILLERS
    if not words & _BLENDS:
        words = {word for word in words if not word.isdigit()}
    if "aspart" not in words:
        words -= _FORMS_OF_ASPART
        if words & _FORMS_OF_ISOPHANE and "lispro" not in words:
            words.discard("protamine")
    return frozenset(words)


@lru_cache(maxsize=1)
def _load_names() -> tuple[tuple[MedicineKind, tuple[frozenset[str], ...]], ...]:
    """Each catalogue medicine with its names as words; a name that needs its strength to be told apart is left out."""
    return tuple(
        (
            row,
            tuple(
                _list_name_words(name)
                for name in (row.kind, *row.other_names)
                if remove_strengths(fold_text(name)) == fold_text(name)
            ),
        )
        for row in load_medicines().values()
    )


@lru_cache(maxsize=1)
def _load_vocabulary() -> frozenset[str]:
    return frozenset(word for _, names in _load_names() for name in names for word in name) | {_NOT_IN_CATALOGUE}


def _list_known_words(label: str) -> frozenset[str]:
    """The catalogue's words on a label, spelled as the catalogue does."""
    near = (find_near_word(word, _load_vocabulary()) for word in _list_name_words(label))
    return frozenset(word for word in near if word)


def check_name_on_label(regimen: Regimen) -> Iterator[Finding]:
    """Words on a vial that name another medicine than the one under which they stand."""
    for medicine in regimen.medicines:
        label = medicine.on_the_label
        wrong = _name_other(medicine, label, regimen) if label else None
        if wrong:
            yield Finding(
                find_place(medicine, "on_the_label"),
                f'"{label}" on the vial of {medicine.name}: {wrong}',
                f"words that name {medicine.name} and no other medicine",
                _COPY,
            )


def _name_other(medicine: Medicine, label: str, regimen: Regimen) -> str | None:
    """What a label names instead of its own medicine; ``None`` where it names nothing else."""
    if medicine.row is None:
        word = find_insulin_word(label)
        if word:
            return f'"{word}" is an insulin'
    elif wrong := _name_other_row(medicine.row, label):
        return wrong
    words, own = set(list_plain_words(label)), set(list_plain_words(medicine.name)) - _FILLERS
    for other in regimen.medicines:
        names = set(list_plain_words(other.name)) - _FILLERS
        is_meant = bool(own) and own <= words
        if other.row is None and names and names <= words and names != own and not is_meant:
            return f"that is {other.name}"
    return None


def _name_other_row(row: MedicineKind, label: str) -> str | None:
    found = _list_known_words(label)
    if not found:
        return None
    own_names = next(names for each, names in _load_names() if each is row)
    strange = sorted(found - frozenset(word for name in own_names for word in name))
    if strange:
        kinds = [each.kind for each, names in _load_names() if any(strange[0] in name for name in names)]
        return f'"{strange[0]}" is a word of {kinds[0] if kinds else "an insulin that is not in the catalogue"}'
    strengths = {strength.amount for strength in list_label_strengths(label)}
    named = [each for each, names in _load_names() if found in names and _may_have(each, strengths)]
    return f"that is {named[0].kind}" if named and row not in named else None


def _may_have(row: MedicineKind, strengths: set[Fraction]) -> bool:
    return not strengths or any(strength.amount in strengths for strength in row.strengths)


def check_strength_on_label(regimen: Regimen) -> Iterator[Finding]:
    """Words on a vial that hold another strength than the file, or an amount that is none."""
    for medicine in regimen.medicines:
        wrong = find_other_amount(medicine)
        if wrong:
            yield Finding(
                find_place(medicine, "on_the_label"),
                f'"{wrong}" on the vial of {medicine.name}, whose strength is {medicine.strength or "not stated"}',
                "the strength that stands under strength, or none; no other amount and no line",
                "read the strength on the vial in hand once more and correct one of the two",
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
                "mark one of them in another way and write that here, or take one of the two marks out",
            )


def _is_bottle(medicine: Medicine) -> bool:
    return medicine.route is Route.BY_MOUTH


def _list_mark_words(mark: str) -> tuple[str, ...]:
    return tuple("one" if word in _ONE else word for word in list_plain_words(mark) if word != "the")


_REFUSE = Severity.REFUSE

RULES = (
    Rule(
        ProblemCode(
            "LABEL-001",
            _REFUSE,
            "The words on the vial name this medicine and no other.",
            "The card has the reader look for these words; those of another vial put the wrong medicine into it.",
            ("common-practice", "memory-labels", "design"),
        ),
        check_name_on_label,
    ),
    Rule(
        ProblemCode(
            "LABEL-002",
            _REFUSE,
            "The words on the vial hold no other strength or amount.",
            "Two strengths on one card are two doses; only the one under strength is worked with.",
            ("common-practice", "fda-compounded-2024", "design"),
        ),
        check_strength_on_label,
    ),
    Rule(
        ProblemCode(
            "LABEL-003",
            _REFUSE,
            "The vials of two medicines say different words.",
            "Words that stand on both vials do not tell which of them to take.",
            ("common-practice", "design"),
        ),
        check_labels_apart,
    ),
    Rule(
        ProblemCode(
            "LABEL-004",
            _REFUSE,
            "Each vial has a mark of its own.",
            "The mark tells the vials apart by touch; the same mark on two tells the wrong one to be right.",
            ("common-practice", "design"),
        ),
        check_marks_apart,
    ),
)
