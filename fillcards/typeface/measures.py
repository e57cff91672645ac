"""Widths and heights of text in whatever faces it is set in, and which characters no face has.

Lengths in mm, sizes in points. Whatever Fillcards Text has costs a look into its table; the rest is loaded where a text
needs it.
"""

from __future__ import annotations

from math import fsum
from typing import Final

from fillcards.typeface.faces import LANGUAGES
from fillcards.typeface.metrics import ACCENT_EM, DESCENDER_EM, MM_PER_POINT_FLOAT, load_widths

PLAIN_LANGUAGES: Final = frozenset(("en", "es"))
"""Those that Fillcards Text has every letter of."""


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
    from fillcards.typeface.segments import measure_mixed_em

    return measure_mixed_em(text, bold, language)


def measure_extent_em(language: str = "en") -> tuple[float, float]:
    """How high above the baseline and how deep below it the letters of a language reach."""
    row = LANGUAGES.get(language)
    return (max(row.rise, ACCENT_EM), max(row.depth, DESCENDER_EM)) if row else (ACCENT_EM, DESCENDER_EM)


def measure_other_ink_em(text: str, bold: bool) -> tuple[float, float]:
    """How high and how deep those letters of a text reach that are in other faces than Fillcards Text; 0 for none."""
    if load_widths()[bold].keys() >= set(text):
        return 0.0, 0.0
    from fillcards.typeface.segments import measure_mixed_ink_em

    return measure_mixed_ink_em(text, bold)


def find_missing_glyphs(text: str, bold: bool = False) -> str:
    """The characters of a text that no typeface at hand has, each once, in their order; ``""`` if all are there."""
    widths = load_widths()[bold]
    missing = "".join(dict.fromkeys(character for character in text if character not in widths))
    if not missing:
        return ""
    from fillcards.typeface.segments import find_letters_of_no_face

    return find_letters_of_no_face(missing)
