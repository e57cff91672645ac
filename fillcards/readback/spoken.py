"""Numbers as a card prints them, in digits and in words, read back to exact values.

Written apart from the code that writes them, and the other way round: from words to a value.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

NUMBER: Final = r"(?:[1-9][0-9]{0,2}(?:,[0-9]{3})*|0)(?:\.[0-9]*[1-9])?"
"""Digits by the writing rules: a comma at each thousand, a zero before the point and none after it."""

_NUMBER: Final = re.compile(NUMBER, re.ASCII)
_DIGITS: Final = frozenset("0123456789")
_ONES_IN_ORDER: Final = (
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
    *("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
)
_TENS_IN_ORDER: Final = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_ONES: Final = {word: value for value, word in enumerate(_ONES_IN_ORDER)}
_TENS: Final = {word: 10 * value for value, word in enumerate(_TENS_IN_ORDER, start=2)}


def parse_card_number(text: str) -> Fraction | None:
    """A number in digits as a card prints it; ``None`` for anything else."""
    text = text.strip()
    # Nearly all runs begin with a letter.
    if text[:1] not in _DIGITS or not _NUMBER.fullmatch(text):
        return None
    return Fraction(text.replace(",", ""))


def parse_spoken_number(text: str) -> Fraction | None:
    """A number in words: ``twenty-six``, ``12 and a half``, ``one half``, ``zero point two five``.

    ``None`` for anything else.
    """
    words = text.lower().replace("-", " ").split()
    if words == ["one", "half"]:
        return Fraction(1, 2)
    if words[-3:] == ["and", "a", "half"]:
        whole = parse_card_number(" ".join(words[:-3]))
        return None if whole is None or whole.denominator != 1 or whole == 0 else whole + Fraction(1, 2)
    if "point" in words:
        return _parse_point(words)
    whole_number = _parse_whole(words)
    return None if whole_number is None else Fraction(whole_number)


def _parse_point(words: list[str]) -> Fraction | None:
    cut = words.index("point")
    whole, decimals = _parse_whole(words[:cut]), words[cut + 1 :]
    digits = [_ONES.get(word, 10) for word in decimals]
    if whole is None or not digits or max(digits) > 9 or digits[-1] == 0:
        return None
    return whole + Fraction(int("".join(map(str, digits))), 10 ** len(digits))


def _parse_whole(words: list[str]) -> int | None:
    """Adds up, place by place: each word must be of a smaller place than the one before it."""
    total = group = 0
    room = 1000
    for word in words:
        if word == "thousand" and group and not total:
            total, group, room = group * 1000, 0, 1000
        elif word == "hundred" and 0 < group < 10:
            group, room = group * 100, 100
        elif word in _TENS and room >= 100:
            group, room = group + _TENS[word], 10
        elif word in _ONES and _ONES[word] < min(room, 20) and (_ONES[word] > 0 or len(words) == 1):
            group, room = group + _ONES[word], 1
        else:
            return None
    return total + group if words else None
