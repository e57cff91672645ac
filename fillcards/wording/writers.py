"""Numbers, dates and days as a language writes them: exact values in, words out.

English says its numbers by rule. Of the other languages everything is data, one ``.json`` file each, compiled by
``tests/wording/make_messages.py`` from CLDR (dates, days, lists) and num2words (numbers), and kept to what cannot be
misread: digits 0 to 9 always, as on barrels; between thousands a comma, as on labels, where a point stands before
decimals, and nothing where a comma does.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from fillcards.problems import InternalFault
from fillcards.quantities import write_number
from fillcards.regimen.model import EVERY_DAY, Weekday

_SHORTEST_RUN: Final = 3
"""Days in a row that are named by the first and the last."""


@dataclass(frozen=True, slots=True)
class Language:
    """A language by its data.

    Attributes:
        decimal, group: what stands before decimals, and between thousands.
        point: the word for it.
        numbers: whole numbers from 0 on in words, as a number of a line is read.
        counts: 0 to 12 in words, before "lines".
        dated: a pattern with ``{day}``, ``{month}`` and ``{year}``.
        months: from January.
        days: from Monday, as they stand alone.
        run: days in a row, a pattern with ``{first}`` and ``{last}``; ``first`` and ``last`` the forms it takes.
        pair, series: patterns that join two, and one more before others, with ``{0}`` and ``{1}``.
        stop: what ends a sentence.
    """

    decimal: str
    group: str
    point: str
    numbers: tuple[str, ...]
    counts: tuple[str, ...]
    dated: str
    months: tuple[str, ...]
    days: tuple[str, ...]
    run: str
    first: tuple[str, ...]
    last: tuple[str, ...]
    pair: str
    series: str
    stop: str

    def write_number(self, value: Fraction | int) -> str:
        """``11``, ``2.5`` or ``2,5``, ``5,000`` or ``5000``."""
        whole, _, decimals = write_number(value).partition(".")
        return whole.replace(",", self.group) + (self.decimal + decimals if decimals else "")

    def write_in_words(self, value: Fraction | int) -> str:
        """A number in words, its decimals digit by digit: "zero point two five" in the language's own words.

        Raises:
            ValueError: below 0, larger than the words go, or without a finite decimal form.
        """
        value = Fraction(value)
        if not 0 <= value < len(self.numbers):
            raise ValueError(f"{value} is not from 0 to {len(self.numbers) - 1}")
        words = self.numbers[int(value)]
        decimals = write_number(value).partition(".")[2]
        return " ".join((words, self.point, *(self.numbers[int(digit)] for digit in decimals))) if decimals else words

    def write_count(self, value: int) -> str:
        """``cuatro``, ``19``."""
        return self.counts[value] if value < len(self.counts) else self.write_number(value)

    def write_date(self, day: date) -> str:
        """The month by its name, the year in full."""
        return self.dated.format(day=day.day, month=self.months[day.month - 1], year=day.year)

    def write_days(self, days: tuple[Weekday, ...]) -> str:
        """Days from Monday on; three or more in a row by the first and the last."""
        numbers = [day.value for day in EVERY_DAY if day in days]
        if len(numbers) >= _SHORTEST_RUN and numbers[-1] - numbers[0] == len(numbers) - 1:
            return self.run.format(first=self.first[numbers[0]], last=self.last[numbers[-1]])
        return self._join([self.days[number] for number in numbers])

    def _join(self, words: Sequence[str]) -> str:
        if len(words) < 2:
            return "".join(words)
        joined = self.pair.format(*words[-2:])
        for word in reversed(words[:-2]):
            joined = self.series.format(word, joined)
        return joined


_SMALL: Final = (
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
    *("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
)
_TENS: Final = ("", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_MOST: Final = 999_999


class English(Language):
    """Its numbers by rule: the trade's plain English, common practice, no source.

    A half keeps its digits because "twelve and a half" is one glance slower beside the figure 12.5.
    """

    __slots__ = ()

    def write_in_words(self, value: Fraction | int) -> str:
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


_MONTHS: Final = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_DAYS: Final = tuple(day.word.capitalize() for day in EVERY_DAY)
ENGLISH: Final = English(
    decimal=".",
    group=",",
    point="point",
    numbers=(),
    counts=_SMALL[:13],
    dated="{day} {month} {year}",
    months=_MONTHS,
    days=_DAYS,
    run="{first} to {last}",
    first=_DAYS,
    last=_DAYS,
    pair="{0} and {1}",
    series="{0}, {1}",
    stop=".",
)


@lru_cache(maxsize=8)
def load_writer(language: str) -> Language:
    """How a language writes values.

    Raises:
        InternalFault: there is no such language.
    """
    if language == "en":
        return ENGLISH
    path = Path(__file__).with_name(f"{language}.json")
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise InternalFault(f'no data of language "{language}"') from None
    values: dict[str, Any] = {key: tuple(value) if isinstance(value, list) else value for key, value in data.items()}
    return Language(**values)
