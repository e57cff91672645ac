"""The time of a fill: a clock time, or words that name one time of day and nothing else. One more of the forms.

Amounts, conditions, how often and days do not belong in it: doses stand under ``draw``, days under ``days``, and a card
is for one time. Knows nothing of keys or files. The words: from memory of the trade, common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any, Final

from fillcards.regimen.forms import FormError
from fillcards.regimen.free_words import NUMBER_WORDS, find_amount, fold_text, list_plain_words
from fillcards.regimen.labels import Label

_DAYS: Final = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_SHORT_DAYS: Final = re.compile(
    r"\b(?:(?:mon|tues?|weds?|thu(?:rs?)?|fri|sat|sun|mwf|tths?|mtwtf)\b|(?-i:Mo|Tu|We|Th|Fr|Sa|Su)\b)", re.IGNORECASE
)
# One hour after supper and seven in the evening are times.
_NUMBER: Final = re.compile(
    rf"[0-9]+|(?<!\bat )(?<!\bpast )\b(?:{NUMBER_WORDS})\b(?!(?: an)? (?:hours?|minutes?)\b| in the\b| o\b)"
)
# Words are looked up one by one where they need no neighbour: that costs nothing when the program starts.
_DOSE_WORDS: Final = frozenset(
    (
        *("dose", "doses", "dosage", "unit", "units", "line", "lines", "draw", "pull", "fill", "total"),
        *("stop", "double", "triple", "quarter", "extra", "more", "less", "additional", "skip", "same"),
        *("amount", "ml", "mg", "mcg", "iu", "tablet", "tablets", "shot", "shots", "injection", "injections"),
    )
)
_CONDITION_WORDS: Final = frozenset(
    (
        *("if", "unless", "need", "needs", "needed", "necessary", "required", "wanted", "sugar", "sugars"),
        *("glucose", "reading", "readings", "sick", "sickness", "ill", "illness", "fever", "hungry", "dizzy"),
        *("maybe", "perhaps", "sometimes", "optional", "possible", "possibly", "depending", "except", "or"),
        *("either", "not", "never", "above", "below"),
    )
)
_CONDITIONS: Final = re.compile(r"\b(?:is|are|when|runs?|goes|too|very) (?:high|low)\b|^(?:high|low)\b|\?")
# What begins a line of its own on the card.
_OWN_START: Final = re.compile(r"^(?:for|card|only|throw|open|opened|put|take|roll|tip|push|inject|sample|page)\b")
# Signs that join two times are told as such.
_SIGNS: Final = re.compile(r"[^\w\s,'\u2019&+/;?-]|_")
_OFTEN_WORDS: Final = frozenset(
    (
        *("every", "each", "everyday", "daily", "nightly", "hourly", "weekly", "monthly", "yearly", "once"),
        *("twice", "thrice", "times", "alternate", "alternating", "per", "fortnightly", "biweekly"),
        *("weekday", "weekdays", "workday", "workdays", "weekend", "weekends", "meals", "mealtimes", "both"),
        *("all", "whenever", "always", "days", "weeks", "months", "nights", "evenings", "mornings"),
        *("afternoons", "today", "tomorrow", "tonight"),
    )
)
_OFTEN: Final = re.compile(r"\bother days?\b|\ban? (?:day|week|month|night|fortnight)\b|\bbi weekly\b")
_MEALS: Final = ("breakfast", "brunch", "lunch", "supper", "dinner", "tea", "snack")
_PARTS_OF_DAY: Final = ("morning", "noon", "midday", "afternoon", "evening", "night", "midnight", "bedtime", "bed")
_ANY_TIME: Final = "|".join((*_MEALS, *_PARTS_OF_DAY))
_TWO_TIMES: Final = re.compile(
    rf"\b(?:{_ANY_TIME})(?:time| time)?s?\b.*(?:\b(?:and|plus|then)\b|[&+/;]).*\b(?:{_ANY_TIME}|again)|\band again\b"
)
_MAIN_MEALS: Final = re.compile(r"(?:breakfast|lunch|supper|dinner)")

_AFTER_MINUTES: Final = re.compile(rf"before (?![A-Z]).+|(?:{'|'.join((*_MEALS, 'bedtime'))})")
_LEADING: Final = frozenset(("at", "with", "in", "the", "on", "my", "your", "about"))
_SAME_WORDS: Final = {"bed": "bedtime", "midday": "noon", "nighttime": "night"}


@dataclass(frozen=True, slots=True)
class FillTime:
    """When a syringe is filled: words such as ``before breakfast``, or a clock time such as ``07:30``."""

    longest: int

    def parse(self, text: str) -> str:
        """The text itself."""
        if is_clock_time(text):
            return text
        looks_like_clock = re.match(r"\d", text) or re.search(r"\d\s*(?:[:.h]\s*\d|[ap]\.?\s?m\b|o'?clock)", text, re.I)
        if looks_like_clock:
            expected = 'a clock time such as "07:30", or words such as "before breakfast"'
            raise FormError("TIME-001", expected, "write two digits, a colon, two digits, from 00:00 to 23:59")
        if not any(character.isalpha() for character in text):
            raise FormError("TIME-001", 'words such as "before breakfast"', "name the time")
        Label(self.longest, is_prose=True).parse(text)
        sign = _SIGNS.search(text)
        if sign:
            expected = 'words such as "before breakfast", with commas and hyphens at most'
            raise FormError("TIME-001", expected, "write one plain phrase, no sentence", f'"{sign[0]}" in a time')
        _require_one_time(text)
        return text

    def describe(self) -> dict[str, Any]:
        """Words without digits, or a clock time."""
        pattern = r"^(([01][0-9]|2[0-3]):[0-5][0-9]|[^0-9\s][^0-9]*)$"
        return {"type": "string", "minLength": 1, "maxLength": self.longest, "pattern": pattern}


def is_clock_time(text: str) -> bool:
    """Whether the text is a time of day from 00:00 to 23:59 in exactly that form."""
    return re.fullmatch(r"(?:[01]\d|2[0-3]):[0-5]\d", text, re.ASCII) is not None


def _require_one_time(text: str) -> None:
    """Refuse words that say more than one time of day.

    Raises:
        FormError: for an amount, a condition or how often, two times, or a day that is not written out.
    """
    plain = fold_text(text)
    amount = find_amount(text) or _find_word(_DOSE_WORDS, text) or _find(_NUMBER, plain)
    if amount:
        remedy = "write only the time here; the dose stands under draw, and is drawn whole"
        expected = "a time of day without amounts, lines or numbers; a clock time is written 07:30"
        raise FormError("TIME-003", expected, remedy, f'"{amount}" in a time')
    loose = (
        _find(_OWN_START, plain)
        or _find_word(_CONDITION_WORDS | _OFTEN_WORDS, text)
        or _find(_CONDITIONS, plain)
        or _find(_OFTEN, " ".join(list_plain_words(text)))
    )
    if loose:
        expected = "one time of day that comes each day it is given, such as before breakfast"
        remedy = (
            "write one fill for each time, and the days under days; a dose that is given only sometimes has no card"
        )
        raise FormError("TIME-004", expected, remedy, f'"{loose}" in a time')
    meals = set(_MAIN_MEALS.findall(plain))
    if not plain.startswith("between ") and (_TWO_TIMES.search(plain) or len(meals) > 1):
        raise FormError("TIME-005", "one time of day", "write one fill for each time")
    day = _find(_SHORT_DAYS, text) or _find_misspelled_day(text)
    if day:
        remedy = "write only the time here, and the day under days, such as days: [monday]"
        raise FormError("TIME-006", "a time without a day, or the day in full", remedy, f'"{day}" in a time')


def _find(pattern: re.Pattern[str], text: str) -> str | None:
    match = pattern.search(text)
    return match[0].strip() if match else None


def _find_word(words: frozenset[str], text: str) -> str | None:
    return next((word for word in list_plain_words(text) if word in words), None)


def _find_misspelled_day(text: str) -> str | None:
    """A word that is nearly a day of the week, such as ``wensday``; the rule about named days would not see it."""
    from difflib import get_close_matches

    for word in list_plain_words(text):
        is_day = word.removesuffix("s") in _DAYS
        if not is_day and len(word) > 5 and get_close_matches(word, _DAYS, n=1, cutoff=0.82):
            return word
    return None


def can_follow_minutes(when: str) -> bool:
    """Whether "30 minutes before breakfast" can be said of a time: it starts with before, or is a meal alone.

    With anything else the card would give two times: with breakfast, and 30 minutes before breakfast.
    """
    return _AFTER_MINUTES.fullmatch(when) is not None


def fold_time(when: str) -> str:
    """A time without what does not change it: capitals, punctuation, at, with and the like before it, time after it.

    ``Bedtime`` and ``At bedtime.`` are one; ``before breakfast`` and ``after breakfast`` are two.
    """
    if is_clock_time(when):
        return when
    words = list(list_plain_words(when))
    while len(words) > 1 and words[0] in _LEADING:
        del words[0]
    if words[-2:] == ["bed", "time"]:
        words[-2:] = ["bedtime"]
    if len(words) > 1 and words[-1] in {"time", "times"}:
        del words[-1]
    words = [word[:-4] if word.endswith("time") and word[:-4] in _MEALS else word for word in words]
    return " ".join(_SAME_WORDS.get(word, word) for word in words)
