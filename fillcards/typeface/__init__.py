"""The typeface: widths, coverage, heights, line breaks, and where its files are. No output library is needed for it.

The typeface of plain Latin is Atkinson Hyperlegible with a zero that has no stroke, regular and bold, under a name of
its own (the licence is beside it, in ``OFL.txt``). It has no kerning: the width of a text is the sum of the widths of
its characters, in every output. Source of every number: ``typeface-file``. Other scripts have faces of their own
(``faces``), whose words are set by a shaper that is loaded where one is met.
"""

from fillcards.typeface.font_files import find_font_file
from fillcards.typeface.measures import (
    find_missing_glyphs,
    measure_extent_em,
    measure_other_ink_em,
    measure_text_em,
    measure_width_mm,
)
from fillcards.typeface.metrics import (
    ACCENT_EM,
    CAP_HEIGHT_EM,
    DESCENDER_EM,
    DESCENT_EM,
    X_HEIGHT_EM,
)
from fillcards.typeface.wrapping import Run, TextTooWide, Words

__all__ = [
    "ACCENT_EM",
    "CAP_HEIGHT_EM",
    "DESCENDER_EM",
    "DESCENT_EM",
    "X_HEIGHT_EM",
    "Run",
    "TextTooWide",
    "Words",
    "find_font_file",
    "find_missing_glyphs",
    "measure_extent_em",
    "measure_other_ink_em",
    "measure_text_em",
    "measure_width_mm",
]
