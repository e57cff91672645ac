"""What whoever prints the card lays something beside: a 100 mm bar and a card's outline, to see that the printer kept
the size, and an empty life-size barrel, for the real syringe, line against line.

That barrel is drawn only from a scale length that somebody measured with a ruler; a standard's shortest length would
look as exact and be wrong. Both directions are to scale: the bore follows from capacity and length. The instruction
beside each belongs to the wording; here are only lines and numbers. mm throughout.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from fillcards.geometry import measure_bore_mm
from fillcards.picture.items import Anchor, Drawing, Item, Line, Polygon, Text
from fillcards.picture.kit import arc
from fillcards.picture.pen import Pen, make_ink_pen
from fillcards.picture.scale_view import ScaleView, Side, choose_numbers, draw_view, lay_axes
from fillcards.regimen.model import BarrelDirection, Syringe

BAR_MM: Final = 100.0
"""Between the centres of the two end ticks."""
TICK_MM: Final = 0.3
END_TICK_HEIGHT_MM: Final = 7.0
TEN_TICK_HEIGHT_MM: Final = 3.5
NUMBER_PT: Final = 12.0
NUMBER_BASELINE_MM: Final = 11.2
SIDE_MM: Final = 6.0

ID1_WIDTH_MM: Final = 85.60
ID1_HEIGHT_MM: Final = 53.98
ID1_RADIUS_MM: Final = 3.18
"""ISO/IEC 7810, ID-1; the radius may be 2.88 mm to 3.48 mm, this is the middle."""
OUTLINE_MM: Final = 0.3
CHORDS_A_CORNER: Final = 16

LIFE_SIZE_LINE_MM: Final = 0.3
"""Middle of the 0.2 mm to 0.4 mm that ISO 8537:2007, 9.1, allows a graduation line."""
LIFE_SIZE_WALL_MM: Final = 0.5
NUMBER_SIZES_PT: Final = (12.0, 11.0, 10.0)
"""Largest first; nothing on the staff sheet is under 10 pt."""


def draw_hundred_mm_bar() -> Drawing:
    """A bar with a tick every 10 mm, 100 mm long between the centres of its end ticks."""
    baseline_mm = END_TICK_HEIGHT_MM - TICK_MM / 2
    items: list[Item] = [Line(SIDE_MM - TICK_MM / 2, baseline_mm, SIDE_MM + BAR_MM + TICK_MM / 2, baseline_mm, TICK_MM)]
    for index in range(11):
        x_mm = SIDE_MM + index * BAR_MM / 10
        height_mm = END_TICK_HEIGHT_MM if index in (0, 10) else TEN_TICK_HEIGHT_MM
        items.append(Line(x_mm, END_TICK_HEIGHT_MM - height_mm, x_mm, END_TICK_HEIGHT_MM, TICK_MM))
    items.append(Text(SIDE_MM, NUMBER_BASELINE_MM + 0.2, "0", NUMBER_PT, anchor=Anchor.MIDDLE))
    items.append(Text(SIDE_MM + BAR_MM, NUMBER_BASELINE_MM + 0.2, "100", NUMBER_PT, anchor=Anchor.MIDDLE))
    return Drawing(BAR_MM + 2 * SIDE_MM, NUMBER_BASELINE_MM + 0.4, tuple(items))


def draw_id1_outline() -> Drawing:
    """The outline of a bank card; the middle of the stroke is the card's edge."""
    near_mm = OUTLINE_MM / 2 + ID1_RADIUS_MM
    right_mm, bottom_mm = near_mm + ID1_WIDTH_MM - 2 * ID1_RADIUS_MM, near_mm + ID1_HEIGHT_MM - 2 * ID1_RADIUS_MM
    centres = (right_mm, near_mm), (right_mm, bottom_mm), (near_mm, bottom_mm), (near_mm, near_mm)
    radii_mm = ID1_RADIUS_MM, ID1_RADIUS_MM
    points = tuple(
        point
        for corner, centre in enumerate(centres)
        for point in arc(centre, radii_mm, 90 * (corner - 1), 90 * corner, CHORDS_A_CORNER)
    )
    outline = Polygon(points, outline_mm=OUTLINE_MM)
    return Drawing(ID1_WIDTH_MM + OUTLINE_MM, ID1_HEIGHT_MM + OUTLINE_MM, (outline,))


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
