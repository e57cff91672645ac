"""A window of a scale at a given pitch: the lines round a stop, far enough apart for this reader."""

from __future__ import annotations

from fractions import Fraction
from typing import Final, NamedTuple

from fillcards.geometry import is_numbered
from fillcards.picture.pen import Pen
from fillcards.picture.scale_view import BORE, BarrelDrawing, ScaleView, Side, StopMark, draw_view, lay_axes
from fillcards.picture.scene import Portion
from fillcards.regimen.model import BarrelDirection, Syringe

NEEDED_PITCH_MM_PER_PT: Final = 0.07
"""From line to line, for each point of the reader's type size: one least stroke and one least gap."""


class Window(NamedTuple):
    """The lines shown, first and last."""

    first: Fraction
    last: Fraction


def choose_window(syringe: Syringe, stop: Fraction, least_gaps: int, most_gaps: int) -> Window:
    """From the number before a stop to the number past it, a line more at each end, and on toward the needle.

    What the reader counts along lies on the needle's side of a stop; so more of that side is shown.

    Args:
        syringe: whose scale.
        stop: the line meant.
        least_gaps: so many gaps at least, where the scale is long enough.
        most_gaps: so many at most: lines past the stop go first, then lines before the number counted from.
    """
    every = syringe.line_every
    first, last = stop - every, stop + every
    while not is_numbered(syringe, first):
        first -= every
    while not is_numbered(syringe, last):
        last += every
    first, last = max(first - every, Fraction(0)), min(last + every, syringe.last_line)
    while (last - first) / every < least_gaps and (first > 0 or last < syringe.last_line):
        if first > 0:
            first -= every
        else:
            last += every
    counted_from = stop if is_numbered(syringe, stop) else stop // syringe.numbered_every * syringe.numbered_every
    while (last - first) / every > most_gaps:
        if last > stop + 2 * every:
            last -= every
        elif first < counted_from - every:
            first += every
        elif last > stop + every:
            last -= every
        else:
            break
    return Window(first, last)


def draw_close_up(
    syringe: Syringe,
    window: Window,
    portions: tuple[Portion, ...],
    stop: Fraction | None,
    direction: BarrelDirection,
    pen: Pen,
    *,
    pitch_mm: float,
    number_pt: float,
    marks: tuple[StopMark, ...] = (),
    numbers: Side = Side.AFTER,
    counted: tuple[Fraction, ...] = (),
    bore_mm: float | None = None,
    has_end_piece: bool = False,
    is_draft: bool = False,
) -> BarrelDrawing:
    """The lines of a window, with what is in the barrel there.

    Args:
        syringe: whose scale.
        window: which lines.
        portions: of the whole barrel; what lies outside the window is not drawn.
        stop: where the stopper's reading edge stands; in raised views its mark alone.
        direction: where the needle points.
        pen: ink or raised.
        pitch_mm: from one line to the next.
        number_pt: size of numbers.
        marks: stops with a wedge, on the side without scale numbers.
        numbers: the side of the scale's numbers.
        counted: lines with a dot beside them.
        bore_mm: width inside the barrel; left out: the pen's widest.
        has_end_piece: whether a window past the zero line shows, before a break, where the needle is.
        is_draft: whether only the size is wanted.

    Raises:
        ValueError: a stop is not in the window.
    """
    bore_mm = bore_mm or BORE[pen.is_raised][1] * pen.gap_mm
    value_mm = pitch_mm / float(syringe.line_every)
    axes = lay_axes(direction, numbers)
    view = ScaleView(syringe, axes, pen, *window, value_mm, bore_mm, number_pt, has_end_piece and window.first > 0)
    return draw_view(view, portions, stop, marks, counted=counted, is_draft=is_draft)
