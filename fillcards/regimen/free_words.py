"""Words that the writer of a file chose: folded so that spelling does not hide them, and searched for what they must
not hold.

An amount in free words competes with the figures of the card and stays behind when a dose is changed; a claim that the
card was checked outlives the check. So free words hold no digit, sentences hold no number word either, and none of them
claims a check. What words mean is never guessed. Knows nothing of keys, files or the wording of a card. The lists of
words: common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata
from typing import Final

NUMBER_WORDS: Final = (
    "zero|half|halves|halve[ds]?|quarter(?:ed|s)?|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|thirteen"
    "|fourteen|fifteen|sixteen|seventeen|eighteen|nineteen|(?:twenty|thirty|fou?rty|fifty|sixty|seventy|eighty|ninety)"
    "(?:one|two|three|four|five|six|seven|eight|nine)?|hundreds?|thousands?|dozens?|couple|pairs?|twice|thrice|doubl(?:e[ds]?|ing)"
    "|tripl(?:e[ds]?|ing)|second|thirds?|fourth|fifth|sixth|seventh|eighth|ninth|tenth|eleventh|twelfth|(?:thir|four|fif|six"
    "|seven|eigh|nine)teenth|(?:twent|thirt|fort|fift|sixt|sevent|eight|ninet)ieth"
)
"""An expression for folded text. Left out are "first" and "once": "call us first", "once a week" state no amount."""

_NUMBER_WORD: Final = re.compile(rf"\b(?:{NUMBER_WORDS})\b")
# Up to 89, in capitals. With C, D and M too many would be other words: MD, DM.
_ROMAN_NUMBER: Final = re.compile(r"\b[IVXL]{2,}\b")
# A number word beside one of these is a dose, a line or an order; alone a small one may belong to a name.
_AMOUNT_WORD: Final = re.compile(
    r"\b(?:units?|line|ml|mg|mcg|iu|cc|doses?|milli(?:lit(?:er|re)|gram)s?|micrograms?|draw|give|inject|take|use)\b"
)
# What the card itself says to do, and in which order: in a mark, which stands beside a line, it would be obeyed.
_CARD_WORD: Final = re.compile(
    r"\b(?:pull|push|draw|inject|give|take|use|add|fill|stop|shake|wait|call|throw|lines?|units?|doses?|ml|mg|mcg|first"
    r"|last|next|same|other|another|then|after|before|until|again|only|not|never)\b"
)
_MONTH: Final = (
    "(?:jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?|oct(?:ober)?"
    "|nov(?:ember)?|dec(?:ember)?)"
)
_DAY: Final = r"(?:0?[1-9]|[12][0-9]|3[01])"
_DATE: Final = re.compile(
    rf"\b(?:born|birth\w*|dob|d\.o\.b)\b|\b{_MONTH}\b\W*[0-9]|[0-9](?:st|nd|rd|th)?\W*(?:of\W+)?\b{_MONTH}\b"
    rf"|\b(?:19|20)[0-9]{{2}}([-/.]){_DAY}\1{_DAY}\b|\b{_DAY}([-/.]){_DAY}\2(?:(?:19|20)?[0-9]{{2}})\b"
)
_AMOUNT_AFTER_NUMBER: Final = re.compile(r"[0-9]\s*(?:units|u|iu|ml|mg|mcg|cc|lines?|doses?)\b|\blines?\W*[0-9]")
_CLAIM: Final = re.compile(
    r"\b(?:(?:re|un)?(?:checked|released|approved|verified|validated|authori[sz]ed|certified|confirmed|cleared|signed"
    r"|proofread|inspected)|reviewed|approval|verification|clearance)\b"
)


def fold_text(text: str) -> str:
    """Small letters without accents, so that one word spelled in two ways is one: ``Insulín`` is ``insulin``.

    Facts: Unicode compatibility decomposition (NFKD), the combining marks left out.
    """
    decomposed = unicodedata.normalize("NFKD", text.casefold())
    return "".join(character for character in decomposed if not unicodedata.combining(character))


def list_plain_words(text: str) -> tuple[str, ...]:
    """The words of a folded text, without punctuation."""
    return tuple(re.findall(r"[^\W_]+", fold_text(text)))


def says_name(text: str, name: str) -> bool:
    """Whether a text contains every word of a name, in any order."""
    return set(list_plain_words(name)) <= set(list_plain_words(text))


def find_digit(text: str) -> str | None:
    """The first run of characters that are numbers in any script, such as ``12``, a half or a circled 8."""
    match = re.search(r"\S+", "".join(sign if sign.isnumeric() else " " for sign in text))
    return match[0] if match else None


def find_number_word(text: str) -> str | None:
    """The first word for a number, a part or a multiple, including Roman numerals up to 89."""
    match = _NUMBER_WORD.search(fold_text(text)) or _ROMAN_NUMBER.search(text)
    return match[0] if match else None


def find_number_word_but(text: str, allowed: tuple[str, ...]) -> str | None:
    """The first word for a number that is not one of those allowed; Roman numerals are none here: LI may be a name."""
    return next((word for word in _NUMBER_WORD.findall(fold_text(text)) if word not in allowed), None)


def find_amount_in_words(text: str) -> str | None:
    """A number word in a text that also has a unit, a line or an order such as draw; ``None`` for other texts."""
    return find_number_word(text) if _AMOUNT_WORD.search(fold_text(text)) else None


def find_card_word(text: str) -> str | None:
    """A word with which the card tells what to do, or in which order."""
    match = _CARD_WORD.search(fold_text(text))
    return match[0] if match else None


def says_date(text: str) -> bool:
    """Whether a text says a date, or that it is of a birth."""
    return bool(_DATE.search(fold_text(text)))


def find_amount_in_identifier(text: str) -> str | None:
    """A number followed by a unit, or an amount in words. Other numbers are what an identifier is made of."""
    match = _AMOUNT_AFTER_NUMBER.search(fold_text(text))
    return match[0] if match else find_amount_in_words(text)


def find_claim(text: str) -> str | None:
    """A word that claims that somebody has checked or released something."""
    match = _CLAIM.search(fold_text(text))
    return match[0] if match else None
