"""A text cut up by typeface, how wide and high it is, and which of its characters no face has.

A word is set in one face wherever one has all of it; spaces and what is no word are set in the language's own. Whatever
Fillcards Text has costs a look into its table; the rest is asked of the faces that have it. Lengths in mm, sizes in
points.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import groupby
from math import fsum
from operator import itemgetter
from typing import Final, NamedTuple

from fillcards.problems import InternalFault
from fillcards.typeface.direction import is_right_to_left, list_stretches
from fillcards.typeface.faces import LANGUAGES, SANS, Face, list_installed
from fillcards.typeface.metrics import ACCENT_EM, DESCENDER_EM, MM_PER_POINT_FLOAT, load_widths
from fillcards.typeface.shaping import list_letters, list_signs, measure_glyph_box_em, measure_word_em, set_word

PLAIN_LANGUAGES: Final = frozenset(("en", "es"))
"""Those that Fillcards Text has every letter of."""

_TOKENS: Final = re.compile(r"[ \u00a0]+|[^ \u00a0]+")


def is_plain(text: str, bold: bool, language: str) -> bool:
    """Whether all of a text is set in Fillcards Text, from left to right."""
    return language in PLAIN_LANGUAGES and load_widths()[bold].keys() >= set(text)


class Segment(NamedTuple):
    """Letters in one face; ``None`` is Fillcards Text."""

    text: str
    face: Face | None


def cut_segments(text: str, bold: bool, language: str) -> tuple[Segment, ...]:
    """The segments of a text, in the order in which they stand on a line from the left.

    Raises:
        InternalFault: no face has one of its characters; ``find_missing_glyphs`` is asked before anything is placed.
    """
    if is_right_to_left(language):
        return tuple(
            segment
            for stretch, is_forward in reversed(list_stretches(text))
            for segment in (_cut_forward if is_forward else _cut_backward)(stretch, bold, language)
        )
    return _cut_forward(text, bold, language)


def _cut_backward(text: str, bold: bool, language: str) -> Iterator[Segment]:
    """A stretch that runs from right to left: its words from the last to the first, each in the language's own face."""
    own, plain = LANGUAGES[language].face, load_widths()[bold]
    known = list_signs(own) if own else frozenset()
    for token in reversed(_TOKENS.findall(text)):
        if known.issuperset(token):
            yield Segment(token, own)
            continue
        grouped = groupby(token, key=lambda letter: own if letter in known else _find_face(letter, plain))
        # What its face lacks is single signs, such as "×".
        yield from reversed([Segment("".join(letters), face) for face, letters in grouped])


def _cut_forward(text: str, bold: bool, language: str) -> tuple[Segment, ...]:
    """A text that runs from left to right, but for names in another script."""
    row, plain = LANGUAGES.get(language), load_widths()[bold]
    own = row.face if row and row.face is SANS else None
    parts = [part for token in _TOKENS.findall(text) for part in _cut_token(token, plain, own)]
    # A space between two words that run from right to left is one of theirs: they stand in its order.
    for place, (one, (sign, face), other) in enumerate(zip(parts, parts[1:], parts[2:], strict=False), start=1):
        if sign == " " and one[1] is other[1] is not face and one[1] and one[1].is_right_to_left:
            parts[place] = " ", one[1]
    grouped = groupby(parts, key=itemgetter(1))
    return tuple(Segment("".join(letters for letters, _ in group), face) for face, group in grouped)


def _cut_token(token: str, plain: dict[str, float], own: Face | None) -> Iterator[tuple[str, Face | None]]:
    is_plain = plain.keys() >= set(token)
    # Digits are Fillcards Text's, and so is what stands with them: "34.", "U-100".
    is_word = token.isalpha() or (not any(map(str.isdigit, token)) and any(map(str.isalpha, token)))
    if is_plain and (own is None or not (is_word or token.isspace())):
        yield token, None
        return
    for whole in list_installed() if own is None else (own, *list_installed()):
        if list_letters(whole).issuperset(token):
            yield token, whole
            return
    face: Face | None = None
    for letter in token:
        # A mark stays with the letter it stands on.
        if not (face and letter not in plain and letter in list_letters(face)):
            face = _find_face(letter, plain)
        yield letter, face


def _find_other_face(letter: str) -> Face | None:
    """The first face at hand that has a letter."""
    return next((face for face in list_installed() if letter in list_letters(face)), None)


def _find_face(letter: str, plain: dict[str, float]) -> Face | None:
    if letter in plain:
        return None
    if face := _find_other_face(letter):
        return face
    raise InternalFault(f"a text with U+{ord(letter):04X}, which no typeface has, was to be set; please report")


def place_segments(text: str, bold: bool, language: str) -> Iterator[tuple[Segment, float]]:
    """The segments of a text in the order they are read, each with where it begins, from the text's left end in parts
    of the type size: what is drawn in this order is read so by programs that do not ask for places.

    Raises:
        InternalFault: as ``cut_segments``.
    """
    if not is_right_to_left(language):
        yield from _place_from(0.0, cut_segments(text, bold, language), bold)
        return
    start_em = measure_mixed_em(text, bold, language)
    for words, is_forward in list_stretches(text):
        segments = cut_segments(words, bold, language)
        start_em -= fsum(measure_segment_em(segment, bold) for segment in segments)
        placed = _place_from(start_em, segments, bold)
        yield from placed if is_forward else reversed(placed)


def _place_from(start_em: float, segments: Iterable[Segment], bold: bool) -> list[tuple[Segment, float]]:
    placed = []
    for segment in segments:
        placed.append((segment, start_em))
        start_em += measure_segment_em(segment, bold)
    return placed


def list_letters_by_face(text: str, language: str) -> dict[Face, str]:
    """Which characters of a text are set in which other face, for whoever chooses letter by letter; each once."""
    row, plain = LANGUAGES.get(language), load_widths()[False]
    own = row.face if row and row.face is SANS else None
    by_face: dict[Face, str] = {}
    for letter in sorted(set(text)):
        if (letter not in plain or (own and letter.isalpha())) and (face := _find_other_face(letter)):
            by_face[face] = by_face.get(face, "") + letter
    return by_face


def measure_width_mm(text: str, size_pt: float, bold: bool = False, language: str = "en") -> float:
    """Width of a run of text on one line.

    Raises:
        InternalFault: a character is in no typeface; ``find_missing_glyphs`` is asked before anything is placed.
    """
    return measure_text_em(text, bold, language) * size_pt * MM_PER_POINT_FLOAT


def measure_text_em(text: str, bold: bool, language: str = "en") -> float:
    """Width of a run of text in parts of the type size; words that are not in Fillcards Text in a face that has them.

    Raises:
        InternalFault: as ``measure_width_mm``.
    """
    if language in PLAIN_LANGUAGES:
        try:
            return fsum(map(load_widths()[bold].__getitem__, text))
        except KeyError:
            pass
    return measure_mixed_em(text, bold, language)


@lru_cache(maxsize=4096)  # a word is broken anew for each width that is tried, and the same pieces are measured
def measure_mixed_em(text: str, bold: bool, language: str) -> float:
    """Width of a text of any faces, in parts of the type size.

    Raises:
        InternalFault: as ``cut_segments``.
    """
    return fsum(measure_segment_em(segment, bold) for segment in cut_segments(text, bold, language))


def measure_segment_em(segment: Segment, bold: bool) -> float:
    """Width of a segment, in parts of the type size."""
    text, face = segment
    return measure_word_em(text, face, bold) if face else fsum(map(load_widths()[bold].__getitem__, text))


@lru_cache(maxsize=16)
def measure_extent_em(language: str = "en") -> tuple[float, float]:
    """How high above the baseline and how deep below it the letters of a language reach."""
    row = LANGUAGES.get(language)
    return (max(row.rise, ACCENT_EM), max(row.depth, DESCENDER_EM)) if row else (ACCENT_EM, DESCENDER_EM)


def measure_other_ink_em(text: str, bold: bool) -> tuple[float, float]:
    """How high and how deep those letters of a text reach that are in other faces than Fillcards Text; 0 for none."""
    if is_plain(text, bold, "en"):
        return 0.0, 0.0
    ys = [0.0]
    for part, face in cut_segments(text, bold, "en"):
        for glyph in set_word(part, face, bold) if face else ():
            _, low, _, high = measure_glyph_box_em(face, bold, glyph.number)
            ys += (low + glyph.up, high + glyph.up)
    return max(ys), -min(ys)


def find_missing_glyphs(text: str, bold: bool = False) -> str:
    """The characters of a text that no typeface at hand has, each once, in their order; ``""`` if all are there."""
    missing = dict.fromkeys(letter for letter in text if letter not in load_widths()[bold])
    return "".join(letter for letter in missing if _find_other_face(letter) is None)
