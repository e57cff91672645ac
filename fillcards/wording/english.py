"""Numbers, dates and days as English says them. Plain functions: exact values in, words out.

The numbers' forms are the trade's plain English, common practice, no source: "eight", "12 and a half", "zero point two
five". A half keeps its digits because "twelve and a half" is one glance slower beside the figure 12.5.
"""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import Final

from fillcards.plan.rules.rule import write_list as write_list
from fillcards.quantities import Quantity, Unit, write_number
from fillcards.regimen.model import EVERY_DAY, Weekday

_SMALL: Final = (
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
    *("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
)
_TENS: Final = ("", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_MOST: Final = 999_999
_MOST_COUNT_IN_WORDS: Final = 12

_SHORTEST_RUN: Final = 3
"""Days in a row that are named by the first and the last."""

_MONTHS: Final = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)

_PER_ML: Final = {Unit.UNITS_PER_ML: "units", Unit.MG_PER_ML: "mg", Unit.MCG_PER_ML: "mcg"}


def write_in_words(value: Fraction | int) -> str:
    """A number in words: ``eight``, ``1 and a half``, ``zero point two five``, ``one hundred thirty-five``.

    Raises:
        ValueError: below 0, from a million up, or without a finite decimal form.
    """
    value = Fraction(value)
    if not 0 <= value <= _MOST:
        raise ValueError(f"{value} is not from 0 to {_MOST}")
    whole, rest = divmod(value, 1)
    if rest == 0:
        return _write_whole(int(whole))
    if rest == Fraction(1, 2):
        return f"{write_number(whole)} and a half" if whole else "one half"
    digits = write_number(rest).partition(".")[2]
    return f"{_write_whole(int(whole))} point {' '.join(_SMALL[int(digit)] for digit in digits)}"


def _write_whole(value: int) -> str:
    if value < 20:
        return _SMALL[value]
    if value < 100:
        tens, ones = divmod(value, 10)
        return _TENS[tens] + (f"-{_SMALL[ones]}" if ones else "")
    size, word = (1000, "thousand") if value >= 1000 else (100, "hundred")
    many, rest = divmod(value, size)
    return f"{_write_whole(many)} {word}" + (f" {_write_whole(rest)}" if rest else "")


def write_count(value: int) -> str:
    """A count in words up to twelve, then in digits: ``four``, ``19``."""
    return _SMALL[value] if value <= _MOST_COUNT_IN_WORDS else write_number(value)


def write_strength(strength: Quantity) -> str:
    """A strength as it is said aloud: ``100 units per mL``, ``1 unit per mL``, ``2.5 mg per mL``."""
    word = _PER_ML[strength.unit]
    word = "unit" if word == "units" and strength.amount == 1 else word
    return f"{write_number(strength.amount)} {word} per mL"


def write_date(day: date) -> str:
    """The month by its name, the year in full, so that no country reads it the other way round: ``4 May 1951``."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def write_days(days: tuple[Weekday, ...]) -> str:
    """Days from Monday on: ``Thursday``, ``Saturday and Sunday``, ``Monday to Friday``, ``Monday and Friday``.

    Three or more in a row are named by the first and the last.
    """
    numbers = [day.value for day in EVERY_DAY if day in days]
    words = [day.word.capitalize() for day in EVERY_DAY if day in days]
    if len(words) >= _SHORTEST_RUN and numbers[-1] - numbers[0] == len(numbers) - 1:
        return f"{words[0]} to {words[-1]}"
    return write_list(words)
