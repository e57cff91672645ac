"""The close-up round one stop: a piece of the scale with wide gaps, and how to count along it to the stop.

The piece runs from the number at or before the stop to a little past the stop, and where there is room a little
further, so that the close-ups of a fill are alike in size. A dot stands beside each line that is counted, and an
arrow beside the dots shows the way: away from the needle. Counted lines carry no ordinals on purpose: a "3" beside
the line of 18 would be read as the scale's.

Axes and frame as in ``barrel_frame``; mm. Knows one draw; nothing of fills or cards.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Final

from fillcards.geometry import ScaleLine, is_numbered
from fillcards.picture.barrel_frame import NUMBER_GAP_MM, STRIP_MARGIN_MM, BarrelFrame, measure_number_depth_mm
from fillcards.picture.barrel_parts import SHOULDER_MM
from fillcards.picture.items import Drawing, Ink, Item
from fillcards.picture.orientation import Figures, Orientation, Side, measure_span_mm
from fillcards.picture.patterns import FIRST_PATTERN, MIXTURE_PATTERN, Region, draw_pattern
from fillcards.picture.stop_marks import build_label, draw_stop, measure_mark_depth_mm, measure_mark_span_mm
from fillcards.plan.model import Draw
from fillcards.plan.print_size import WIDEST_LINE_GAP_MM
from fillcards.quantities import convert_pt_to_mm, write_number
from fillcards.regimen.model import BarrelDirection, Syringe

NARROWEST_GAP_MM: Final = 6.0
END_MM: Final = 6.0
"""Barrel drawn before the first and after the last line of the piece; more where a number or the label needs it."""
LINES_AROUND: Final = 2
"""Lines shown past the stop, and before a stop that is itself numbered."""
LEAST_GAPS: Final = 6
"""So that the close-ups of a fill are alike in size, where there is room."""

NARROWEST_BORE_MM: Final = 15.0
WIDEST_BORE_MM: Final = 24.0
LONG_TO_BORE: Final = 0.33
LINE_MM: Final = 0.7
WALL_MM: Final = 1.1
RING_MM: Final = 2.4

DOT_MM: Final = 2.0
NUMBERS_APART_EM: Final = 0.35
"""From one number to the next where each line has one: more than a space, so that they are no one word."""
DOT_AIR_MM: Final = 0.4
"""At least so much white between a number and the dot beside the next line."""
ARROW_COLUMN_MM: Final = 5.0
ARROW_HALF_MM: Final = 1.7
ARROW_HEAD_MM: Final = 3.4
ARROW_BAR_MM: Final = 0.8


@dataclass(frozen=True, slots=True)
class Piece:
    """The lines shown: the first, the stop and the last, and how many gaps lie between first and last."""

    first: Fraction
    stop: Fraction
    last: Fraction
    gaps: int


@dataclass(frozen=True, slots=True)
class Room:
    """The place for a close-up on the page, and how far apart the reader needs its lines."""

    direction: BarrelDirection
    width_mm: float
    height_mm: float
    least_gap_mm: float = NARROWEST_GAP_MM

    @property
    def size_mm(self) -> tuple[float, float]:
        """Along and across the barrel."""
        size_mm = self.width_mm, self.height_mm
        return size_mm[::-1] if self.direction is BarrelDirection.NEEDLE_UP else size_mm

    @property
    def narrowest_mm(self) -> float:
        """Least distance from line to line."""
        return min(max(NARROWEST_GAP_MM, self.least_gap_mm), WIDEST_LINE_GAP_MM)


def draw_close_up(
    syringe: Syringe,
    draw: Draw,
    *,
    is_total: bool,
    width_mm: float,
    height_mm: float,
    direction: BarrelDirection,
    number_pt: float,
    least_gap_mm: float = NARROWEST_GAP_MM,
    is_draft: bool = False,
) -> Drawing:
    """A piece of the scale round the stop of one draw, as large as fits.

    Args:
        syringe: whose scale is drawn.
        draw: the draw that ends at the stop.
        is_total: whether the stop is the second of a mixed fill: its mark and the pattern follow.
        width_mm: room on the page. The drawing may be smaller; it is larger only where the least size of
            ``measure_close_up_mm`` asks for it, since gaps between lines never shrink below the least.
        height_mm: likewise.
        direction: where the needle points.
        number_pt: size of the scale's numbers; the label is larger.
        least_gap_mm: from line to line, for this reader; never under 6 mm, and never over 11.
        is_draft: whether the drawing is only as large as it will be, and empty.

    Raises:
        ValueError: if the stop is not on the scale.
    """
    room = Room(direction, width_mm, height_mm, least_gap_mm)
    frame, piece = _build_close_up_frame(syringe, draw, is_total, room, number_pt)
    if is_draft:
        return Drawing(*frame.orientation.size_mm, ())
    edge_mm = frame.locate(draw.stop_line)
    label = build_label(draw.stop_line, number_pt)
    liquid = Region(max(0.0, frame.zero_mm - SHOULDER_MM), edge_mm, frame.strip_mm, frame.far_inner_mm)
    items: list[Item] = [*draw_pattern(MIXTURE_PATTERN if is_total else FIRST_PATTERN, liquid, frame.orientation)]
    items += _draw_stopper(frame, edge_mm)
    items += _draw_piece_of_scale(frame, piece, number_pt)
    items += _draw_walls(frame, piece)
    items += _draw_counting(frame, draw)
    items += draw_stop(frame, draw.stop_line, label, is_total=is_total)
    return Drawing(*frame.orientation.size_mm, tuple(items))


def measure_close_up_mm(
    syringe: Syringe,
    draw: Draw,
    *,
    is_total: bool,
    direction: BarrelDirection,
    number_pt: float,
    least_gap_mm: float = NARROWEST_GAP_MM,
) -> tuple[float, float]:
    """The least width and height of the close-up."""
    room = Room(direction, 0.0, 0.0, least_gap_mm)
    return _build_close_up_frame(syringe, draw, is_total, room, number_pt)[0].orientation.size_mm


def measure_close_up_gap_mm(syringe: Syringe, draw: Draw, *, is_total: bool, room: Room, number_pt: float) -> float:
    """From one line to the next in the close-up that ``draw_close_up`` makes in that room."""
    return _build_close_up_frame(syringe, draw, is_total, room, number_pt)[0].line_gap_mm


def choose_piece(syringe: Syringe, draw: Draw, least_gaps: int = LEAST_GAPS) -> Piece:
    """Which lines the close-up shows: to two past the stop, and on until there are so many gaps."""
    every, stop = syringe.line_every, draw.stop_line
    first = draw.count.from_number if draw.count.lines else max(stop - LINES_AROUND * every, Fraction(0))
    last = stop
    while last + every <= syringe.last_line and (
        last - stop < every * LINES_AROUND or last - first < every * least_gaps
    ):
        last += every
    return Piece(first, stop, last, int((last - first) / every))


def _build_close_up_frame(
    syringe: Syringe, draw: Draw, is_total: bool, room: Room, number_pt: float
) -> tuple[BarrelFrame, Piece]:
    """The whole scale at the close-up's gap, moved so that the piece lies inside the picture."""
    direction, (length_mm, depth_mm) = room.direction, room.size_mm
    label = build_label(draw.stop_line, number_pt)
    mark_mm = measure_mark_span_mm(label, direction, is_total=is_total)
    piece = choose_piece(syringe, draw)
    end_mm = _measure_end_mm(piece, syringe, direction, number_pt, mark_mm)
    least_mm = max(room.narrowest_mm, _measure_lettered_gap_mm(piece, draw, syringe, direction, number_pt))
    if piece.gaps * least_mm > length_mm - 2 * end_mm:
        piece = choose_piece(syringe, draw, 0)
        end_mm = _measure_end_mm(piece, syringe, direction, number_pt, mark_mm)
    gap_mm = max(min((length_mm - 2 * end_mm) / piece.gaps, WIDEST_LINE_GAP_MM), least_mm)
    label_mm = measure_mark_depth_mm(label, direction, is_total=is_total)
    number_mm = ARROW_COLUMN_MM + measure_number_depth_mm(syringe, direction, number_pt) + NUMBER_GAP_MM
    room_mm = depth_mm - number_mm - label_mm - 2 * WALL_MM
    bore_mm = min(max(room_mm, NARROWEST_BORE_MM), WIDEST_BORE_MM)
    orientation = Orientation(direction, piece.gaps * gap_mm + 2 * end_mm, number_mm + bore_mm + label_mm + 2 * WALL_MM)
    frame = BarrelFrame(
        syringe=syringe,
        orientation=orientation,
        zero_mm=end_mm - float(piece.first / syringe.line_every) * gap_mm,
        scale_length_mm=float(syringe.last_line / syringe.line_every) * gap_mm,
        inner_mm=number_mm + WALL_MM,
        bore_mm=bore_mm,
        long_mm=bore_mm * LONG_TO_BORE,
        line_mm=LINE_MM,
        wall_mm=WALL_MM,
    )
    return frame, piece


def _measure_end_mm(
    piece: Piece, syringe: Syringe, direction: BarrelDirection, number_pt: float, mark_mm: float
) -> float:
    """Barrel before the first and after the last line, so that no number and no label leaves the picture."""
    outer = [Figures(write_number(line), number_pt) for line in (piece.first, piece.last) if is_numbered(syringe, line)]
    return max(END_MM, mark_mm / 2, *(measure_span_mm(number, direction) / 2 for number in outer))


def _measure_lettered_gap_mm(
    piece: Piece, draw: Draw, syringe: Syringe, direction: BarrelDirection, number_pt: float
) -> float:
    """From line to line, so that no number touches the next one, or the dot beside the line next to its own."""
    lines = (piece.first + index * syringe.line_every for index in range(piece.gaps + 1))
    numbers = [Figures(write_number(line), number_pt) for line in lines if is_numbered(syringe, line)]
    spans_mm = [measure_span_mm(number, direction) for number in numbers]
    gaps = syringe.numbered_every / syringe.line_every
    apart_mm = NUMBERS_APART_EM * convert_pt_to_mm(number_pt)
    beside_mm = [((one + other) / 2 + apart_mm) / float(gaps) for one, other in pairwise(spans_mm)]
    dotted_mm = [span / 2 + DOT_MM / 2 + DOT_AIR_MM for span in spans_mm if draw.count.lines]
    return max(beside_mm + dotted_mm, default=0.0)


def _draw_piece_of_scale(frame: BarrelFrame, piece: Piece, number_pt: float) -> list[Item]:
    shown: list[ScaleLine] = [line for line in frame.place_lines() if piece.first <= line.value <= piece.last]
    items: list[Item] = []
    for line in shown:
        along_mm = frame.zero_mm + line.distance_mm
        end_mm = frame.inner_mm + frame.measure_line_mm(line)
        items.append(frame.orientation.draw_line((along_mm, frame.inner_mm), (along_mm, end_mm), frame.line_mm))
        if line.number:
            items.append(
                frame.orientation.draw_figures(
                    Figures(line.number, number_pt), along_mm, frame.low_outer_mm - NUMBER_GAP_MM, Side.NUMBERS
                )
            )
    return items


def _draw_walls(frame: BarrelFrame, piece: Piece) -> list[Item]:
    """Walls that run out of the picture, or the barrel's closed end where the piece begins at the zero line."""
    draw, low_mm, high_mm, wall_mm = frame.orientation, frame.low_outer_mm, frame.high_outer_mm, frame.wall_mm
    if piece.first > 0:
        return [
            draw.draw_rectangle((0.0, low_mm), (draw.length_mm, low_mm + wall_mm), Ink.BLACK),
            draw.draw_rectangle((0.0, high_mm - wall_mm), (draw.length_mm, high_mm), Ink.BLACK),
        ]
    inside_mm = frame.zero_mm - SHOULDER_MM
    end_mm = inside_mm - wall_mm
    shell = (
        (draw.length_mm, low_mm),
        (end_mm, low_mm),
        (end_mm, high_mm),
        (draw.length_mm, high_mm),
        (draw.length_mm, high_mm - wall_mm),
        (inside_mm, high_mm - wall_mm),
        (inside_mm, low_mm + wall_mm),
        (draw.length_mm, low_mm + wall_mm),
    )
    base_mm = frame.bore_mm * 0.2
    hub = ((end_mm, -base_mm), (0.0, -base_mm * 0.7), (0.0, base_mm * 0.7), (end_mm, base_mm))
    hub_on_axis = [(along, frame.middle_mm + across) for along, across in hub]
    return [draw.draw_polygon(shell, Ink.BLACK), draw.draw_polygon(hub_on_axis, Ink.BLACK)]


def _draw_stopper(frame: BarrelFrame, edge_mm: float) -> tuple[Item, ...]:
    """The stopper's ring with its edge on the stop, and its body running out of the picture."""
    draw = frame.orientation
    end_mm = draw.length_mm
    half_mm = frame.middle_mm - frame.strip_mm
    ring = draw.draw_rectangle((edge_mm, frame.inner_mm), (edge_mm + RING_MM, frame.far_inner_mm), Ink.BLACK)
    body = draw.draw_rectangle((edge_mm, frame.middle_mm - half_mm), (end_mm, frame.middle_mm + half_mm), Ink.BLACK)
    return ring, body


def _draw_counting(frame: BarrelFrame, draw: Draw) -> list[Item]:
    """A dot beside each counted line, and an arrow from the number to the stop."""
    count = draw.count
    if not count.lines:
        return []
    axes = frame.orientation
    dot_mm = frame.low_outer_mm - NUMBER_GAP_MM - DOT_MM / 2
    counted = (count.from_number + index * count.line_every for index in range(1, count.lines + 1))
    items: list[Item] = [axes.draw_dot((frame.locate(value), dot_mm), DOT_MM) for value in counted]
    start_mm, tip_mm = frame.locate(count.from_number), frame.locate(count.value)
    middle_mm = ARROW_COLUMN_MM / 2 - STRIP_MARGIN_MM
    head_mm = tip_mm - ARROW_HEAD_MM
    items.append(axes.draw_line((start_mm, middle_mm), (head_mm + 0.1, middle_mm), ARROW_BAR_MM))
    head = ((tip_mm, middle_mm), (head_mm, middle_mm - ARROW_HALF_MM), (head_mm, middle_mm + ARROW_HALF_MM))
    return [*items, axes.draw_polygon(head, Ink.BLACK)]
