"""The life-size barrel of the staff sheet: an empty syringe to lay the real one beside, line against line.

Drawn only from a scale length that somebody measured with a ruler; a standard's shortest length would look as exact
and be wrong. Both directions are to scale: the bore follows from capacity and length. mm.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from fillcards.geometry import measure_bore_mm
from fillcards.picture.items import Drawing
from fillcards.picture.pen import Pen, make_ink_pen
from fillcards.picture.scale_view import ScaleView, Side, choose_numbers, draw_view, lay_axes
from fillcards.regimen.model import BarrelDirection, Syringe

LIFE_SIZE_LINE_MM: Final = 0.3
"""Middle of the 0.2 mm to 0.4 mm that ISO 8537:2007, 9.1, allows a graduation line."""
LIFE_SIZE_WALL_MM: Final = 0.5
NUMBER_SIZES_PT: Final = (12.0, 11.0, 10.0)
"""Largest first; nothing on the staff sheet is under 10 pt."""


def draw_life_size(syringe: Syringe, direction: BarrelDirection) -> Drawing:
    """The empty barrel, zero line to last line exactly ``syringe.scale_length_mm`` apart (centre to centre).

    Raises:
        ValueError: if nobody measured the scale length.
    """
    if syringe.scale_length_mm is None:
        raise ValueError("a life-size barrel needs a measured scale length")
    pen = make_ink_pen(NUMBER_SIZES_PT[0])._replace(stroke_mm=LIFE_SIZE_LINE_MM, outline_mm=LIFE_SIZE_WALL_MM)
    wanted = int(syringe.last_line / syringe.numbered_every) + 1
    views = (_view(syringe, float(syringe.scale_length_mm), direction, pen, size_pt) for size_pt in NUMBER_SIZES_PT)
    chosen = [view for view in views if len(choose_numbers(view)) == wanted]
    # Where not even the smallest numbers all have room, some are left out.
    view = chosen[0] if chosen else _view(syringe, float(syringe.scale_length_mm), direction, pen, NUMBER_SIZES_PT[-1])
    return draw_view(view, (), None, ()).drawing


def _view(syringe: Syringe, length_mm: float, direction: BarrelDirection, pen: Pen, number_pt: float) -> ScaleView:
    value_mm, bore_mm = length_mm / float(syringe.last_line), measure_bore_mm(syringe.capacity_ml, length_mm)
    window = Fraction(0), syringe.last_line
    return ScaleView(syringe, lay_axes(direction, Side.BEFORE), pen, *window, value_mm, bore_mm, number_pt)
