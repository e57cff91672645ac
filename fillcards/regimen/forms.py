"""The forms a value may have: each turns the text of one scalar into a value, or says why not, and can describe itself
as JSON Schema. One table of keys (``keys.py``) of these forms serves both the reader and the schema for editors.

Knows nothing of keys, files or places. ``parse`` raises ``QuantityError`` for amounts and ``FormError`` for the rest.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any, Final, Generic, NamedTuple, Protocol, TypeVar

from fillcards.codes import make_problem
from fillcards.problems import Place
from fillcards.quantities import (
    MOST_DECIMALS,
    MOST_WHOLE_DIGITS,
    Quantity,
    QuantityError,
    Unit,
    parse_quantity,
    write_number,
)

T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)

FIRST_YEAR: Final = 2000
LAST_YEAR: Final = 2099

_NUMBER: Final = rf"(0|[1-9][0-9]{{0,{MOST_WHOLE_DIGITS - 1}}})(\.[0-9]{{0,{MOST_DECIMALS - 1}}}[1-9])?"
_SINGULAR: Final = {Unit.UNITS: "unit", Unit.DAYS: "day"}


class FormError(ValueError):
    """Text that has not the form wanted, in the words of its code or in those given; see ``make_problem``.

    ``found`` replaces the quoted text in the message where that says more.
    """

    def __init__(self, code: str, expected: str = "", remedy: str = "", found: str = "", /, **values: object) -> None:
        problem = make_problem(code, Place(), found, expected=expected, remedy=remedy, **values)
        super().__init__(f"{code}: expected {problem.expected}; {problem.remedy}")
        self.code = code
        self.expected = problem.expected
        self.remedy = problem.remedy
        self.found = problem.found


class Form(Protocol[T_co]):
    """What a value may look like."""

    def parse(self, text: str) -> T_co:
        """Turn the text into its value; raises ``FormError`` or ``QuantityError``."""
        ...

    def describe(self) -> dict[str, Any]:
        """The same as JSON Schema."""
        ...


class Choice(NamedTuple, Generic[T]):
    """One of a few words.

    Attributes:
        list_words: gives the words with what they mean; asked only when needed, so that no data file is read before.
        code: for a word that is not among them.
        suggest: the remedy for a word that is known under another name; empty where it is not.
    """

    list_words: Callable[[], Mapping[str, T]]
    code: str = "FORM-007"
    suggest: Callable[[str], str] | None = None

    def parse(self, text: str) -> T:
        """What the word stands for."""
        words = self.list_words()
        if text in words:
            return words[text]
        remedy = (self.suggest(text) if self.suggest else "") or suggest_word(text, tuple(words))
        raise FormError(self.code, f"one of: {', '.join(words)}", remedy)

    def describe(self) -> dict[str, Any]:
        """The list of words."""
        words = list(self.list_words())
        if words == ["true", "false"]:
            return {"enum": [*words, True, False]}
        return {"enum": words}


class PaperName:
    """A paper of the catalogue, or the width and height of a small card, shorter side first."""

    def parse(self, text: str) -> str:
        """The name as it stands: it enters the card code."""
        from fillcards.catalogue.papers import find_paper, write_own_limits, write_own_size

        if find_paper(text) is not None:
            return text
        names = tuple(self.list_words())
        own = write_own_size(text)
        remedy = f'write "{own}"' if own else suggest_word(text, names)
        raise FormError("FORM-007", f"one of: {', '.join(names)}; or for a small card {write_own_limits()}", remedy)

    def list_words(self) -> Mapping[str, str]:
        """Those of the catalogue."""
        from fillcards.catalogue.papers import load_papers

        return {name: name for name in load_papers()}

    def describe(self) -> dict[str, Any]:
        """The names, or the pattern of a size."""
        from fillcards.catalogue.papers import OWN_SIZE

        return {"anyOf": [{"enum": list(self.list_words())}, {"type": "string", "pattern": f"^{OWN_SIZE}$"}]}


def suggest_word(text: str, words: tuple[str, ...]) -> str:
    """The remedy for a word that is not known: the likeliest meant, if one is near enough."""
    from difflib import get_close_matches

    by_small = {word.lower(): word for word in words}
    near = get_close_matches(text.lower(), by_small, n=1)
    return f'did you mean "{by_small[near[0]]}"?' if near else "write one of the words listed, spelled exactly as shown"


class Amount(NamedTuple):
    """A number with its unit, within limits that only catch slips; both limits are in each of the units."""

    units: tuple[Unit, ...]
    least: Fraction | None = None
    most: Fraction | None = None
    is_whole: bool = False

    def parse(self, text: str) -> Quantity:
        """The exact amount."""
        quantity = parse_quantity(text, self.units)
        if self.is_whole and quantity.amount.denominator != 1:
            raise QuantityError(f"whole {quantity.unit}", "write a whole number", "QTY-005")
        is_small = self.least is not None and quantity.amount < self.least
        is_large = self.most is not None and quantity.amount > self.most
        if is_small or is_large:
            limits = f"{write_number(self.least or 0)} to {write_number(self.most or 0)} {self.units[0]}"
            raise QuantityError(limits, "check the number and its unit", "QTY-005")
        return quantity

    def describe(self) -> dict[str, Any]:
        """A pattern: the number, one space, the unit."""
        words = "|".join(word for unit in self.units for word in (unit.value, _SINGULAR.get(unit)) if word)
        return {"type": "string", "pattern": f"^{_NUMBER} ({words})$"}


class WholeNumber(NamedTuple):
    """A whole number whose unit the key itself names; the unit may be written out all the same."""

    least: int
    most: int
    units: tuple[str, ...]

    def parse(self, text: str) -> int:
        """The number."""
        match = re.fullmatch(self._pattern, text, re.ASCII)
        if not match or not self.least <= int(match[1]) <= self.most:
            raise FormError("FORM-008", least=self.least, most=self.most, unit=self.units[0])
        return int(match[1])

    @property
    def _pattern(self) -> str:
        return rf"([1-9][0-9]{{0,5}}|0)(?: (?:{'|'.join(self.units)}))?"

    def describe(self) -> dict[str, Any]:
        """A string of digits, or the number itself for editors that read it so."""
        return {
            "anyOf": [
                {"type": "string", "pattern": f"^{self._pattern}$"},
                {"type": "integer", "minimum": self.least, "maximum": self.most},
            ]
        }


class LineNumber:
    """A line of a scale in the scale's own numbers, without a unit: it is a place on the barrel, not an amount."""

    def parse(self, text: str) -> Fraction:
        """The exact number."""
        if not re.fullmatch(_NUMBER, text, re.ASCII):
            raise FormError("REPLACES-002")
        return Fraction(text)

    def describe(self) -> dict[str, Any]:
        """A pattern, or the number itself for editors that read it so."""
        return {"anyOf": [{"type": "string", "pattern": f"^({_NUMBER})$"}, {"type": "number", "minimum": 0}]}


class IsoDate(NamedTuple):
    """A calendar date written year-month-day (ISO 8601); other orders are read differently in different countries."""

    first_year: int = FIRST_YEAR

    def parse(self, text: str) -> datetime.date:
        """The date, if there is such a day."""
        if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text, re.ASCII):
            raise FormError("DATE-001")
        try:
            value = datetime.date.fromisoformat(text)
        except ValueError:
            raise FormError("DATE-002", "a day that exists", "check the calendar") from None
        if not self.first_year <= value.year <= LAST_YEAR:
            raise FormError("DATE-002", f"a year from {self.first_year} to {LAST_YEAR}", "check the year")
        return value

    def describe(self) -> dict[str, Any]:
        """A pattern."""
        century = "20" if self.first_year == FIRST_YEAR else "(19|20)"
        return {"type": "string", "pattern": f"^{century}[0-9]{{2}}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$"}


class Pattern(NamedTuple):
    """Text that matches a regular expression as a whole; ``write`` gives its value."""

    regex: str
    code: str
    expected: str
    remedy: str
    write: Callable[[str], str] = str

    def parse(self, text: str) -> str:
        """The text, as it is written."""
        if not re.fullmatch(self.regex, text):
            raise FormError(self.code, self.expected, self.remedy)
        return self.write(text)

    def describe(self) -> dict[str, Any]:
        """The pattern."""
        return {"type": "string", "pattern": f"^({self.regex})$"}


CARD_CODE: Final = Pattern(
    "[A-Za-z2-7]{4}",
    "REVIEW-001",
    "a card code: four letters or digits from 2 to 7; O and I in it are letters, never 0 or 1",
    "copy the code that fillcards check printed",
    str.upper,
)
"""In capital or small letters; its value is in capitals, as the card prints it."""
