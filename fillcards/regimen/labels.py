"""Words that are printed on the card as they stand: what may stand in them.

One more of the forms of ``forms.py``. The typeface is asked for every character, because one it lacks would vanish from
paper without a word.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any, Final

from fillcards.regimen.forms import FormError
from fillcards.regimen.free_words import NUMBER_WORDS, find_amount
from fillcards.strict_text import name_character

# As the steps of the card are numbered.
_NUMBERED_STEP: Final = re.compile(r"(?:^|[.?!] )[0-9]+\. ")
_NUMBER_WORD: Final = re.compile(rf"\d+|\b(?:{NUMBER_WORDS})\b", re.IGNORECASE)
_NO_MARK: Final = re.compile(r"[.:;?!()\u00b7]")

# What must not be printed on a card because it has been misread. Sources: Joint Commission "Do Not Use" list (U, IU,
# QD, QOD, trailing zero, lack of leading zero); ISMP list of error-prone abbreviations (cc, HS, qhs, SSI, SSRI, the
# Greek letter); BID, TID, QID, PRN: from memory of the trade, they mean nothing to a patient.
_ERROR_PRONE: Final[tuple[tuple[re.Pattern[str], str], ...]] = (
    (re.compile(r"\b\d+(?:\.\d+)?\s?(?:U|u|IU|iu)\b(?!-)"), 'write "units" in full'),
    (re.compile(r"\b\d+(?:\.\d+)?\s?cc\b", re.IGNORECASE), 'write "mL"'),
    (re.compile(r"[\u00b5\u03bc]g"), 'write "mcg"'),
    (re.compile(r"\d\.\d*0(?!\d)"), "write no zero at the end of a decimal"),
    (re.compile(r"(?<![\d.])\.\d"), "write a zero before the point"),
    (re.compile(r"\d(?:units?|mL|mg|mcg)\b"), "put a space between number and unit"),
    (
        re.compile(
            r"(?<![\w.])(?:q\.?d|q\.?o\.?d|q\.?h\.?s|h\.?s|b\.?i\.?d|t\.?i\.?d|q\.?i\.?d|p\.?r\.?n|ssr?i)\b",
            re.IGNORECASE,
        ),
        "write the time out in words, such as at bedtime",
    ),
)


@dataclass(frozen=True, slots=True)
class Label:
    """Words that are printed as they stand: one line, every character in the typeface.

    Attributes:
        longest: in characters.
        is_prose: whether the writer of the file chose the words, so that error-prone writing is refused; names, numbers
            and what stands on a vial are printed as they are.
        is_name: whether the words name somebody or something, so that no amount belongs in them.
    """

    longest: int
    is_prose: bool = False
    is_name: bool = False

    def parse(self, text: str) -> str:
        """The text itself."""
        if len(text) > self.longest:
            found = f"{len(text)} characters"
            raise FormError("TEXT-001", f"at most {self.longest} characters", "say it shorter", found)
        if text != text.strip() or "\n" in text:
            remedy = "write it on one line, without spaces at its ends"
            raise FormError("TEXT-002", "one line of text", remedy, "spaces or a line break at an end or inside")
        if text in {"~", "null"}:
            raise FormError("TEXT-003", "words, or nothing", "to leave it empty write nothing after the colon")
        missing = _find_missing_glyphs(text)
        if missing:
            names = ", ".join(name_character(character) for character in missing[:3])
            remedy = "write it in other letters, such as a transcription; nothing is left out in silence"
            raise FormError("TEXT-004", "characters that the typeface can print", remedy, f"the character {names}")
        if self.is_prose:
            require_plain_writing(text)
        if self.is_name and (find_amount(text) or _NUMBERED_STEP.search(text)):
            remedy = "take the amount out: the doses stand under fills and nowhere else"
            raise FormError("TEXT-007", "a name or a mark, without an amount or a line", remedy)
        return text

    def describe(self) -> dict[str, Any]:
        """A string of limited length."""
        return {"type": "string", "maxLength": self.longest}


@dataclass(frozen=True, slots=True)
class VialMark:
    """How a vial is told apart by hand: a few words in the middle of a step, so no sentence and no brackets."""

    longest: int

    def parse(self, text: str) -> str:
        """The text itself."""
        Label(self.longest, is_prose=True, is_name=True).parse(text)
        if _NO_MARK.search(text) or not any(character.isalpha() for character in text):
            remedy = "write what the hand feels or the eye sees, without points, colons and brackets"
            raise FormError("TEXT-008", "a few words such as one rubber band", remedy)
        return text

    def describe(self) -> dict[str, Any]:
        """A string of limited length."""
        return {"type": "string", "maxLength": self.longest}


@dataclass(frozen=True, slots=True)
class ClinicSentence:
    """A sentence of the clinic's own, printed word for word: no digit and no number word, so no amount."""

    longest: int

    def parse(self, text: str) -> str:
        """The text itself."""
        Label(self.longest, is_prose=True).parse(text)
        number = _NUMBER_WORD.search(text)
        if number:
            remedy = "say it without a number; amounts stand under fills, phones under contacts"
            raise FormError("TEXT-009", "words without a number", remedy, f'"{number[0]}"')
        return text

    def describe(self) -> dict[str, Any]:
        """A string of limited length."""
        return {"type": "string", "maxLength": self.longest}


def _find_missing_glyphs(text: str) -> str:
    from fillcards.typeface import find_missing_glyphs

    # The bold cut is asked as well: names and stops are set in it.
    return find_missing_glyphs(text) or find_missing_glyphs(text, bold=True)


def require_plain_writing(text: str) -> None:
    """Refuse abbreviations and numbers in a form that has been misread.

    Raises:
        FormError: with what to write instead.
    """
    for pattern, remedy in _ERROR_PRONE:
        match = pattern.search(text)
        if match:
            expected = "words and numbers that cannot be misread"
            raise FormError("TEXT-005", expected, remedy, f'"{match[0].strip()}"')
