"""Pens: what every stroke, gap, dot and letter of a drawing is made of. One draws for the eye, one for the finger.

Ink: no stroke and no gap is narrower than 0.035 mm for each point of the reader's type size, which is a fifth of the
height of its letter x (five parts of a sign, as on charts of sight); outlines are half as heavy again. Raised: the
measures of ``tactile_style``, with their sources.

Lengths in mm, type sizes in points.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, NamedTuple, TypeAlias

from fillcards.picture.items import Dot, Drawing, Item, Text, move_item
from fillcards.picture.tactile_style import (
    OUTLINE_MM,
    SCALE_LINE_MM,
    STOP_MM,
    TEXTURE_DOT_MM,
    TEXTURE_LINE_MM,
    TactileStyle,
)
from fillcards.problems import FillcardsError
from fillcards.quantities import convert_pt_to_mm
from fillcards.typeface import ACCENT_EM, CAP_HEIGHT_EM, DESCENDER_EM, measure_other_ink_em, measure_width_mm

STROKE_MM_PER_PT: Final = 0.035
OUTLINE_TO_STROKE: Final = 1.5
SLANT_PITCH: Final = 2.1
DOT: Final = 1.4
DOT_PITCH: Final = 3.55
"""Fillings, in least strokes. Chosen by measurement (``tests/vision``): an eye of 20/200 sees of a filling only its
share of ink, so empty, dots and slants are about a quarter of it apart; better eyes tell strokes from dots as well."""
PRINT_BESIDE_BRAILLE_PT: Final = 24.0

FIGURE_HEIGHT_EM: Final = CAP_HEIGHT_EM + 0.012
"""Figures are a little higher than capitals."""

HANGING: Final = frozenset("gjpqy;()")
"""Characters that reach below the line they stand on."""

COMMA_EM: Final = 0.15
"""How far a comma hangs below the line: the decimal sign of many languages."""

WriteBraille: TypeAlias = Callable[[str], tuple[Dot, ...]]
"""Braille dots of a text, from its left upper corner at (0, 0)."""


class PictureTooSmall(FillcardsError):
    """The box cannot hold the least strokes, gaps and labels; the message says what was needed and what there is."""


class Pen(NamedTuple):
    """One pen.

    Attributes:
        text_pt: size of words and numbers in a drawing.
        stroke_mm: least stroke; lines of a scale, hollow arrows.
        outline_mm: walls, vials.
        stop_mm: a stop's own line; for the finger only.
        gap_mm: least gap between two things that must be told apart.
        slant_mm, slant_pitch_mm: width of a slanted stroke, and from one to the next, square to them.
        dot_mm, dot_pitch_mm: diameter of a dot, and from one to the next in a row.
        write_braille: makes a raised pen of it.
    """

    text_pt: float
    stroke_mm: float
    outline_mm: float
    stop_mm: float
    gap_mm: float
    slant_mm: float
    slant_pitch_mm: float
    dot_mm: float
    dot_pitch_mm: float
    write_braille: WriteBraille | None = None

    @property
    def is_raised(self) -> bool:
        """Whether it draws for the finger."""
        return self.write_braille is not None

    def build_label(
        self, text: str, *, bold: bool = False, size_pt: float | None = None, grows_left: bool = False
    ) -> Drawing:
        """A word or number; for the finger in braille, the print beside it on the side away from the picture.

        Args:
            text: on one line.
            bold: heavier print.
            size_pt: of the print; left out: the pen's.
            grows_left: whether the picture is on its right.
        """
        printed = _set_text(text, size_pt or self.text_pt, bold)
        if self.write_braille is None:
            return printed
        dots = self.write_braille(text)
        width_mm = max((dot.x_mm + dot.diameter_mm / 2 for dot in dots), default=0.0)
        height_mm = max((dot.y_mm + dot.diameter_mm / 2 for dot in dots), default=0.0)
        whole_mm = width_mm + self.gap_mm + printed.width_mm, max(height_mm, printed.height_mm)
        braille_x_mm = whole_mm[0] - width_mm if grows_left else 0.0
        print_x_mm = 0.0 if grows_left else width_mm + self.gap_mm
        items: list[Item] = [move_item(dot, braille_x_mm, (whole_mm[1] - height_mm) / 2) for dot in dots]
        items += [move_item(item, print_x_mm, (whole_mm[1] - printed.height_mm) / 2) for item in printed.items]
        return Drawing(*whole_mm, tuple(items))


def make_ink_pen(reader_pt: float) -> Pen:
    """The pen of print, for a reader of that type size."""
    stroke_mm = STROKE_MM_PER_PT * reader_pt
    return Pen(
        text_pt=reader_pt,
        stroke_mm=stroke_mm,
        outline_mm=OUTLINE_TO_STROKE * stroke_mm,
        stop_mm=stroke_mm,
        gap_mm=stroke_mm,
        slant_mm=stroke_mm,
        slant_pitch_mm=SLANT_PITCH * stroke_mm,
        dot_mm=DOT * stroke_mm,
        dot_pitch_mm=DOT_PITCH * stroke_mm,
    )


def make_raised_pen(style: TactileStyle, write_braille: WriteBraille) -> Pen:
    """The pen of raised pages; numbers are in braille, and in print of 24 pt beside it."""
    return Pen(
        text_pt=PRINT_BESIDE_BRAILLE_PT,
        stroke_mm=SCALE_LINE_MM,
        outline_mm=OUTLINE_MM,
        stop_mm=STOP_MM,
        gap_mm=style.gap_mm,
        slant_mm=TEXTURE_LINE_MM,
        slant_pitch_mm=TEXTURE_LINE_MM + style.texture_gap_mm,
        dot_mm=TEXTURE_DOT_MM,
        dot_pitch_mm=TEXTURE_DOT_MM + style.texture_gap_mm,
        write_braille=write_braille,
    )


def measure_label_em(text: str, bold: bool) -> tuple[float, float]:
    """How high and how deep a label reaches: as a figure and a hanging letter, or as its letters in another face do."""
    rise_em, depth_em = measure_other_ink_em(text, bold)
    if any(letter.isalpha() and not letter.isascii() for letter in text):
        rise_em = max(rise_em, ACCENT_EM)
    depth_em = max(depth_em, DESCENDER_EM if HANGING & set(text) else 0.0)
    if "," in text and depth_em < COMMA_EM:
        # As much above, so that the number's middle stays the label's.
        return FIGURE_HEIGHT_EM + COMMA_EM, COMMA_EM
    return max(rise_em, FIGURE_HEIGHT_EM), depth_em


def _set_text(text: str, size_pt: float, bold: bool) -> Drawing:
    """A text whose box is its ink: as high as a figure, and as deep as its letters hang."""
    em_mm = convert_pt_to_mm(size_pt)
    rise_em, depth_em = measure_label_em(text, bold)
    baseline_mm, depth_mm = rise_em * em_mm, depth_em * em_mm
    width_mm = measure_width_mm(text, size_pt, bold)
    return Drawing(width_mm, baseline_mm + depth_mm, (Text(0.0, baseline_mm, text, size_pt, bold),))
