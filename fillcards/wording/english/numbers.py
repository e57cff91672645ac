"""Numbers in words, so that a lost decimal point is noticed. Knows no units and no syringes.

The forms are the trade's plain English, common practice, no source: "eight", "12 and a half", "zero point two five".
A half keeps its digits ("12 and a half") because "twelve and a half" is one glance slower beside the figure 12.5.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from fillcards.quantities import write_number

_SMALL: Final = (
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
    *("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
)
_TENS: Final = ("", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_MOST: Final = 999_999


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
