"""Rules about the vial: its dates, what it holds, the words on it and the marks on it.

There is no clock here: "now" is the card's own date, ``review.date``.

The card tells the reader to check that the vial says its words, so words of another vial send the hand to it; and the
hand follows a mark, which is a thing put on the vial: no look and no medicine, which can contradict the vial. Colours
may stand in it, since tape and caps have them.

A strength is an amount in a volume: ``100 IU/mL``, ``10,000 units per mL``, ``5 mg/2 mL``; ``U-100`` is 100 units/mL.
How labels write them: from memory, common practice.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from datetime import date, timedelta
from fractions import Fraction
from functools import lru_cache
from itertools import combinations
from typing import Final

from fillcards.catalogue.medicines import load_medicines
from fillcards.catalogue.model import MedicineKind, Route
from fillcards.plan.reading import list_measured
from fillcards.plan.rules.rule import Finding
from fillcards.problems import Place
from fillcards.quantities import Quantity, Unit
from fillcards.regimen.free_words import (
    NOT_IN_CATALOGUE,
    find_digit,
    find_foreign_number_word,
    find_foreign_word,
    find_insulin_word,
    find_near_word,
    find_number_word,
    fold_text,
    list_loose_words,
    list_plain_words,
    says_name,
)
from fillcards.regimen.model import Medicine, Regimen
from fillcards.typeface.direction import is_right_to_left

DAYS_PER_WEEK = 7


def find_last_date(medicine: Medicine) -> date | None:
    """The day from which the vial must not be used: days of use after opening, or the printed expiry if sooner."""
    days = [medicine.expires] if medicine.expires else []
    if medicine.opened:
        days.append(medicine.opened + timedelta(days=medicine.in_use_days))
    return min(days, default=None)


def check_opened_in_future(regimen: Regimen) -> Iterator[Finding]:
    """A vial opened after the card's date."""
    today = regimen.review.date
    for medicine in regimen.medicines:
        if medicine.opened and today and medicine.opened > today:
            yield Finding(medicine.find_place("opened"), medicine=medicine, today=today)


def check_past_last_date(regimen: Regimen) -> Iterator[Finding]:
    """A vial that must not be used any more on the card's date."""
    today = regimen.review.date
    for medicine in regimen.medicines:
        last_date = find_last_date(medicine)
        if last_date is None or today is None or today < last_date:
            continue
        is_expired = last_date == medicine.expires
        said = f"expires {medicine.expires}" if is_expired else f"opened {medicine.opened}"
        rule = "the printed expiry" if is_expired else f"opened and {medicine.in_use_days} days"
        yield Finding(
            medicine.find_place("expires" if is_expired else "opened"),
            medicine=medicine,
            said=said,
            today=today,
            last_date=last_date,
            rule=rule,
        )


def _list_used_vials(regimen: Regimen) -> Iterator[tuple[Medicine, Fraction, Fraction]]:
    """Each medicine whose vial size and use are known: with its vial and its use in a day on average, in mL."""
    for medicine in regimen.medicines:
        own = (each for each in list_measured(regimen) if each.draw.medicine == medicine.key)
        weekly_ml = sum((each.volume_ml * len(each.fill.days_given) for each in own), Fraction(0))
        if medicine.vial_ml is not None and weekly_ml > 0:
            yield medicine, medicine.vial_ml, weekly_ml / DAYS_PER_WEEK


def caution_empty_early(regimen: Regimen) -> Iterator[Finding]:
    """A vial that is empty before its days of use are over."""
    for medicine, vial_ml, daily_ml in _list_used_vials(regimen):
        days = vial_ml // daily_ml
        if days < medicine.in_use_days:
            yield Finding(medicine.find_place("vial"), medicine=medicine, vial_ml=vial_ml, days=days)


def caution_waste(regimen: Regimen) -> Iterator[Finding]:
    """A vial of which half or more must be thrown away."""
    for medicine, vial_ml, daily_ml in _list_used_vials(regimen):
        used_ml = daily_ml * medicine.in_use_days
        if used_ml <= vial_ml / 2:
            yield Finding(
                medicine.find_place("vial"), medicine=medicine, vial_ml=vial_ml, percent=round(used_ml / vial_ml * 100)
            )


def check_vial_holds_dose(regimen: Regimen) -> Iterator[Finding]:
    """A dose larger than a whole vial."""
    for _, draw, volume_ml in list_measured(regimen):
        medicine = regimen.find_medicine(draw.medicine)
        if medicine.vial_ml is not None and volume_ml > medicine.vial_ml:
            yield Finding(draw.place, draw=draw, medicine=medicine)


def caution_long_life(regimen: Regimen) -> Iterator[Finding]:
    """A life from the label that is longer than the shortest published one."""
    for medicine in regimen.medicines:
        if medicine.row and medicine.in_use_days_from_label and medicine.in_use_days > medicine.row.in_use_days:
            yield Finding(medicine.find_place("use_within"), medicine=medicine)


# What a liquid looks like, and what the liquid is called. Common practice, no source.
_LOOKS: Final = frozenset(
    (
        *("clear", "cloudy", "milky", "colourless", "colorless", "transparent", "turbid", "hazy", "murky", "opaque"),
        *("liquid", "fluid", "solution", "suspension", "medicine", "medication", "contents", "acting"),
    )
)
# "The white one" points at the vial itself, not at a mark on it.
_POINTS_AT_VIAL: Final = ("one", "ones")
_SMALL_WORDS: Final = frozenset(("a", "an", "and", "of", "on", "in", "the", "with", "for", "to"))


@lru_cache(maxsize=1)
def _load_name_words() -> frozenset[str]:
    kinds = (name for row in load_medicines().values() for name in (row.kind, *row.other_names))
    return frozenset(word for kind in kinds for word in list_loose_words(kind)) - _SMALL_WORDS


def check_mark_is_a_thing(regimen: Regimen) -> Iterator[Finding]:
    """A mark that states a look or a medicine, or that points at the vial."""
    names = frozenset(word for medicine in regimen.medicines for word in list_plain_words(medicine.name)) - _SMALL_WORDS
    for medicine in regimen.medicines:
        mark = medicine.vial_mark
        word = (_find_content(medicine, names) or find_foreign_word(mark, "looks", regimen.language)) if mark else None
        if word:
            yield Finding(medicine.find_place("vial_mark"), word=word, medicine=medicine)


def _find_content(medicine: Medicine, names: frozenset[str]) -> str | None:
    mark = medicine.vial_mark or ""
    words = list_loose_words(mark)
    for word in words:
        if find_near_word(word, _LOOKS) or word in names or word in _load_name_words():
            return word
    return find_insulin_word(mark) or (words[-1] if words and words[-1] in _POINTS_AT_VIAL else None)


# Words of a generic name that by themselves name no medicine. From memory.
_FILLERS: Final = frozenset(("insulin", "human", "and", "acting", "with", "biphasic", "premixed", "example"))
_SAY_NOTHING: Final = frozenset(("a", "an", "one", "1", "the"))

_MARK: Final = "vial_mark"


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
            yield Finding(medicine.find_place("on_the_label"), label=label, medicine=medicine, wrong=wrong)


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
                medicine.find_place("on_the_label"),
                wrong=wrong,
                medicine=medicine,
                strength=medicine.strength or "not stated",
            )


def check_labels_apart(regimen: Regimen) -> Iterator[Finding]:
    """The same words on the vials of two medicines."""
    for one, other in combinations(regimen.medicines, 2):
        if not one.on_the_label or not other.on_the_label or _is_one_product(one, other):
            continue
        if list_plain_words(one.on_the_label) == list_plain_words(other.on_the_label):
            yield Finding(other.find_place("on_the_label"), other=other, one=one)


def _is_one_product(one: Medicine, other: Medicine) -> bool:
    return (one.row, one.name.casefold(), one.strength) == (other.row, other.name.casefold(), other.strength)


def check_marks_apart(regimen: Regimen) -> Iterator[Finding]:
    """One mark on two vials, or on two bottles."""
    for one, other in combinations(regimen.medicines, 2):
        if not one.vial_mark or not other.vial_mark or _is_bottle(one) is not _is_bottle(other):
            continue
        if _list_mark_words(one.vial_mark) == _list_mark_words(other.vial_mark):
            yield Finding(other.find_place("vial_mark"), other=other, one=one)


def check_twins_marked(regimen: Regimen) -> Iterator[Finding]:
    """Two vials of one medicine of which one has no mark."""
    for one, other in combinations(regimen.medicines, 2):
        bare = next((medicine for medicine in (one, other) if not medicine.vial_mark), None)
        if bare and _is_one_product(one, other):
            yield Finding(bare.place, one=one, other=other, bare=bare)


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
            yield Finding(
                place, found=f'{key}: "{word}", which is a number', expected="words without a number", remedy=remedy
            )
        elif word := find_foreign_word(text, "claims", regimen.language):
            remedy = "delete the word: only checked_by, checked_on and checked_code under review can say so"
            yield Finding(
                place, found=f'{key}: "{word}"', expected="words that do not claim a check of the card", remedy=remedy
            )
        elif is_mark and (word := find_foreign_word(text, "of_the_card", regimen.language)):
            remedy = "write what can be felt or seen, without the card's own words"
            yield Finding(
                place, found=f'{key}: "{word}"', expected="a few words such as one rubber band", remedy=remedy
            )


def check_way_of_sentences(regimen: Regimen) -> Iterator[Finding]:
    """The clinic's own sentences run the way the card's language does; names, marks and words on labels may not."""
    is_from_right = is_right_to_left(regimen.language)
    for key, text, place in _list_own_words(regimen):
        ways = {unicodedata.bidirectional(sign) for sign in text}
        runs_from_right = bool(ways & {"R", "AL"})
        if key != _MARK and ways & {"L", "R", "AL"} and runs_from_right is not is_from_right:
            way = ("left to right", "right to left")
            yield Finding(place, key=key, own=way[runs_from_right], cards=way[is_from_right])


def _list_own_words(regimen: Regimen) -> Iterator[tuple[str, str, Place]]:
    says = regimen.clinic_says
    for key, text in (("low_sugar", says.low_sugar), ("sickness", says.sickness)):
        if text:
            yield key, text, regimen.places.get("clinic_says", Place())
    if regimen.notes:
        yield "notes", regimen.notes, regimen.places.get("notes", Place())
    for medicine in regimen.medicines:
        if medicine.warning:
            yield "warning", medicine.warning, medicine.find_place("warning")
        if medicine.vial_mark:
            yield _MARK, medicine.vial_mark, medicine.find_place(_MARK)


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
