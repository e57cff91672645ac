"""Messages with values, and the one renderer that makes sentences of them.

A message is an id with typed values (``Say``). Its words stand in ``en.po`` (gettext's format, which translators' tools
open), compiled to ``en.mo`` by ``tests/wording/make_messages.py``. In the words, ``{slot}`` is a value, and ``**``
begins and ends bold. Nothing here joins sentences, and no value can bring markup with it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from functools import lru_cache
from typing import Final, NamedTuple, TypeAlias, Union

from fillcards.catalogue.model import ScaleName
from fillcards.plan.model import LineAmount
from fillcards.problems import InternalFault
from fillcards.quantities import Quantity, write_quantity
from fillcards.regimen.model import Weekday
from fillcards.wording.slots import PLURAL_KINDS, SLOTS, SlotKind
from fillcards.wording.values import write_amount, write_look, write_strength, write_time
from fillcards.wording.words import find_words, list_forms
from fillcards.wording.writers import load_writer

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
            return write_quantity(value)
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
