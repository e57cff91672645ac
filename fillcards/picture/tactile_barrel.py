"""The raised barrel: a piece of the scale between its walls, the stops across it, numbers and marks in braille.

The needle is at the top whatever the card's other pictures show: a raised page is turned by hand, not by the eye.
Lines of the scale grow from the left wall, numbers stand outside it. A stop's line crosses the whole barrel and passes
the right wall, which is broken to let it out; its mark stands at its end. A line of the scale that would come nearer to
a stop than the least gap is left out. Words come back apart from the drawing, so that a helper's plain copy can have
them in print at the same places. Lengths in mm from the left upper corner.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from fillcards.picture.items import Item, Line
from fillcards.picture.tactile_frame import (
    FLANGE_MM,
    LONG_MM,
    SHORT_MM,
    Frame,
    Label,
    RaisedDrawing,
    RaisedStop,
    build_frame,
)
from fillcards.picture.tactile_marks import draw_digits, draw_stop_line, draw_texture, measure_digits_mm
from fillcards.picture.tactile_pieces import (
    Piece,
    measure_label_mm,
    measure_tail_mm,
)
from fillcards.picture.tactile_style import (
    OUTLINE_MM,
    SCALE_LINE_MM,
    STOP_MM,
    TactileStyle,
)
from fillcards.quantities import write_number
from fillcards.regimen.model import Syringe
from fillcards.wording.braille import BrailleText, Translate, measure_cells

LEAST_WALL_MM: Final = 6.0
"""A shorter piece of broken wall is left out: it would feel like a dot."""

_EASE_MM: Final = 1e-6


def draw_piece(
    syringe: Syringe,
    piece: Piece,
    stops: tuple[RaisedStop, ...],
    style: TactileStyle,
    translate: Translate,
    width_mm: float,
    *,
    has_textures: bool,
) -> RaisedDrawing:
    """One piece of the scale with the stops on it.

    Args:
        syringe: whose scale.
        piece: which part, how large.
        stops: in order; those outside the piece are not drawn but still bound its textures.
        style: sizes.
        translate: makes braille of the numbers.
        width_mm: room on the page.
        has_textures: whether what is in the barrel is drawn.

    Raises:
        TactileTooSmall: the page is too narrow.
    """
    drawn = tuple(stop for stop in stops if piece.first <= stop.value <= piece.last)
    shown = tuple(value for value in piece.values if not _is_crowded(value, drawn, piece, style))
    numbers = {value: translate(write_number(value)) for value in shown if value % piece.numbered_every == 0}
    frame = build_frame(syringe, piece, drawn, numbers, style, width_mm)
    items: list[Item] = [*_draw_walls(frame, drawn), *_draw_scale(frame, shown, drawn, numbers)]
    for stop in drawn:
        items += draw_stop_line(
            frame.left_mm, frame.stop_end_mm, frame.locate(stop.value), is_final=stop.is_final, style=style
        )
    textures = tuple(_list_textures(frame, stops)) if has_textures else ()
    for texture in textures:
        items += draw_texture(*texture, style)
    marks, labels = _draw_marks(frame, drawn)
    labels += [_place_number(frame, value, words) for value, words in numbers.items()]
    height_mm = frame.locate(piece.last) + measure_tail_mm(style)
    return RaisedDrawing(width_mm, height_mm, (*items, *marks), tuple(labels), tuple(index for index, *_ in textures))


def _is_crowded(value: Fraction, drawn: tuple[RaisedStop, ...], piece: Piece, style: TactileStyle) -> bool:
    least_mm = style.gap_mm + (STOP_MM + SCALE_LINE_MM) / 2 - _EASE_MM
    return any(0 < abs(float(value - stop.value)) * piece.value_mm < least_mm for stop in drawn)


def _draw_walls(frame: Frame, drawn: tuple[RaisedStop, ...]) -> Iterator[Line]:
    half_mm = OUTLINE_MM / 2
    left_mm, right_mm, top_mm, foot_mm = frame.left_mm, frame.right_mm, frame.top_mm, frame.foot_mm
    start_mm, end_mm = top_mm, foot_mm
    if frame.has_needle:
        middle_mm = (left_mm + right_mm) / 2
        yield Line(middle_mm, 0.0, middle_mm, top_mm, STOP_MM)
        yield Line(left_mm - half_mm, top_mm, right_mm + half_mm, top_mm, OUTLINE_MM)
    if frame.has_flanges:
        yield Line(left_mm - FLANGE_MM, foot_mm, left_mm + half_mm, foot_mm, OUTLINE_MM)
        yield Line(right_mm - half_mm, foot_mm, right_mm + FLANGE_MM, foot_mm, OUTLINE_MM)
    yield Line(left_mm, start_mm, left_mm, end_mm, OUTLINE_MM)
    clear_mm = frame.style.gap_mm + STOP_MM / 2
    for stop in drawn:
        stop_mm = frame.locate(stop.value)
        if stop_mm - clear_mm - start_mm >= LEAST_WALL_MM:
            yield Line(right_mm, start_mm, right_mm, stop_mm - clear_mm, OUTLINE_MM)
        start_mm = stop_mm + clear_mm
    if end_mm - start_mm >= LEAST_WALL_MM:
        yield Line(right_mm, start_mm, right_mm, end_mm, OUTLINE_MM)


def _draw_scale(
    frame: Frame, shown: tuple[Fraction, ...], drawn: tuple[RaisedStop, ...], numbers: dict[Fraction, BrailleText]
) -> Iterator[Line]:
    stops = {stop.value for stop in drawn}
    for value in shown:
        if value not in stops:
            length_mm = LONG_MM if value in numbers else SHORT_MM
            y_mm = frame.locate(value)
            yield Line(frame.left_mm, y_mm, frame.left_mm + length_mm, y_mm, SCALE_LINE_MM)


def _list_textures(frame: Frame, stops: tuple[RaisedStop, ...]) -> Iterator[tuple[int, float, float, float, float]]:
    """Each texture there is room for: which one, left, top, right and bottom."""
    left_mm = frame.left_mm + LONG_MM + frame.style.gap_mm
    right_mm = frame.right_mm - OUTLINE_MM / 2 - frame.style.gap_mm
    for index, near_mm, far_mm in _bound_textures(frame.piece, stops, frame.style):
        if min(far_mm - near_mm, right_mm - left_mm) >= frame.style.least_texture_mm:
            yield index, left_mm, frame.zero_mm + near_mm, right_mm, frame.zero_mm + far_mm


def _bound_textures(
    piece: Piece, stops: tuple[RaisedStop, ...], style: TactileStyle
) -> Iterator[tuple[int, float, float]]:
    """Of each texture: which one, and where it begins and ends along the piece."""
    clear_mm = style.gap_mm + STOP_MM / 2
    before = Fraction(0)
    for index, stop in enumerate(stops):
        near, far = max(before, piece.first), min(stop.value, piece.last)
        if near < far:
            yield index, piece.locate(near) + clear_mm, piece.locate(far) - clear_mm
        before = stop.value


def _draw_marks(frame: Frame, drawn: tuple[RaisedStop, ...]) -> tuple[list[Item], list[Label]]:
    """The marks at the ends of the stops' lines; two that would come too near each other give way to both sides."""
    style = frame.style
    height_mm = measure_label_mm(style)
    middles_mm = [frame.locate(stop.value) for stop in drawn]
    if len(drawn) == 2:
        give_mm = max(0.0, height_mm + style.label_gap_mm - (middles_mm[1] - middles_mm[0])) / 2
        middles_mm = [middles_mm[0] - give_mm, middles_mm[1] + give_mm]
    items: list[Item] = []
    labels: list[Label] = []
    for stop, middle_mm in zip(drawn, middles_mm, strict=True):
        x_mm = frame.marks_mm
        if style.raised_digits:
            number = write_number(stop.value)
            items += draw_digits(number, x_mm, middle_mm - height_mm / 2, style)
            x_mm += measure_digits_mm(number, style) + style.gap_mm
        labels.append(Label(x_mm, middle_mm - style.cell_height_mm / 2, stop.words))
    return items, labels


def _place_number(frame: Frame, value: Fraction, words: BrailleText) -> Label:
    """Before its line, outside the wall."""
    width_mm = frame.style.measure_width_mm(measure_cells(words))
    return Label(frame.numbers_mm - width_mm, frame.locate(value) - frame.style.cell_height_mm / 2, words)
