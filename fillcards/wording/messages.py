"""Messages with values, and the one renderer that makes sentences of them.

A message is an id with typed values (``Say``). Its words stand in ``en.po`` (gettext's format, which translators' tools
open), compiled to ``en.mo`` by ``tests/wording/make_messages.py``. In the words, ``{slot}`` is a value, and ``**``
begins and ends bold. Nothing here joins sentences, and no value can bring markup with it.
"""

from __future__ import annotations

import gettext
import re
from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Final, NamedTuple, TypeAlias, Union

from fillcards.catalogue.model import ScaleName
from fillcards.plan.model import LineAmount
from fillcards.problems import InternalFault
from fillcards.quantities import Quantity, write_number, write_quantity
from fillcards.regimen.model import Weekday
from fillcards.wording import english
from fillcards.wording.slots import PLURAL_KINDS, SLOTS, SlotKind

Value: TypeAlias = Union[Fraction, int, Quantity, date, LineAmount, tuple[Weekday, ...], ScaleName, str, "Say"]


_COUNTS_TRIED: Final = 101
"""Counts from 0 to 100 meet every plural form of the languages there are rules for (CLDR plural rules)."""

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
    pieces = _read_pieces(_find_words(message.id, _find_count(values), language))
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
    is_ml = amount.is_ml
    return render(say("stop-ml", number=amount.value), language).text if is_ml else write_number(amount.value)


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
            return value[:1].upper() + value[1:] if is_first else value
        case SlotKind.FREE, str():
            return value
        case SlotKind.SCALE, ScaleName():
            return value.value
        case SlotKind.DATE, date():
            return english.write_date(value)
        case SlotKind.DAYS, (Weekday(), *_):
            return english.write_days(tuple(day for day in value if isinstance(day, Weekday)))
    written = _write_number(kind, value)
    if written is None:
        raise InternalFault(f'slot "{slot}" does not take {type(value).__name__}')
    return written


def _write_number(kind: SlotKind | None, value: Value) -> str | None:
    match kind, value:
        case SlotKind.WORDS, int() | Fraction():
            return english.write_in_words(value)
        case SlotKind.LINES, int():
            return english.write_count(value)
        case ((SlotKind.NUMBER | SlotKind.PLURAL | SlotKind.COUNT), int() | Fraction()):
            return write_number(value)
        case SlotKind.QUANTITY, Quantity():
            return write_quantity(value)
        case SlotKind.STRENGTH, Quantity():
            return english.write_strength(value)
        case _:
            return None


def _find_count(values: dict[str, Value]) -> int | None:
    """The count that chooses between one and many."""
    for slot, value in values.items():
        if SLOTS.get(slot) in PLURAL_KINDS and isinstance(value, int):
            return value
    return None


def _find_words(message_id: str, count: int | None, language: str) -> str:
    catalogue = _load_catalogue(language)
    # gettext gives back the id where it has no words, and keeps messages with forms for one and many apart from others.
    words = catalogue.gettext(message_id) if count is None else catalogue.ngettext(message_id, message_id, count)
    if words == message_id:
        kind = "without" if count is None else "with"
        raise InternalFault(f'there is no message "{message_id}" {kind} a count in "{language}"')
    return words


@lru_cache(maxsize=1024)
def _list_slots(message_id: str, language: str) -> frozenset[str]:
    """The slots of a message; in the form for one, the count may be left to a word."""
    forms = _list_forms(message_id, language)
    return frozenset(piece.slot for words in forms for piece in _read_pieces(words) if piece.slot)


def _list_forms(message_id: str, language: str) -> tuple[str, ...]:
    """All forms of a message: one, or those for one and for many."""
    catalogue = _load_catalogue(language)
    if catalogue.ngettext(message_id, message_id, 1) == message_id:
        return (_find_words(message_id, None, language),)
    return tuple(dict.fromkeys(_find_words(message_id, count, language) for count in range(_COUNTS_TRIED)))


@lru_cache(maxsize=4)
def _load_catalogue(language: str) -> gettext.GNUTranslations:
    """The compiled messages of a language.

    Raises:
        InternalFault: there is none; the schema has already refused a file in that language.
    """
    path = Path(__file__).with_name(f"{language}.mo")
    try:
        with path.open("rb") as file:
            return gettext.GNUTranslations(file)
    except FileNotFoundError:
        raise InternalFault(f'no messages in language "{language}"') from None


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
