"""Numbers, dates and days as a language writes them: exact values in, words out.

English is written by rule (``english``). Of the other languages everything is data, one ``.json`` file each, compiled
by ``tests/wording/make_messages.py`` from CLDR (dates, days, lists) and num2words (numbers), and kept to what cannot be
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
from typing import Any, Final, Protocol

from fillcards.problems import InternalFault
from fillcards.quantities import write_number
from fillcards.regimen.model import EVERY_DAY, Weekday
from fillcards.wording import english

_SHORTEST_RUN: Final = 3
"""Days in a row that are named by the first and the last."""


class Writer(Protocol):
    """How a language writes values."""

    def write_number(self, value: Fraction | int) -> str:
        """An exact number in digits."""

    def write_in_words(self, value: Fraction | int) -> str:
        """An exact number in words."""

    def write_count(self, value: int) -> str:
        """A count of lines: words up to twelve, then digits."""

    def write_date(self, day: date) -> str:
        """A date, the month by its name."""

    def write_days(self, days: tuple[Weekday, ...]) -> str:
        """Days of the week from Monday on."""


class English:
    """English, by rule."""

    write_number = staticmethod(write_number)
    write_in_words = staticmethod(english.write_in_words)
    write_count = staticmethod(english.write_count)
    write_date = staticmethod(english.write_date)
    write_days = staticmethod(english.write_days)


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


@lru_cache(maxsize=8)
def load_writer(language: str) -> Writer:
    """How a language writes values.

    Raises:
        InternalFault: there is no such language.
    """
    if language == "en":
        return English()
    path = Path(__file__).with_name(f"{language}.json")
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise InternalFault(f'no data of language "{language}"') from None
    values: dict[str, Any] = {key: tuple(value) if isinstance(value, list) else value for key, value in data.items()}
    return Language(**values)
