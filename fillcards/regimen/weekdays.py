"""Days of the week under any key: ``[monday, thursday]`` or ``weekends`` -> ``Weekday`` in the week's order."""

from __future__ import annotations

from typing import Any, Final

from fillcards.regimen.forms import suggest_word
from fillcards.regimen.keys import SOME_DAYS_OF_WORD, Key
from fillcards.regimen.model import Weekday
from fillcards.regimen.section import Section, trim
from fillcards.strict_text import quote_text
from fillcards.strict_yaml import TextScalar, TextSequence

WEEKDAY_OF_WORD: Final = {day.word: day for day in Weekday}
DAYS_EXPECTED: Final = "weekdays, weekends, or a list of days such as [monday, thursday]"


def read_weekdays(section: Section, key: Key[Any], expected: str = DAYS_EXPECTED) -> tuple[Weekday, ...] | None:
    """The days under a key; ``None`` where the key is left out or a day is at fault (then it is noted).

    Args:
        section: where the key may stand.
        key: whose value is a list of days, or a word for one.
        expected: what may stand there, for the message.
    """
    node = section.node.find_value(key.name) if section.node else None
    if node is None:
        return None
    if isinstance(node, TextScalar) and trim(node.text) in SOME_DAYS_OF_WORD:
        return SOME_DAYS_OF_WORD[trim(node.text)]
    if not isinstance(node, TextSequence) or not node.items:
        found = quote_text(node.text) if isinstance(node, TextScalar) else "no list of days"
        remedy = "write the days in full between brackets, even a single one: [monday]"
        section.note("DAYS-001", node.place, found, expected, remedy)
        return None
    return _read_list(section, node)


def _read_list(section: Section, node: TextSequence) -> tuple[Weekday, ...] | None:
    days: list[Weekday] = []
    for item in node.items:
        day = WEEKDAY_OF_WORD.get(item.text) if isinstance(item, TextScalar) else None
        if day is None:
            text = item.text if isinstance(item, TextScalar) else "?"
            remedy = suggest_word(text, tuple(WEEKDAY_OF_WORD))
            section.note("DAYS-001", item.place, quote_text(text), f"one of: {', '.join(WEEKDAY_OF_WORD)}", remedy)
        elif day in days:
            section.note("DAYS-003", item.place, f"{day.word} twice", "each day once", "take one out")
        else:
            days.append(day)
    if len(days) < len(node.items):
        return None
    return tuple(sorted(days, key=lambda day: day.value))
