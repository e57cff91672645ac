"""Messages with values, and the one renderer that makes sentences of them.

A message is an id with typed values (``Say``). Its words stand in ``en.po`` (gettext's format, which translators' tools
open), compiled to ``en.mo`` by ``tests/wording/make_messages.py``. In the words, ``{slot}`` is a value, and ``**``
begins and ends bold. Nothing here joins sentences, and no value can bring markup with it.

The slots a message may have are a closed table, each with the type of what goes in: a slot not in it stops. A value
reaches a message as what it is (an exact number, a date, a line), never as a finished string, so that a message cannot
be given another's words. Only what the file says in free words is text.

English writes amounts, times and looks by rule or leaves the file's own words. For the other languages the words stand
in the message file, under the ids of ``en-values.po``, so that they are translated, proof-read and signed like every
sentence. What a reader must match with print stays as printed in every language: names of medicines, a label's
strength, the name of a scale.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from enum import Enum
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Final, NamedTuple, TypeAlias, Union

from fillcards.catalogue.model import ScaleName
from fillcards.plan.model import LineAmount
from fillcards.problems import InternalFault
from fillcards.quantities import Quantity, Unit, write_number, write_quantity
from fillcards.regimen.model import Weekday
from fillcards.regimen.times import read_time
from fillcards.wording.words import find_words, list_forms
from fillcards.wording.writers import load_writer


class SlotKind(Enum):
    """What a slot takes, and how it is written."""

    STOP = "a line amount with its word: line 11, 0.5 mL"
    LINE = "a line amount alone: 11, 0.5 mL"
    NUMBER = "an exact number in digits: 12.5, 1,000"
    WORDS = "an exact number in words: eleven"
    LINES = "a count in words up to twelve; chooses between one and many"
    PLURAL = "a count in digits; chooses between one and many"
    COUNT = "a count in digits"
    QUANTITY = "an amount with its unit: 11 units"
    LABEL = "a strength as a label has it, in any language: 2.5 mg/mL"
    STRENGTH = "a strength as it is said: 100 units per mL"
    SCALE = "the name of a scale: U-100"
    DATE = "a date: 4 May 1951"
    DAYS = "days of the week: Saturday and Sunday"
    LOOK = "how a liquid must look: clear, milky pale yellow"
    TIME = "the file's time of a fill, with a capital where it begins a message"
    FREE = "words of the file, or a code, as they stand"
    MESSAGE = "another message"


_SLOTS: Final[Mapping[SlotKind, str]] = {
    SlotKind.STOP: "stop first total old",
    SlotKind.LINE: "air still",
    SlotKind.NUMBER: "number first_number second_number total_number last from_number",
    SlotKind.WORDS: "words",
    SlotKind.LINES: "lines",
    SlotKind.PLURAL: "minutes in_use_days",
    SlotKind.COUNT: "page pages step steps",
    SlotKind.QUANTITY: "dose old_dose volume each",
    SlotKind.LABEL: "label_strength",
    SlotKind.STRENGTH: "strength",
    SlotKind.SCALE: "scale",
    SlotKind.DATE: "date born until opened",
    SlotKind.DAYS: "days day",
    SlotKind.LOOK: "look first_look second_look",
    SlotKind.TIME: "when",
    SlotKind.FREE: (
        "medicine first_medicine second_medicine mark name identifier who phone note label checker code old_code found "
        "expected remedy"
    ),
    SlotKind.MESSAGE: "text",
}

SLOTS: Final[Mapping[str, SlotKind]] = MappingProxyType(
    {slot: kind for kind, slots in _SLOTS.items() for slot in slots.split()}
)
"""Every slot by its name."""

PLURAL_KINDS: Final = frozenset({SlotKind.LINES, SlotKind.PLURAL})
"""A message with such a slot has a form for one and a form for many."""


Value: TypeAlias = Union[Fraction, int, Quantity, date, LineAmount, tuple[Weekday, ...], ScaleName, str, "Say"]


_MARKS: Final = re.compile(r"(\*\*|\{\w+\})")


class Say(NamedTuple):
    """A message: its id, and the value of each of its slots in alphabetical order. Made by ``say``."""

    id: str
    values: tuple[tuple[str, Value], ...] = ()


class ValuePlace(NamedTuple):
    """Where a value stands in a rendered message: characters ``start`` to ``end``, the last not counted."""

    start: int
    end: int
    slot: str


class Rendered(NamedTuple):
    """A finished sentence or two.

    Attributes:
        text: the words.
        bold: the runs of characters set bold, as (start, end), in order and apart from each other.
        places: where its values stand, in order.
    """

    text: str
    bold: tuple[tuple[int, int], ...]
    places: tuple[ValuePlace, ...]


class _Piece(NamedTuple):
    words: str
    is_bold: bool
    slot: str | None = None


def say(message_id: str, /, **values: Value) -> Say:
    """A message with its values."""
    return Say(message_id, tuple(sorted(values.items())))


def fit(message_id: str, values: Mapping[str, Value | None], language: str = "en") -> Say:
    """A message with those of the values that it has slots for: the words decide what they say.

    Raises:
        InternalFault: there is no such message, or a slot of it has no value.
    """
    slots = _list_slots(message_id, language)
    chosen = {slot: value for slot in slots if (value := values.get(slot)) is not None}
    if slots - chosen.keys():
        raise InternalFault(f'message "{message_id}": no value for {", ".join(sorted(slots - chosen.keys()))}')
    return say(message_id, **chosen)


def render(message: Say, language: str = "en") -> Rendered:
    """A message in the words of a language.

    Raises:
        InternalFault: there is no such message, or its values are not those of its slots.
    """
    values = dict(message.values)
    pieces = _read_pieces(find_words(message.id, _find_count(values), language))
    if _list_slots(message.id, language) != values.keys():
        raise InternalFault(f'message "{message.id}": its slots are not those given: {", ".join(values) or "none"}')
    text = ""
    bold: list[tuple[int, int]] = []
    places: list[ValuePlace] = []
    for piece in pieces:
        start = len(text)
        if piece.slot is None:
            text += piece.words
        else:
            text += _write(piece.slot, values[piece.slot], language, is_first=not text)
            places.append(ValuePlace(start, len(text), piece.slot))
        if piece.is_bold:
            joins = bool(bold) and bold[-1][1] == start
            bold.append((bold.pop()[0] if joins else start, len(text)))
    return Rendered(text, tuple(bold), tuple(places))


def write_line_amount(amount: LineAmount, language: str) -> str:
    """Where a word would be too much, as in a picture: ``11``, ``0.5 mL``."""
    if amount.is_ml:
        return render(say("stop-ml", number=amount.value), language).text
    return load_writer(language).write_number(amount.value)


def _write(slot: str, value: Value, language: str, *, is_first: bool) -> str:
    """A value as its slot wants it.

    Raises:
        InternalFault: the slot is not known, or takes another type.
    """
    kind = SLOTS.get(slot)
    match kind, value:
        case SlotKind.STOP, LineAmount(number, is_ml):
            return render(say("stop-ml" if is_ml else "stop-line", number=number), language).text
        case SlotKind.LINE, LineAmount():
            return write_line_amount(value, language)
        case SlotKind.MESSAGE, Say():
            return render(value, language).text
        case SlotKind.TIME, str():
            return _begin(write_time(value, language), is_first=is_first)
        case SlotKind.LOOK, str():
            return write_look(value, language)
        case SlotKind.FREE, str():
            return value
        case SlotKind.SCALE, ScaleName():
            return value.value
        case SlotKind.DATE, date():
            return load_writer(language).write_date(value)
        case SlotKind.DAYS, (Weekday(), *_):
            days = tuple(day for day in value if isinstance(day, Weekday))
            return _begin(load_writer(language).write_days(days), is_first=is_first)
    written = _write_number(kind, value, language)
    if written is None:
        raise InternalFault(f'slot "{slot}" does not take {type(value).__name__}')
    return written


def _begin(words: str, *, is_first: bool) -> str:
    """Words with a capital where they begin a message."""
    return words[:1].upper() + words[1:] if is_first else words


def _write_number(kind: SlotKind | None, value: Value, language: str) -> str | None:
    writer = load_writer(language)
    match kind, value:
        case SlotKind.WORDS, int() | Fraction():
            return writer.write_in_words(value)
        case SlotKind.LINES, int():
            return writer.write_count(value)
        case ((SlotKind.NUMBER | SlotKind.PLURAL | SlotKind.COUNT), int() | Fraction()):
            return writer.write_number(value)
        case SlotKind.QUANTITY, Quantity():
            return write_amount(value, language)
        case SlotKind.LABEL, Quantity():
            # As it is printed, but that a comma between thousands would be a decimal comma in some languages.
            return write_quantity(value).replace(",", writer.group)
        case SlotKind.STRENGTH, Quantity():
            return write_strength(value, language)
        case _:
            return None


def _find_count(values: dict[str, Value]) -> int | None:
    """The count that chooses between one and many."""
    for slot, value in values.items():
        if SLOTS.get(slot) in PLURAL_KINDS and isinstance(value, int):
            return value
    return None


@lru_cache(maxsize=1024)
def _list_slots(message_id: str, language: str) -> frozenset[str]:
    """The slots of a message; in the form for one, the count may be left to a word."""
    forms = list_forms(message_id, language)
    return frozenset(piece.slot for words in forms for piece in _read_pieces(words) if piece.slot)


@lru_cache(maxsize=1024)
def _read_pieces(words: str) -> tuple[_Piece, ...]:
    """The words taken apart at their slots and where bold begins and ends."""
    pieces = []
    is_bold = False
    for part in _MARKS.split(words):
        if part == "**":
            is_bold = not is_bold
        elif part.startswith("{"):
            pieces.append(_Piece("", is_bold, part[1:-1]))
        elif part:
            pieces.append(_Piece(part, is_bold))
    return tuple(pieces)


_STEMS: Final = {
    Unit.UNITS: "amount-units",
    Unit.MG: "amount-mg",
    Unit.MCG: "amount-mcg",
    Unit.ML: "amount-ml",
}
_OF_STRENGTH: Final = {Unit.UNITS_PER_ML: Unit.UNITS, Unit.MG_PER_ML: Unit.MG, Unit.MCG_PER_ML: Unit.MCG}
_SAID: Final = {"ml": "milliliter", "mg": "milligram", "mcg": "microgram"}
_PER_ML: Final = {Unit.UNITS_PER_ML: "units", Unit.MG_PER_ML: "mg", Unit.MCG_PER_ML: "mcg"}
_SYRINGES: Final = ("first", "second", "third")


def write_amount(amount: Quantity, language: str) -> str:
    """``11 units``, ``0.25 mg``; in whole units by the plural form of the number.

    Raises:
        InternalFault: a unit without words, which no patient meets.
    """
    if language == "en":
        return write_quantity(amount)
    stem, count = _STEMS[amount.unit], None
    if amount.unit is Unit.UNITS and amount.amount.denominator == 1:
        count = int(amount.amount)
    elif amount.unit is Unit.UNITS:
        stem += "-part"
    return find_words(stem, count, language).format(amount=load_writer(language).write_number(amount.amount))


def write_strength(strength: Quantity, language: str) -> str:
    """As it is said aloud: ``100 units per mL``, ``1 unit per mL``, ``2.5 mg per mL``."""
    if language == "en":
        word = _PER_ML[strength.unit]
        word = "unit" if word == "units" and strength.amount == 1 else word
        return f"{write_number(strength.amount)} {word} per mL"
    amount = Quantity(strength.amount, _OF_STRENGTH[strength.unit])
    return find_words("amount-per-ml", None, language).format(amount=write_amount(amount, language))


def write_time(when: str, language: str) -> str:
    """A time as the card says it: in English the file's own words, else those of its meaning, clocks in 24 hours."""
    if language == "en":
        return when
    time = read_time(when)
    if time.minute is not None:
        words = "{:02d}:{:02d}".format(*divmod(time.minute, 60))
    else:
        words = find_words(f"time-{time.relation.value}-{time.moment.replace(' ', '-')}", None, language)
    if time.syringe is None:
        return words
    return find_words(f"time-{_SYRINGES[time.syringe - 1]}-syringe", None, language).format(when=words)


def write_look(look: str, language: str) -> str:
    """How a liquid must look, of the words that the file may say it in: clear, then a shade and a colour."""
    if language == "en":
        return look
    clear, *words = look.split()
    said = find_words(f"look-{clear}", None, language)
    if not words:
        return said
    *shades, last = [_find_look(word, language) for word in words if word != "very"]
    if "very" in words:
        shades = [find_words("look-very", None, language).format(shade=shade) for shade in shades]
    colour = find_words("look-shade", None, language).format(shade=shades[0], colour=last) if shades else last
    return find_words("look-and-colour", None, language).format(look=said, colour=colour)


def _find_look(word: str, language: str) -> str:
    spelled = {"colorless": "colourless", "gray": "grey"}.get(word, word)
    return find_words(f"look-{spelled}", None, language)


def write_said_amount(number: str, unit: str, language: str) -> str:
    """An amount as a voice is to say it: ``0.5 milliliters``.

    Args:
        number: as it is written.
        unit: ``ml``, ``mg`` or ``mcg``.
        language: whose words.
    """
    if language == "en":
        return f"{number} {_SAID[unit]}{'' if number == '1' else 's'}"
    count = int(number) if number.isdecimal() else None
    words = find_words(f"said-{unit}" if count is not None else f"said-{unit}-part", count, language)
    return words.format(amount=number)


def list_said_per_ml(language: str) -> tuple[tuple[str, str], ...]:
    """What is written of "per mL", and what a voice says: on a label with a stroke, else as the language has it."""
    if language == "en":
        said = " per milliliter"
        return ("/mL", said), (" per mL", said)
    said = " " + find_words("said-per-ml", None, language)
    return ("/mL", said), (find_words("amount-per-ml", None, language).removeprefix("{amount}"), said)
