"""The whole barrel of a poster and of a raised page: what the reader holds when a draw is done.

After the first draw: its portion, slanted. After the second: both portions, a broken mark between them and no number at
it, which could pass for a stop. There is no picture of the air on it: its line is the classic wrong place to stop.
"""

from __future__ import annotations

from fractions import Fraction

from fillcards.picture.pen import Pen
from fillcards.picture.scale_view import BarrelDrawing, ScaleView, Side, StopMark, draw_view, lay_axes, measure_bore_of
from fillcards.picture.scene import Portion
from fillcards.regimen.model import BarrelDirection, Syringe


def draw_barrel(
    syringe: Syringe,
    portions: tuple[Portion, ...],
    stop: Fraction | None,
    direction: BarrelDirection,
    pen: Pen,
    *,
    scale_length_mm: float,
    number_pt: float,
    marks: tuple[StopMark, ...] = (),
    numbers: Side = Side.AFTER,
    bore_mm: float | None = None,
    is_draft: bool = False,
) -> BarrelDrawing:
    """The barrel with what is in it.

    Args:
        syringe: whose scale is drawn.
        portions: from the needle on.
        stop: where the stopper's reading edge stands; ``None``: no plunger, an empty barrel to mark.
        direction: where the needle points.
        pen: ink or raised; a raised barrel has no stopper, its stops are its marks.
        scale_length_mm: from zero line to last line.
        number_pt: size of the scale's numbers, and of what stands at the marks.
        marks: stops with a wedge.
        numbers: the side on which the scale's numbers stand; the marks stand on the other.
        bore_mm: width inside the barrel; left out: enlarged as the scale is.
        is_draft: to be measured only, as large as the whole; what is in the barrel is not drawn.

    Raises:
        ValueError: a value is not on the scale.
    """
    view = _view_whole(syringe, direction, pen, scale_length_mm, number_pt, numbers, bore_mm)
    return draw_view(view, portions, stop, marks, is_draft=is_draft)


def _view_whole(
    syringe: Syringe,
    direction: BarrelDirection,
    pen: Pen,
    scale_length_mm: float,
    number_pt: float,
    numbers: Side,
    bore_mm: float | None,
) -> ScaleView:
    value_mm = scale_length_mm / float(syringe.last_line)
    bore_mm = bore_mm or measure_bore_of(syringe, scale_length_mm, pen)
    window = Fraction(0), syringe.last_line
    return ScaleView(syringe, lay_axes(direction, numbers), pen, *window, value_mm, bore_mm, number_pt)
