"""When a syringe is filled: a named time from a closed list, or a clock time. One more of the forms.

A free phrase can hide a day, a condition or a dose (``first Sunday of the month`` was printed as every Sunday), so
nothing outside the list is understood. Days go under ``days``, doses under ``draw``. Knows nothing of keys or files.

The list: the events of a day in HL7 FHIR's value set of event timings (``fhir-event-timing``) that name one moment, in
the words a clinic writes. Which sign belongs to which part of the day: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import Enum
from types import MappingProxyType
from typing import Any, Final

from fillcards.regimen.forms import FormError, suggest_word


class Sign(Enum):
    """The picture beside a time."""

    RISING_SUN = "rising sun"
    HIGH_SUN = "high sun"
    SETTING_SUN = "setting sun"
    MOON = "moon"
    CLOCK = "clock face"


class Relation(Enum):
    """Where a time lies beside its moment. ``AT`` is said as at, with, on or in."""

    BEFORE = "before"
    AT = "at"
    AFTER = "after"


@dataclass(frozen=True, slots=True)
class TimeOfDay:
    """What the text under ``when`` means; two texts that mean the same are equal.

    Attributes:
        moment: of a named time: a meal, or a part of the day such as ``bedtime``; empty for a clock time.
        minute: of a clock time: minutes after midnight.
        syringe: counted from 1, where several are filled at the same time and the text says which.
    """

    sign: Sign
    moment: str = ""
    relation: Relation = Relation.AT
    minute: int | None = None
    syringe: int | None = None

    def __str__(self) -> str:
        minute = _NOON if self.moment == "noon" else self.minute
        time = f"{self.relation.value} {self.moment}" if minute is None else f"{minute // 60:02d}:{minute % 60:02d}"
        return f"{time}, {_SYRINGES[self.syringe - 1]}" if self.syringe else time


MEALS: Final = {
    "breakfast": Sign.RISING_SUN,
    "lunch": Sign.HIGH_SUN,
    "dinner": Sign.SETTING_SUN,
    "supper": Sign.SETTING_SUN,
}
"""Dinner is the evening meal, as in the value set; who eats it at midday writes lunch."""

_NOON: Final = 12 * 60
_SYRINGES: Final = ("first syringe", "second syringe", "third syringe")

# Each moment with its sign and the ways to say it beside the moment alone.
_MOMENTS: Final = (
    ("waking", Sign.RISING_SUN, ("on waking",)),
    ("early morning", Sign.RISING_SUN, ("early morning", "in the early morning")),
    ("morning", Sign.RISING_SUN, ("morning", "in the morning")),
    ("mid-morning", Sign.RISING_SUN, ("mid-morning",)),
    ("late morning", Sign.RISING_SUN, ("late morning", "in the late morning")),
    ("noon", Sign.HIGH_SUN, ("noon", "at noon", "midday", "at midday")),
    ("early afternoon", Sign.HIGH_SUN, ("early afternoon", "in the early afternoon")),
    ("afternoon", Sign.HIGH_SUN, ("afternoon", "in the afternoon")),
    ("mid-afternoon", Sign.HIGH_SUN, ("mid-afternoon",)),
    ("late afternoon", Sign.HIGH_SUN, ("late afternoon", "in the late afternoon")),
    ("early evening", Sign.SETTING_SUN, ("early evening", "in the early evening")),
    ("evening", Sign.SETTING_SUN, ("evening", "in the evening")),
    ("late evening", Sign.SETTING_SUN, ("late evening", "in the late evening")),
    ("bedtime", Sign.MOON, ("bedtime", "at bedtime", "before bed", "before bedtime")),
    ("night", Sign.MOON, ("night", "at night")),
)


def _list_named_times() -> Iterator[tuple[str, TimeOfDay]]:
    for meal, sign in MEALS.items():
        moment = "dinner" if meal == "supper" else meal  # two words for the evening meal
        for words in (meal, f"with {meal}", f"at {meal}"):
            yield words, TimeOfDay(sign, moment)
        yield f"before {meal}", TimeOfDay(sign, moment, Relation.BEFORE)
        yield f"after {meal}", TimeOfDay(sign, moment, Relation.AFTER)
    for moment, sign, names in _MOMENTS:
        for words in names:
            yield words, TimeOfDay(sign, moment)
    yield "after waking", TimeOfDay(Sign.RISING_SUN, "waking", Relation.AFTER)


NAMED_TIMES: Final[Mapping[str, TimeOfDay]] = MappingProxyType(dict(_list_named_times()))
"""Every name allowed under ``when``, in lower case, with its meaning."""

THE_LIST: Final = (
    f"a clock time such as 07:30 or 5:30 pm, or a named time: before, with or after {', '.join(MEALS)}; on waking, "
    "after waking; early, mid- or late morning, morning; noon; early, mid- or late afternoon, afternoon; early or late "
    "evening, evening; before bed, at bedtime, at night"
)
"""The closed list as a message names it."""

_CLOCK_24: Final = r"(?:[01][0-9]|2[0-3]):[0-5][0-9]"
_CLOCK_12: Final = r"(?:0?[1-9]|1[0-2]):[0-5][0-9] (?:[ap]m|[AP]M|[ap]\.m\.)"
_LOOKS_LIKE_CLOCK: Final = re.compile(r"\d|\b(?:noon|midnight) ?(?:am|pm)\b|midnight|o'?clock", re.IGNORECASE)


def read_time(text: str) -> TimeOfDay:
    """What a text means as a time.

    Raises:
        FormError: for anything that is neither a clock time nor on the list.
    """
    name, comma, which = text.partition(", ")
    if comma:
        if which not in _SYRINGES:
            raise _refuse_name(text)
        return replace(read_time(name), syringe=_SYRINGES.index(which) + 1)
    named = NAMED_TIMES.get(_lower_first_letters(text))
    if named is not None:
        return named
    if re.fullmatch(_CLOCK_24, text):
        return TimeOfDay(Sign.CLOCK, minute=int(text[:2]) * 60 + int(text[3:]))
    if re.fullmatch(_CLOCK_12, text):
        return _read_half_day(text)
    if _LOOKS_LIKE_CLOCK.search(text):
        remedy = "write the clock time as 07:30 or 7:30 am, midnight as 00:00; doses go under draw, days under days"
        raise FormError("TIME-001", THE_LIST, remedy)
    raise _refuse_name(text)


def _lower_first_letters(text: str) -> str:
    return re.sub(r"\b[A-Z]", lambda letter: letter[0].lower(), text)


def _read_half_day(text: str) -> TimeOfDay:
    """A time with am or pm. 12:00 with either is refused: people disagree which of them is noon."""
    hour, minute = map(int, text.split(" ", maxsplit=1)[0].split(":"))
    if (hour, minute) == (12, 0):
        raise FormError("TIME-001", "12:00 for noon, 00:00 for midnight", "write it without am and pm")
    is_afternoon = text.split(" ")[1].lower().startswith("p")
    return TimeOfDay(Sign.CLOCK, minute=(hour % 12 + 12 * is_afternoon) * 60 + minute)


def _refuse_name(text: str) -> FormError:
    near = suggest_word(text, tuple(NAMED_TIMES))
    # Beside a day of the week the nearest name would lead astray: midday for Mondays.
    remedy = near if near.startswith("did you") and "day" not in text.lower() else "choose one of these."
    return FormError("TIME-003", THE_LIST, f"{remedy} Days go under days, doses under draw")


class FillTime:
    """The form of ``when``: its value stays the text as the clinic writes it."""

    def parse(self, text: str) -> str:
        """The text itself."""
        read_time(text)
        return text

    def describe(self) -> dict[str, Any]:
        """A name from the list, or a clock time."""
        names = "|".join(
            re.sub(r"\b[a-z]", lambda letter: f"[{letter[0].upper()}{letter[0]}]", name) for name in NAMED_TIMES
        )
        clock = f"{_CLOCK_24}|{_CLOCK_12}"
        return {"type": "string", "pattern": f"^({names}|{clock})(, ({'|'.join(_SYRINGES)}))?$"}


def fold_time(when: str) -> str:
    """A time in one spelling: ``5:30 pm`` is ``17:30``, noon is ``12:00``, ``Supper`` and ``with dinner`` are one.

    Raises:
        FormError: the text is not a time.
    """
    return str(read_time(when))


def can_follow_minutes(when: str) -> bool:
    """Whether "inject 30 minutes before this meal, then eat" is true of a time: it is before a meal.

    With anything else the card would name a meal that is not there, or two times: with breakfast, and before it.
    """
    time = read_time(when)
    return time.relation is Relation.BEFORE and time.moment in MEALS
