"""Words that are printed on the card as written: what they may contain; and names, whether two are one person.

Two more of the forms of ``forms.py``. The typeface is asked for every character, because one it lacks would vanish from
the page without warning. Words that name nobody and letters after a name: from memory of the trade, common practice.
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from enum import Enum
from functools import cache
from typing import Any, Final, NamedTuple

from fillcards.regimen.forms import FormError
from fillcards.regimen.free_words import (
    find_amount_in_identifier,
    find_amount_in_words,
    find_card_word,
    find_claim,
    find_digit,
    find_number_word,
    find_number_word_but,
    list_plain_words,
    load_words,
)
from fillcards.strict_text import name_character

_NO_MARK: Final = re.compile(r"[.:;?!()\u00b7]")
# A digit within a generic name, such as interferon beta-1a or vitamin B12: it belongs to the word before it.
_DIGIT_OF_A_NAME: Final = re.compile(r"(?:\b[A-Z][0-9]{1,2}|(?<=[a-z])-[0-9][a-z])(?!\w)")

_SCRIPTS: Final = ("LATIN", "CYRILLIC", "GREEK", "DEVANAGARI", "ARABIC")
"""Scripts that the typefaces have letters of, as Unicode begins the names of those letters."""

# What must not be printed on a card because it has been misread. Sources: Joint Commission "Do Not Use" list (U, IU,
# QD, QOD); ISMP list of error-prone abbreviations (cc, HS, qhs, SSI, SSRI, the Greek letter); BID, TID, QID, PRN: from
# memory of the trade, they mean nothing to a patient.
_ERROR_PRONE: Final[tuple[tuple[re.Pattern[str], str], ...]] = (
    (re.compile(r"\b(?:IU|iu|U)\b(?!-)"), 'write "units" in full'),
    (re.compile(r"\bcc\b", re.IGNORECASE), 'write "mL"'),
    (re.compile(r"[\u00b5\u03bc]g"), 'write "mcg"'),
    (
        re.compile(
            r"(?<![\w.])(?:q\.?d|q\.?o\.?d|q\.?h\.?s|h\.?s|b\.?i\.?d|t\.?i\.?d|q\.?i\.?d|p\.?r\.?n|ssr?i)\b",
            re.IGNORECASE,
        ),
        "write the time out in words, such as at bedtime",
    ),
)


class Words(Enum):
    """What a text is for, and so what it must not hold; none of them may claim that the card was checked."""

    NAME = "a name"
    """Of somebody or something: letters of one script, no digit, no number word over three, none at all beside a unit,
    a line or an order."""
    MEDICINE = "the name of a medicine"
    """As a name, but a digit may belong to a word of it, as in interferon beta-1a."""
    MARK = "a mark"
    """How a vial is told apart by hand: as a name, a few words in the middle of a step, so no sentence, no bracket, and
    no word that the card itself uses to say what to do."""
    SENTENCE = "a sentence"
    """Warnings, notes, what the clinic says: neither a digit nor a number word, and no error-prone abbreviation."""
    IDENTIFIER = "an identifier"
    """Of a patient or a prescription: digits, but no amount."""
    ON_A_LABEL = "words on a label"
    """What the vial says; a rule compares its numbers with the strength."""


class Label(NamedTuple):
    """Words that are printed as written: one line, every character in the typeface.

    Attributes:
        longest: in characters.
        words: what the text is for.
    """

    longest: int
    words: Words

    def parse(self, text: str) -> str:
        """The text itself."""
        if len(text) > self.longest:
            raise FormError("TEXT-001", length=len(text), longest=self.longest)
        if text != " ".join(text.split()):
            raise FormError("TEXT-002")
        if text in {"~", "null"}:
            raise FormError("TEXT-003")
        require_glyphs(text)
        _require_one_script(text, _WHOLE if self.words in {Words.NAME, Words.MEDICINE} else _WORD)
        if claim := find_claim(text):
            raise FormError("TEXT-010", claim=claim)
        _require_no_number(text, self.words)
        if self.words in {Words.SENTENCE, Words.MARK}:
            require_plain_writing(text)
        if self.words is Words.MARK:
            word = find_card_word(text)
            if word or _NO_MARK.search(text) or not any(sign.isalpha() for sign in text):
                raise FormError("TEXT-008", found=f'the word "{word}"' if word else "")
        return text

    def describe(self) -> dict[str, Any]:
        """A string of limited length."""
        return {"type": "string", "maxLength": self.longest}


_ALLOWED_COUNTS: Final = {
    Words.MARK: ("one", "two", "three"),
    Words.NAME: ("one", "two", "three", "second", "third"),
}
"""Number words that may tell two vials or two people apart. Common practice, no source."""


def _require_no_number(text: str, words: Words) -> None:
    """Refuse the numbers that a text of this sort must not hold.

    Raises:
        FormError: with the number.
    """
    if words is Words.ON_A_LABEL:
        return
    if words is Words.IDENTIFIER:
        number = find_amount_in_identifier(text)
    else:
        number = find_digit(_DIGIT_OF_A_NAME.sub("", text) if words is Words.MEDICINE else text)
        number = number or (find_number_word(text) if words is Words.SENTENCE else find_amount_in_words(text))
        if words in _ALLOWED_COUNTS:
            number = number or find_number_word_but(text, _ALLOWED_COUNTS[words])
    if number:
        expected = f"{words.value} without {'an amount' if words is Words.IDENTIFIER else 'a number'}"
        remedy = "delete the number: doses go under fills, telephone numbers under contacts, strengths under strength"
        if words is Words.MARK:
            remedy = 'write a number up to three as a word, such as "two rubber bands", and no amount'
        elif words is Words.NAME:
            remedy = f"{remedy}; a name that is a number: leave it out, and write it on the card by hand"
        raise FormError("TEXT-007", expected, remedy, f'the number "{number}"')


def require_glyphs(text: str) -> None:
    """Refuse characters that the typefaces lack, and marks that stand on no letter.

    Raises:
        FormError: with each such character and its position in the text; for words that run both ways; for
            brackets in those that run from right to left.
    """
    from fillcards.typeface import find_missing_glyphs

    for word in text.split():
        if not word.isascii() and unicodedata.category(word[0]).startswith("M"):
            found = f"{name_character(word[0])}, character {text.index(word) + 1} of the text, on no letter"
            raise FormError("TEXT-004", "letters that the typeface can print", "type the letter before its mark", found)
    ways = {unicodedata.bidirectional(sign) for sign in text}
    if ways & {"R", "AL"} and ways & {"L", "EN", "AN"}:
        remedy = "write it all in the one script or all in the other; amounts and strengths have keys of their own"
        found = "letters from right to left with Latin letters or digits"
        raise FormError("TEXT-011", "words that run one way", remedy, found)
    if ways & {"R", "AL"} and (mark := next((sign for sign in text if unicodedata.mirrored(sign)), "")):
        remedy = "write it without brackets or signs of that sort, such as with a hyphen"
        found = f'"{mark}" ({name_character(mark)}), character {text.index(mark) + 1} of the text'
        raise FormError("TEXT-013", "words from right to left without signs that are turned round", remedy, found)
    # The bold cut is asked as well: names and stops are set in it.
    missing = find_missing_glyphs(text) or find_missing_glyphs(text, bold=True)
    if not missing:
        return
    composed = unicodedata.normalize("NFC", text)
    remedy = "write it in other letters, such as a transcription; no letter is dropped without warning"
    if not find_missing_glyphs(composed) and not find_missing_glyphs(composed, bold=True):
        remedy = "type the accented letter again as one letter: here letter and accent are two characters"
    shown = (
        f'"{character}" ({name_character(character)}), character {text.index(character) + 1} of the text'
        for character in missing[:3]
    )
    raise FormError("TEXT-004", "letters that the typeface can print", remedy, "; ".join(shown))


_WHOLE: Final = re.compile(r".+")
_WORD: Final = re.compile(r"[^\s\u00b5\u03bc]+")
"""What must be in one script: a name as a whole, else each word. The sign of micro, with which labels have units, parts
words; either letter of Unicode is typed for it."""


def _require_one_script(text: str, part: re.Pattern[str]) -> None:
    """Refuse a name, or a word of other texts, in letters of two scripts: a Cyrillic letter that looks Latin makes one
    person two, and a medicine another, and hides a word from the rules for words.

    Facts: a letter's Unicode name, after compatibility decomposition (NFKD), begins with its script.

    Raises:
        FormError: with the first letter that is not of the script that most letters have, and its position.
    """
    for match in part.finditer(text):
        written = [_find_script(sign) for sign in match[0]]
        counts = Counter(script for script in written if script)
        if len(counts) < 2:
            continue
        most = counts.most_common(1)[0][0]
        place = match.start() + next(number for number, script in enumerate(written) if script not in {most, None})
        found = f'"{text[place]}" ({name_character(text[place])}), character {place + 1} of the text'
        raise FormError("TEXT-012", found=found, script=most.title())


def _find_script(sign: str) -> str | None:
    """The script of a letter; ``None`` for marks, stops and letters that several scripts share."""
    if not sign.isalpha():
        return None
    script = unicodedata.name(unicodedata.normalize("NFKD", sign)[0], "").partition(" ")[0]
    return script if script in _SCRIPTS else None


def require_plain_writing(text: str) -> None:
    """Refuse abbreviations that have been misread.

    Raises:
        FormError: with what to write instead.
    """
    for pattern, remedy in _ERROR_PRONE:
        match = pattern.search(text)
        if match:
            raise FormError("TEXT-005", "words that cannot be misread", remedy, f'"{match[0].strip()}"')


_LONGEST_SHORT_NAME: Final = 3
"""Within a longer name, such as H. Na, words up to this length may be names."""

_LOOK_ALIKES: Final = str.maketrans(
    "\u0430\u0432\u0435\u043a\u043c\u043d\u043e\u0440\u0441\u0442\u0443\u0445"  # as in Russian
    "\u0456\u0458\u0455\u04bb\u0501\u051b\u051d\u04cf",  # of other languages
    "abekmhopctyx" + "ijshdqwl",
)
"""Small Cyrillic letters that look Latin, small or as capitals. Greek ones that do are not in the typefaces.
Source: compared by eye in the typefaces of the card; common practice."""


class PersonName(NamedTuple):
    """Who prepared or checked something: words with letters that name somebody."""

    longest: int

    def parse(self, text: str) -> str:
        """The text itself."""
        name = Label(self.longest, Words.NAME).parse(text)
        if _is_nobody(name):
            raise FormError("REVIEW-004")
        return name

    def describe(self) -> dict[str, Any]:
        """A string of limited length."""
        return {"type": "string", "maxLength": self.longest}


@cache
def _load_names(sort: str) -> frozenset[str]:
    return frozenset(load_words()["names"][sort].split("|"))


def _is_nobody(name: str) -> bool:
    words = list_plain_words(name)
    joined, nobody = "".join(words), _load_names("nobody")
    is_said = joined in nobody or any(word in nobody for word in words if len(word) > _LONGEST_SHORT_NAME)
    is_role = set(words) <= nobody | _load_names("no_names") | _load_names("titles")
    return is_said or is_role or not any(map(str.isalpha, joined))


def is_same_person(one: str, other: str) -> bool:
    """Whether two names may be one person: the same words in any order, some left out or shortened, or initials alone;
    titles and punctuation left out, Cyrillic letters that look Latin taken for Latin ones. In doubt they are one, and a
    fuller name tells them apart.
    """
    first, second = _list_name_words(one), _list_name_words(other)
    is_written_alike = "".join(first) == "".join(second) != ""
    return is_written_alike or _is_short_for(first, second) or _is_short_for(second, first)


def _is_short_for(short: tuple[str, ...], long: tuple[str, ...]) -> bool:
    """Whether a name may be another with words left out or shortened, at least one of several kept whole."""
    if len(short) == 1 and Counter(short[0]) <= Counter(word[0] for word in long):
        return True
    is_like = all(any(word.startswith(each) or each.startswith(word) for each in long) for word in short)
    is_whole = any(len(word) > 1 and word in long for word in short)
    return is_like and (is_whole or len(short) == 1 or max(map(len, short), default=0) == 1)


def _list_name_words(name: str) -> tuple[str, ...]:
    words = tuple(word.translate(_LOOK_ALIKES) for word in list_plain_words(name))
    return tuple(word for word in words if word not in _load_names("titles")) or words
