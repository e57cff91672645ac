"""The barrel drawn round a scale: its shell, needle, stopper and liquid. Lengths in mm, in the axes of ``nearby``."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from fillcards.readback.conventions import (
    COUNTING_DOT_MM,
    DARKEST_GREY,
    DOT_MM,
    HUB_LENGTHS_MM,
    HUB_REACH_MM,
    LABEL_REACH_MM,
    NUMBER_REACH_MM,
    ON_LINE_MM,
    RING_MM,
    SHELL_CORNERS,
)
from fillcards.readback.marks import Stroke
from fillcards.readback.model import Liquid
from fillcards.readback.nearby import EASE_MM, Box, Nearby


class LiquidMark(NamedTuple):
    """A dot or a slanted stroke of a liquid's pattern: from where to where it reaches along, and its middle on the
    page.
    """

    near_mm: float
    far_mm: float
    ink: tuple[float, float]


def find_ring(near: Nearby, depth_mm: float) -> Box | None:
    """The stopper's ring: a dark bar from wall to wall; none where there are two."""
    rings = [
        box
        for box, shape in near.dark
        if len(shape.points) == 4
        and RING_MM[0] <= box.far_mm - box.near_mm <= RING_MM[1]
        and abs(box.low_mm) <= EASE_MM
        and near.scale.least_crossing_mm <= box.high_mm <= depth_mm + EASE_MM
    ]
    return rings[0] if len(rings) == 1 else None


def find_growth(near: Nearby, ring: Box | None, places_mm: list[float]) -> int:
    """Which way values grow: by the numbers, else away from the stop towards the stopper."""
    if near.scale.step:
        return 1 if near.scale.step > 0 else -1
    if ring is not None and places_mm:
        return 1 if ring.middle[0] > places_mm[0] else -1
    return 1


def is_whole(near: Nearby) -> bool:
    """Whether a barrel with flanges is drawn round all of the lines."""
    return any(
        len(shape.points) >= SHELL_CORNERS
        and box.near_mm < near.first_mm
        and box.far_mm > near.last_mm
        and -LABEL_REACH_MM < box.low_mm < 0 < box.high_mm
        for box, shape in near.dark
    )


def has_needle(near: Nearby, growth: int) -> bool:
    """Whether a hub on the barrel's axis stands before the zero line, and none past the last line."""
    ends = {1: 0, -1: 0}
    for box, shape in near.dark:
        if len(shape.points) != 4 or box.low_mm <= EASE_MM or box.high_mm >= LABEL_REACH_MM:
            continue
        for side, gap_mm in ((1, near.first_mm - box.far_mm), (-1, box.near_mm - near.last_mm)):
            is_near = 0 < gap_mm <= HUB_REACH_MM
            ends[side] += is_near and HUB_LENGTHS_MM[0] < box.far_mm - box.near_mm < HUB_LENGTHS_MM[1]
    return ends[growth] > 0 and ends[-growth] == 0


def find_liquid(near: Nearby, depth_mm: float) -> tuple[Liquid, tuple[LiquidMark, ...]]:
    """The pattern inside the bore; none where two patterns lie over each other."""
    least_mm, most_mm = DOT_MM
    strokes = tuple(mark for stroke in near.strokes if (mark := _read_slanted(near, stroke, depth_mm)))
    dots = tuple(
        LiquidMark(box.near_mm, box.far_mm, near.join(*box.middle))
        for box in near.dots
        if box.low_mm >= 0 and box.high_mm <= depth_mm and least_mm <= box.far_mm - box.near_mm <= most_mm
    )
    start_mm, end_mm = _find_walls_mm(near)
    strokes, dots = (
        tuple(mark for mark in marks if start_mm <= mark.near_mm and mark.far_mm <= end_mm) for marks in (strokes, dots)
    )
    if bool(strokes) is bool(dots):
        return Liquid.NONE, ()
    return (Liquid.MIXTURE, dots) if dots else (Liquid.FIRST, strokes)


def _find_walls_mm(near: Nearby) -> tuple[float, float]:
    """From where to where the wall beside the scale reaches: what is drawn past it belongs to the next picture."""
    walls = [
        box for box, _ in near.dark if box.low_mm < 0 and box.near_mm <= near.first_mm and box.far_mm >= near.last_mm
    ]
    if not walls:
        return near.scale.reach_mm
    return min(wall.near_mm for wall in walls) - ON_LINE_MM, max(wall.far_mm for wall in walls) + ON_LINE_MM


def _read_slanted(near: Nearby, stroke: Stroke, depth_mm: float) -> LiquidMark | None:
    """A slanted stroke inside the bore; ``None`` for any other stroke."""
    if stroke.x1_mm == stroke.x2_mm or stroke.y1_mm == stroke.y2_mm or stroke.is_dashed:
        return None
    if stroke.is_horizontal or stroke.is_vertical or stroke.level > DARKEST_GREY:
        return None
    low, high = near.measure_depths(stroke)
    near_mm, far_mm = sorted((near.place(stroke), near.axes.split(stroke.x2_mm, stroke.y2_mm)[0]))
    is_beside = near_mm > near.scale.reach_mm[0] and far_mm < near.scale.reach_mm[1]
    if low < 0 or high > depth_mm or not is_beside:
        return None
    half_mm = stroke.width_mm / 2
    middle = (stroke.x1_mm + stroke.x2_mm) / 2, (stroke.y1_mm + stroke.y2_mm) / 2
    return LiquidMark(near_mm - half_mm, far_mm + half_mm, middle)


def measure_hole_mm(marks: Iterable[LiquidMark], from_mm: float, to_mm: float) -> float:
    """The longest stretch without ink between two places along: where a liquid begins, and where it ends."""
    start_mm, end_mm = sorted((from_mm, to_mm))
    hole_mm = 0.0
    for mark in sorted(marks):
        hole_mm = max(hole_mm, mark.near_mm - start_mm)
        start_mm = max(start_mm, mark.far_mm)
    return max(hole_mm, end_mm - start_mm)


def count_dots(near: Nearby) -> int:
    """Dots on the numbers' side, each at a line."""
    least_mm, most_mm = COUNTING_DOT_MM
    beside = [box for box in near.dots if -NUMBER_REACH_MM[1] <= box.low_mm and box.high_mm < 0]
    return sum(
        least_mm <= box.far_mm - box.near_mm <= most_mm
        and min(abs(box.middle[0] - place) for place in near.scale.places_mm) <= ON_LINE_MM
        for box in beside
    )
