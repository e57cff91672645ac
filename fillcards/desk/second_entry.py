"""The blind check: what a second person types from prescription and bag, read back in words, and held against the file.

``read_entry`` knows nothing of any file: what it says comes from the typed fields alone, and the file is held against
it as what would have been typed for it. What counts as equal: names, medicines and labels without case and spacing (a
medicine under any of its generic names); times and days by what they mean; amounts exactly, with their units; fills and
vials in any order; "the prescription does not say" for minutes that the file leaves out.
"""

from __future__ import annotations

import calendar
import datetime
import re
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from typing import Final, TypeAlias, TypeVar

from fillcards.catalogue.medicines import find_medicine_named
from fillcards.catalogue.model import Route, ScaleName
from fillcards.quantities import STRENGTH_UNITS, Quantity, QuantityError, Unit, parse_quantity, write_number
from fillcards.regimen import keys
from fillcards.regimen.forms import FormError
from fillcards.regimen.model import EVERY_DAY, PatientKind, Regimen, Weekday
from fillcards.regimen.times import fold_time
from fillcards.wording.writers import ENGLISH

T = TypeVar("T")

MOST_LABELS: Final = keys.MOST_MEDICINES
_SAYS_NOTHING: Final = "does not say"
_NO_STRENGTH: Final = "none"


Entry: TypeAlias = tuple[object, ...]
"""Everything that is compared, in the one form in which it is, and of use for nothing else: folded name, birth date,
fills in any order (time, days, minutes or ``None`` where the prescription does not say, doses by folded medicine,
route), scale, its last number, labels with their strengths in any order.
"""


def fold(words: str) -> str:
    """Without case and spacing."""
    return "".join(words.split()).casefold()


def fold_medicine(words: str) -> str:
    """A medicine by the name the catalogue has for it, else folded."""
    row = find_medicine_named(words)
    return fold(row.kind if row else words)


@dataclass(frozen=True, slots=True)
class Typed:
    """The fields as they were read.

    Attributes:
        entry: ``None`` while there are slips.
        sentences: what was typed, numbers in words.
        slips: of form, by field: what is wanted there.
    """

    entry: Entry | None
    sentences: tuple[str, ...]
    slips: dict[str, str]


class _Fields:
    """Takes fields one by one and notes what cannot be read."""

    def __init__(self, fields: Mapping[str, str]) -> None:
        self._fields = fields
        self.slips: dict[str, str] = {}

    def text(self, name: str) -> str:
        return " ".join(self._fields.get(name, "").split())

    def read(self, name: str, parse: Callable[[str], T], wanted: str = "") -> T | None:
        text = self.text(name)
        if not text:
            self.slips[name] = wanted or "nothing is filled in"
            return None
        try:
            return parse(text)
        except (FormError, QuantityError) as error:
            self.slips[name] = f"{error.expected}; {error.remedy}"
        except (ValueError, KeyError):
            self.slips[name] = wanted
        return None


def read_entry(fields: Mapping[str, str]) -> Typed:
    """The typed fields: ``name``, ``born``, ``count``, ``fill-1-when`` and so on, ``scale``, ``last``, ``label-1``."""
    given = _Fields(fields)
    name = given.read("name", str, "the name, as on the prescription")
    is_animal = given.text("kind") == PatientKind.ANIMAL.value
    born = None if is_animal else given.read("born", read_date, "a date as year-month-day, such as 1948-07-15")
    count = given.read("count", _read_count, "how many fills the prescription has, from 1 to 12")
    rows = [_read_fill(given, number) for number in range(1, (count or 0) + 1)]
    scale = given.read("scale", lambda text: _SCALES[fold(text)], f"one of: {', '.join(s.value for s in ScaleName)}")
    last = given.read("last", _read_number, "the last number printed on the barrel, such as 50")
    labels = [_read_label(given, number) for number in range(1, MOST_LABELS + 1)]
    sentences = [_say_whose(name, born, count), *(said for _, said in rows), _say_syringe(scale, last)]
    sentences += [said for _, said in labels if said]
    fills = Counter(fill for fill, _ in rows if fill is not None)
    seen = frozenset(label for label, _ in labels if label is not None)
    if not seen:
        given.slips.setdefault("label-1", "the words on at least one label")
    entry = None
    if not given.slips and name and scale is not None and last is not None:
        entry = (fold(name), born, fills, scale, last, seen)
    return Typed(entry, tuple(sentences), given.slips)


_SCALES: Final = {fold(word): scale for scale in ScaleName for word in (scale.value, scale.value.replace("-", ""))}


def read_date(text: str) -> datetime.date:
    """``1951-05-04``, as the blank asks, or ``4 May 1951``; never what has day and month in doubt.

    Raises:
        ValueError: it is neither.
    """
    if match := re.fullmatch(r"(\d{1,2}) ([a-z]{3,9}) (\d{4})", text.casefold()):
        names = (*enumerate(calendar.month_name), *enumerate(calendar.month_abbr))
        months = {name.casefold(): number for number, name in names}
        return datetime.date(int(match[3]), months.get(match[2], 0), int(match[1]))
    return datetime.date.fromisoformat(text)


def _read_count(text: str) -> int:
    number = int(text)
    if not 1 <= number <= keys.MOST_FILLS:
        raise ValueError(text)
    return number


def _read_number(text: str) -> Fraction:
    match = re.fullmatch(r"([0-9]+(?:\.[0-9]+)?)(?: ?(?:mL|units?))?", text, re.ASCII)
    if not match:
        raise ValueError(text)
    return Fraction(match[1])


def read_days(text: str) -> tuple[Weekday, ...]:
    """``every day``, ``weekdays``, or days in full or by three letters, between commas or "and".

    Raises:
        KeyError: a word is no day.
    """
    word = text.casefold()
    if word in keys.DAYS_OF_WORD:
        return tuple(keys.DAYS_OF_WORD[word])
    known = {day.word: day for day in EVERY_DAY} | {day.word[:3]: day for day in EVERY_DAY}
    days = {
        known[each.removesuffix("s") if each not in known else each]
        for each in re.split(r"[\s,]+(?:and )?", word)
        if each
    }
    return tuple(sorted(days, key=lambda day: day.value))


def _read_fill(given: _Fields, number: int) -> tuple[Entry | None, str]:
    key = f"fill-{number}"
    when = given.read(f"{key}-when", fold_time, "a time such as before breakfast, or 07:30")
    days = given.read(f"{key}-days", read_days, "every day, or days such as Monday, Thursday")
    doses = [_read_dose(given, key, each) for each in (1, 2)]
    route = given.read(f"{key}-route", Route, "how it is given")
    minutes: int | None = None
    if given.text(f"{key}-minutes").casefold() != _SAYS_NOTHING and not given.text(f"{key}-no-minutes"):
        minutes = given.read(f"{key}-minutes", int, "a number, or “the prescription does not say”")
    taken = [dose for dose in doses if dose is not None]
    parts = " and ".join(f"{_write_amount(dose)} of {words}" for words, dose in taken)
    said = f"{number}. "
    if when is None or days is None or route is None or any(slip.startswith(f"{key}-") for slip in given.slips):
        return None, f"{said}Not complete yet."
    eat = f"Inject {minutes} minutes before eating." if minutes else "Minutes: the prescription does not say."
    said += f"{when[:1].upper()}{when[1:]}, {_say_days(days)}: {parts}. {eat} Given: {route.value}."
    doses_of = frozenset((fold_medicine(words), dose) for words, dose in taken)
    fill = (when, frozenset(days), minutes, doses_of, route)
    return fill, said


def _say_days(days: tuple[Weekday, ...]) -> str:
    return "every day" if days == EVERY_DAY else ENGLISH.write_days(days)


def _read_dose(given: _Fields, key: str, number: int) -> tuple[str, Quantity] | None:
    dose_name, medicine_name = f"{key}-dose-{number}", f"{key}-medicine-{number}"
    if number > 1 and not given.text(dose_name) and not given.text(medicine_name):
        return None
    dose = given.read(dose_name, keys.DOSE_FORM.parse, "a dose with its unit, such as 8 units")
    medicine = given.read(medicine_name, str, "the medicine's name")
    return None if dose is None or medicine is None else (medicine, dose)


def _read_label(given: _Fields, number: int) -> tuple[tuple[str, Quantity | None] | None, str]:
    words, strength = given.text(f"label-{number}"), given.text(f"strength-{number}")
    if not words and not strength:
        return None, ""
    given.read(f"label-{number}", str, "the words on the label")
    amount = None
    if strength.casefold() != _NO_STRENGTH:
        parse = partial(parse_quantity, units=STRENGTH_UNITS)
        amount = given.read(f"strength-{number}", parse, "the strength, or the word none")
    said = "no strength on it" if amount is None else _write_amount(amount)
    # The strength has a blank of its own: who typed it with the words said the same.
    label = fold(words).removesuffix(fold(str(amount)) if amount else "")
    return (label, amount), f"Label: {words}; {said}."


def _write_amount(amount: Quantity) -> str:
    unit = "unit" if amount.unit is Unit.UNITS and amount.amount == 1 else amount.unit.value
    return f"{ENGLISH.write_in_words(amount.amount)} {unit}"


def _say_whose(name: str | None, born: datetime.date | None, count: int | None) -> str:
    fills = f"{ENGLISH.write_in_words(count).capitalize()} {'fill' if count == 1 else 'fills'}." if count else ""
    return f"For {name or '…'}{f', born {ENGLISH.write_date(born)}' if born else ''}. {fills}".strip()


def _say_syringe(scale: ScaleName | None, last: Fraction | None) -> str:
    if scale is None or last is None:
        return "Syringe: not complete yet."
    return f"Syringe: {scale.value}, last number {write_number(last)}, {ENGLISH.write_in_words(last)}."


def type_regimen(regimen: Regimen) -> Typed:
    """What a second person would have typed for this file."""
    patient, syringe = regimen.patient, regimen.syringe
    fields = {"name": patient.name or "", "kind": patient.kind.value, "born": str(patient.born or "")}
    fields |= {"scale": syringe.scale.value, "last": _write_plain(write_number(syringe.last_line))}
    fields["count"] = str(len(regimen.fills))
    for number, fill in enumerate(regimen.fills, start=1):
        key = f"fill-{number}"
        minutes = _SAYS_NOTHING if fill.minutes_before is None else str(fill.minutes_before)
        days = ", ".join(day.word for day in fill.days_given)
        route = regimen.find_medicine(fill.draws[0].medicine).route.value
        fields |= {f"{key}-when": fill.when, f"{key}-days": days, f"{key}-minutes": minutes, f"{key}-route": route}
        for each, draw in enumerate(fill.draws, start=1):
            fields[f"{key}-dose-{each}"] = _write_plain(draw.dose)
            fields[f"{key}-medicine-{each}"] = regimen.find_medicine(draw.medicine).name
    for number, medicine in enumerate(regimen.medicines, start=1):
        fields[f"label-{number}"] = medicine.on_the_label or medicine.name
        fields[f"strength-{number}"] = _write_plain(medicine.strength or _NO_STRENGTH)
    return read_entry(fields)


def _write_plain(amount: Quantity | str) -> str:
    """As a field takes it, without the comma between thousands."""
    return str(amount).replace(",", "")
