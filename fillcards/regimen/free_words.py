"""Words that the writer of a file chose: folded so that spelling hides nothing, searched for what must not be there,
and for names of insulins.

An amount in free words competes with the figures of the card and stays behind when a dose is changed; a claim that the
card was checked outlives the check. So free words hold no digit, sentences hold no number word either, and none of them
claims a check. What words mean is never guessed. Knows nothing of keys, files or the wording of a card. The lists of
words stand in ``free_words.yaml``.

An amount hides in Spanish number words as in English ones, and on an English card too, whose reader may know Spanish.
So every language is asked of every card; a word that is English too counts where nothing else can be meant. The lists
know stems and endings, not grammar; a word with another meaning too (Vietnamese "năm", year and five) is refused all
the same, for nobody can tell which is meant. From memory of each language, common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Mapping
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Final

from fillcards.catalogue.medicines import find_medicine_named, load_medicines
from fillcards.catalogue.model import MedicineKind
from fillcards.own_data import load_own_data

_ENGLISH: Final = "en"
FOREIGN: Final = ("es", "ru", "ar", "vi", "hi")
"""Tags of the other languages with lists."""
_COMPOSED: Final = ("vi", "hi")
"""Those whose text is not folded, since marks tell words apart."""
_SORTS: Final = ("numbers", "claims", "of_the_card")

# Up to 89, in capitals. With C, D and M too many would be other words: MD, DM.
_ROMAN_NUMBER: Final = re.compile(r"\b[IVXL]{2,}\b")
# A number word beside one of these is a dose, a line or an order; alone a small one may belong to a name.
_AMOUNT_WORD: Final = re.compile(
    r"\b(?:units?|line|ml|mg|mcg|iu|cc|doses?|milli(?:lit(?:er|re)|gram)s?|micrograms?|draw|give|inject|take|use)\b"
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
_AMOUNT_AFTER_NUMBER: Final = re.compile(
    r"[0-9]+(?:[.,][0-9]+)?\s*(?:units|u|iu|ml|mg|mcg|cc|lines?|doses?)\b|\blines?\W*[0-9]+"
    r"|\b(?:pull|push|draw|inject|give|take|stop|fill|add|doses?|total)\b\D{0,20}[0-9]+"
)


@cache
def load_words() -> Mapping[str, Mapping[str, str]]:
    """The expressions of ``free_words.yaml``: by language and sort, and those of names by sort."""
    tree = load_own_data(Path(__file__).with_name("free_words.yaml"))
    return {
        tag: {sort: "|".join(map(str, lines)) for sort, lines in sorts.items()}
        for tag, sorts in tree.items()
        if isinstance(sorts, dict)
    }


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
    match = _ROMAN_NUMBER.search(text)
    return _find_first(text, "numbers") or (match[0] if match else None)


def find_number_word_but(text: str, allowed: tuple[str, ...]) -> str | None:
    """The first word for a number that is not one of those allowed; Roman numerals are none here: LI may be a name."""
    return next((word for word in _find_all(text, _ENGLISH, "numbers") if word not in allowed), None)


def find_amount_in_words(text: str) -> str | None:
    """A number word in a text that also has a unit, a line or an order such as draw; ``None`` for other texts."""
    return find_number_word(text) if _AMOUNT_WORD.search(fold_text(text)) else None


def find_card_word(text: str) -> str | None:
    """A word with which the card tells what to do, or in which order."""
    return _find_first(text, "of_the_card")


def says_date(text: str) -> bool:
    """Whether a text says a date, or that it is of a birth."""
    return bool(_DATE.search(fold_text(text)))


def find_amount_in_identifier(text: str) -> str | None:
    """A number followed by a unit, or after an order, or an amount in words. Other numbers are what an identifier is
    made of.
    """
    match = _AMOUNT_AFTER_NUMBER.search(fold_text(text))
    return match[0] if match else find_amount_in_words(text)


def find_claim(text: str) -> str | None:
    """A word that claims that somebody has checked or released something."""
    return _find_first(text, "claims")


_OF_OTHERS_TOO: Final = frozenset(
    (
        *("once", "dos", "media", "medias", "miles", "par", "tire", "solo", "pare"),
        *("hai", "ba"),
    )
)
"""Words of English too (call us once a week, dos and don'ts, a few miles, on par), and names of people (Hai, Ba). On a
card that is not of their language they count beside a word that is of it alone, such as unidades."""


def find_foreign_number_word(text: str, language: str, *, in_mark: bool = False) -> str | None:
    """The first word for a number, a part or a multiple in any language but English; in a mark two and three are none.
    ``language`` is the card's.
    """
    for tag in FOREIGN:
        for word in _list_words(text, tag, "numbers", language):
            if not (in_mark and re.fullmatch(load_words()[tag]["small"], word)):
                return word
    return None


def list_number_words(text: str, language: str) -> list[str]:
    """The words for numbers that a text in a language has; none where there is no list for it."""
    return _find_all(text, language, "numbers") if language in FOREIGN else []


def find_foreign_word(text: str, sort: str, language: str) -> str | None:
    """The first word of a sort that a text has in any language but English.

    Args:
        text: the writer's.
        sort: ``claims``, ``of_the_card`` or ``looks``, as ``free_words.yaml`` tells them.
        language: the card's.
    """
    return next((word for tag in FOREIGN for word in _list_words(text, tag, sort, language)), None)


def _list_words(text: str, tag: str, sort: str, language: str) -> list[str]:
    """The words of one sort that a text has in one language, on a card of this or another language."""
    found = _find_all(text, tag, sort)
    if tag == language or not found:
        return found
    alone = [word for word in found if word not in _OF_OTHERS_TOO]
    others = (word for each in _SORTS for word in _find_all(text, tag, each))
    return found if any(word not in _OF_OTHERS_TOO for word in others) else alone


def _find_first(text: str, sort: str) -> str | None:
    return next(iter(_find_all(text, _ENGLISH, sort)), None)


def _find_all(text: str, tag: str, sort: str) -> list[str]:
    said = unicodedata.normalize("NFC", text.casefold()) if tag in _COMPOSED else fold_text(text)
    return _compile(tag, sort).findall(said)


@cache
def _compile(tag: str, sort: str) -> re.Pattern[str]:
    words = unicodedata.normalize("NFC", load_words()[tag][sort])
    # Devanagari's vowel signs are no word characters: an edge is where neither a letter nor such a sign stands.
    return re.compile(rf"(?<![\w\u0900-\u0963])(?:{words})(?![\w\u0900-\u0963])")


# Names of insulins however they are spelled: accents, endings of other languages, typing errors, spaced letters. They
# serve to refuse a catalogue medicine under another name and to suggest its generic name, never to accept one. What
# counts as near is common practice, no source: six letters in seven agree.

NEAR: Final = 0.85
"""From this share of common letters on (difflib's ratio) two words are taken for one. Common practice, no source."""

SHORTEST_NEAR: Final = 5
"""Shorter words are only compared letter by letter: too many are alike. Common practice, no source."""

INSULIN: Final = "insulin"

NOT_IN_CATALOGUE: Final = "aabc"
"""The ending of another insulin than lispro, as the catalogue's note on that row says."""

# Words in names of catalogue medicines that by themselves name none.
_COMMON_WORDS: Final = frozenset(("insulin", "human", "regular", "concentrated", "faster", "premixed", "units", "ml"))
# Insulins the catalogue does not have, and short forms. From memory.
_OTHER_INSULINS: Final = frozenset(
    ("ins", "nph", "pzi", "lente", "semilente", "ultralente", "icodec", NOT_IN_CATALOGUE)
)
# What people say for a row of the catalogue beside its generic names. From memory of the trade.
_SHORT_NAMES: Final = {
    "n": "insulin isophane",
    "r": "insulin regular",
    "70/30": "insulin premixed 70/30",
    "75/25": "insulin premixed 75/25",
    "50/50": "insulin premixed 50/50",
    "u500": "insulin regular concentrated",
}
_DIGITS_FOR_LETTERS: Final = str.maketrans("013", "oie")


def list_loose_words(text: str) -> tuple[str, ...]:
    """Words in small letters without accents; letters set apart are one word, so ``N.P.H.`` is ``nph``.

    Mixtures such as ``70/30`` stay together; a digit among letters is read as the letter it looks like.
    """
    words: list[str] = []
    is_spelled_out = False
    for word in re.findall(r"[0-9]+/[0-9]+|[^\W_]+", fold_text(text)):
        is_letter = len(word) == 1 and word.isalpha()
        if is_letter and is_spelled_out:
            words[-1] += word
        else:
            words.append(word)
        is_spelled_out = is_letter
    return tuple(word.translate(_DIGITS_FOR_LETTERS) if re.search("[a-z]", word) else word for word in words)


def find_near_word(word: str, known: Collection[str]) -> str | None:
    """The known word that this one is, spelled so or nearly so; ``None`` where none is near."""
    if word in known:
        return word
    if len(word) < SHORTEST_NEAR:
        return None
    from difflib import get_close_matches

    # Other languages write isofano, isofane.
    sounds = {each.replace("ph", "f"): each for each in known if len(each) >= SHORTEST_NEAR}
    near = get_close_matches(word.replace("ph", "f"), sounds, n=1, cutoff=NEAR)
    return sounds[near[0]] if near else None


@cache
def load_own_words() -> frozenset[str]:
    """The words that name one catalogue medicine by themselves, such as ``glargine``."""
    return frozenset(word for kind in load_medicines() for word in re.findall(r"[a-z]+", kind)) - _COMMON_WORDS


def find_insulin_word(text: str) -> str | None:
    """The word by which a text names an insulin: one of the catalogue's own, another, or ``insulin`` itself."""
    words = list_loose_words(text)
    own = load_own_words()
    for word in words:
        near = find_near_word(word, own)
        if near:
            return near
    for word in map("".join, pairwise(words)):
        if word in own or word == INSULIN:
            return word
    for word in words:
        if word in _OTHER_INSULINS:
            return word
        if word.startswith("insul") or INSULIN in word or find_near_word(word, (INSULIN,)):
            return INSULIN
    return None


def find_row(name: str) -> MedicineKind | None:
    """The catalogue's row that a name means, in any spelling; ``None`` for whatever the catalogue does not have."""
    if NOT_IN_CATALOGUE in list_loose_words(name):
        return None
    return find_medicine_named(name) or find_medicine_named(find_insulin_word(name) or "")


def says_only_insulin(text: str) -> bool:
    """Whether a text says insulin, in any spelling, and nothing that tells which."""
    words = set(list_loose_words(text)) - _COMMON_WORDS - {"ins"}
    return all(find_near_word(word, (INSULIN,)) for word in words) or "".join(list_loose_words(text)) == INSULIN


def suggest_kind(text: str) -> str:
    """What to write under ``kind`` for a name that people use; empty where nothing is near."""
    squashed = re.sub(r"[\s.-]+", "", fold_text(text)).removeprefix("insulin").removeprefix("mix")
    row = load_medicines().get(_SHORT_NAMES.get(squashed, "")) or find_row(text)
    if row is not None:
        return f'did you mean "{row.kind}"? Compare it with the label'
    if find_insulin_word(text) and not says_only_insulin(text):
        return 'the catalogue does not know this insulin: write "kind: other" and every key that other must state'
    return ""
