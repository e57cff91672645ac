"""Names of insulins however they are spelled: accents, endings of other languages, typing errors, spaced letters.

Serves to refuse a catalogue medicine under another name and to suggest its generic name, never to accept one. What
counts as near is common practice, no source: six letters in seven agree.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from functools import lru_cache
from itertools import pairwise
from typing import Final

from fillcards.catalogue.medicines import find_medicine_named, load_medicines
from fillcards.catalogue.model import MedicineKind
from fillcards.regimen.free_words import fold_text

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


@lru_cache(maxsize=1)
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
