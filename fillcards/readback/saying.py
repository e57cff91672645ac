"""Messages as the readback says them: the language's file opened by Python's own ``gettext``, values written here.

The writing of numbers, words for numbers, dates and days is the readback's own, so that a slip in the card's writing is
not repeated. Values come in as text already written by these functions.
"""

from __future__ import annotations

import gettext
import re
from datetime import date
from fractions import Fraction
from functools import lru_cache
from importlib import resources
from typing import Final, NamedTuple

from fillcards.readback.regimen_text import Amount

_SLOT: Final = re.compile(r"\{(\w+)\}")
_WORD: Final = re.compile(r"\S+")
_ONES: Final = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
_TENS: Final = ["-", "-", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_MONTHS: Final = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]
_DAYS: Final = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]


class Sentence(NamedTuple):
    """One message that must stand on a card: its id, its words without markup, its values, and which words are bold."""

    id: str
    text: str
    values: tuple[tuple[str, str], ...] = ()
    counted: int | None = None
    bold: tuple[bool, ...] = ()

    @property
    def is_write_in(self) -> bool:
        """Whether a line to write on belongs to it."""
        return "write" in self.id.split("-")


@lru_cache(maxsize=8)
def _load(language: str) -> gettext.GNUTranslations:
    with resources.files("fillcards.wording").joinpath(f"{language}.mo").open("rb") as file:
        return gettext.GNUTranslations(file)


def say(language: str, name: str, count: int | None = None, /, **values: str) -> Sentence:
    """The message with its values.

    Raises:
        KeyError: the message is not in the file, or a slot has no value.
    """
    catalogue = _load(language)
    template = catalogue.gettext(name) if count is None else catalogue.ngettext(name, name, count)
    if template == name:
        raise KeyError(name)
    if count is not None:
        values = {slot: str(count) for slot in ("minutes", "in_use_days")} | values
    # The markup goes before the values come in: a star in a name is a star. Every second part is bold.
    parts = [_SLOT.sub(lambda match: values[match[1]], part) for part in template.split("**")]
    text = "".join(parts)
    text = text[:1].upper() + text[1:] if template.startswith(("{when}", "**{when}")) else text
    weights = [bool(index % 2) for index, part in enumerate(parts) for _ in part]
    return Sentence(
        name, text, tuple(values.items()), count, tuple(weights[word.start()] for word in _WORD.finditer(text))
    )


def say_again(language: str, name: str, *sentences: Sentence) -> Sentence:
    """Another message of the same values."""
    values = dict(value for sentence in sentences for value in sentence.values)
    return say(language, name, sentences[0].counted, **values)


def write_number(value: Fraction | int) -> str:
    """``11``, ``2.5``, ``1,000``; exact or refused."""
    value = Fraction(value)
    for places in range(8):
        scaled = value * 10**places
        if scaled.denominator == 1:
            digits = str(scaled.numerator).rjust(places + 1, "0")
            whole, rest = (digits[:-places], digits[-places:]) if places else (digits, "")
            groups = [whole[max(end - 3, 0) : end] for end in range(len(whole), 0, -3)]
            return ",".join(reversed(groups)) + (f".{rest}" if rest else "")
    raise ValueError(f"{value} has no short decimal form")


def write_amount(amount: Amount, per: str = "/") -> str:
    """``11 units``, ``1 unit``, ``0.25 mg``, ``100 units per mL``."""
    unit = (
        amount.unit.replace("units", "unit")
        if (amount.number == 1 and per != "/") or amount == Amount(Fraction(1), "units")
        else amount.unit
    )
    return f"{write_number(amount.number)} {unit.replace('/', per)}"


def write_words(value: Fraction) -> str:
    """``eleven``, ``thirty-four``, ``1 and a half``, ``zero point two five``."""
    whole, rest = divmod(value, 1)
    if rest == 0:
        return _whole_words(int(whole))
    if rest == Fraction(1, 2):
        return f"{write_number(whole)} and a half" if whole else "one half"
    decimals = write_number(value).split(".")[1]
    return f"{_whole_words(int(whole))} point {' '.join(_ONES[int(digit)] for digit in decimals)}"


def _whole_words(value: int) -> str:
    if value < 20:
        return _ONES[value]
    if value < 100:
        return _TENS[value // 10] + (f"-{_ONES[value % 10]}" if value % 10 else "")
    size, name = (1000, "thousand") if value >= 1000 else (100, "hundred")
    rest = f" {_whole_words(value % size)}" if value % size else ""
    return f"{_whole_words(value // size)} {name}{rest}"


def write_date(day: date) -> str:
    """``25 November 2026``."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def write_days(days: tuple[int, ...]) -> str:
    """``Thursday``, ``Saturday and Sunday``, ``Monday to Friday``, ``Monday, Wednesday and Friday``."""
    names = [_DAYS[day] for day in days]
    if len(names) >= 3 and days[-1] - days[0] == len(days) - 1:
        return f"{names[0]} to {names[-1]}"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
