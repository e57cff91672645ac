"""The typeface: widths, coverage, heights, line breaks, and where its files are. No output library is needed for it.

The typeface of plain Latin is Atkinson Hyperlegible with a zero that has no stroke, regular and bold, under a name of
its own (the licence is beside it, in ``OFL.txt``). It has no kerning: the width of a text is the sum of the widths of
its characters, in every output. Source of every number: ``typeface-file``. Other scripts have faces of their own
(``faces``), whose words are set by a shaper that is loaded where one is met.
"""

from fillcards.typeface.metrics import ACCENT_EM as ACCENT_EM
from fillcards.typeface.metrics import CAP_HEIGHT_EM as CAP_HEIGHT_EM
from fillcards.typeface.metrics import DESCENDER_EM as DESCENDER_EM
from fillcards.typeface.metrics import X_HEIGHT_EM as X_HEIGHT_EM
from fillcards.typeface.metrics import find_font_file as find_font_file
from fillcards.typeface.segments import find_missing_glyphs as find_missing_glyphs
from fillcards.typeface.segments import measure_extent_em as measure_extent_em
from fillcards.typeface.segments import measure_other_ink_em as measure_other_ink_em
from fillcards.typeface.segments import measure_width_mm as measure_width_mm
from fillcards.typeface.wrapping import TextTooWide as TextTooWide
