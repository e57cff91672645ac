"""The slots a message may have, each with the type of what goes in. The table is closed: a slot not in it stops.

A value reaches a message as what it is (an exact number, a date, a line), never as a finished string, so that a message
cannot be given another's words. Only what the file says in free words is text.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from types import MappingProxyType
from typing import Final


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
