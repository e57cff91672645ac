"""Words for the ear: the same sentences written so that a speech program says every amount right.

Speech programs spell "mL" as two letters and read the stroke of "units/mL" as "slash", so units after a number are
written in full, and signs as words. What stands on a thing to be looked for ("a syringe that says mL") stays as it is.
Common practice, no source; heard with espeak-ng 1.51.
"""

from __future__ import annotations

import re
from typing import Final

STEP: Final = "Step"
PICTURE: Final = "Picture"
TO_FILL_IN: Final = "to be filled in by hand"
AGAIN: Final = "Again"
IN_WORDS: Final = "in words"

_UNITS: Final = {"mL": "milliliter", "ml": "milliliter", "mg": "milligram", "mcg": "microgram", "mm": "millimeter"}
_AMOUNT: Final = re.compile(
    r"(?P<number>(?<![\w.,])\d[\d,.]*(?<=\d)) ?(?P<unit>mL|ml|mg|mcg|mm|units?)(?P<per>/m[Ll])?\b"
)
_SIGNS: Final = ((" + ", " plus "), (" = ", " is "), (" · ", ", "))

_PHONE: Final = re.compile(r"(?<![\w.,])[+(]?\d[\d ()-]{4,}\d(?![\w,]*\d)")
LEAST_PHONE_DIGITS: Final = 6
"""Shorter runs are said as numbers; an amount of so many digits has commas, which no telephone number has."""


def write_spoken(text: str) -> str:
    """A sentence of the card with its units and signs in words: ``0.25 milliliters``, ``100 units per milliliter``."""
    for sign, word in _SIGNS:
        text = text.replace(sign, word)
    return _AMOUNT.sub(_write_amount, text)


def _write_amount(found: re.Match[str]) -> str:
    number, unit = found["number"], found["unit"]
    name = _UNITS.get(unit, "unit")
    many = name if number == "1" else f"{name}s"
    return f"{number} {many}" + (" per milliliter" if found["per"] else "")


def write_stop_amount(figure: str, unit: str) -> str:
    """A stop's figure with its unit: ``8 units``; of a bare line, whose unit names it already, ``line 10``."""
    return unit if figure in unit.split() else f"{figure} {unit}"


def write_stop_words(figure: str, unit: str, words: str) -> str:
    """The same in words alone, so that the ear gets the number a second way: ``eight units``, ``line ten``."""
    named = write_spoken(write_stop_amount(figure, unit))
    return " ".join(words if word == figure else word for word in named.split())


def write_step(number: int, text: str) -> str:
    """A step with its number named as one, so that it is not taken for an amount: ``Step 12: Pull air to 8 units.``"""
    return f"{STEP} {number}: {text}"


def write_whole_sentence(text: str) -> str:
    """With a full stop where none is, since speech runs on over the end of a line."""
    return text if text.endswith((".", "?", "!", ":")) else f"{text}."


def spell_codes(text: str) -> str:
    """Card codes letter by letter and telephone numbers digit by digit, for a voice that would read them as words."""
    text = re.sub(r"\b([Cc]ard) ([A-Z2-7]{4})\b", lambda found: f"{found[1]} {', '.join(found[2])}", text)
    return _PHONE.sub(_spell_phone, text)


def _spell_phone(found: re.Match[str]) -> str:
    groups = re.findall(r"\d+", found[0])
    if sum(map(len, groups)) < LEAST_PHONE_DIGITS:
        return found[0]
    return ", ".join(" ".join(group) for group in groups)
