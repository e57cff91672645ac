"""Marks in a barrel that belong to nothing: a second stopper, a bar, an arrow without its line. Lengths in mm.

Everything that a barrel may hold is listed here; whatever else is found would be read by somebody as a place to stop.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from typing import Final

from fillcards.readback.conventions import DOT_MM, LABEL_REACH_MM, ON_LINE_MM
from fillcards.readback.marks import Shape, Stroke
from fillcards.readback.nearby import EASE_MM, Box, Nearby

ROD_CORNERS: Final = 6
"""Of the rod with its torn end; the neck that joins it to the stopper begins under the ring."""


def count_strays(near: Nearby, ring: Box, growth: int, stop_count: int) -> int:
    """How many marks do not belong into the barrel, or beside it.

    Args:
        near: what is drawn round a scale.
        ring: the stopper's.
        growth: 1 if values grow along the axis, -1 if they fall.
        stop_count: of the solid lines across the barrel; each has one arrow head.
    """
    shapes = sum(not _is_part(box, shape, near, ring, growth) for box, shape in _list_inside(near, ring))
    dots = sum(not _is_liquid_dot(box, ring, growth) for box in near.dots if _is_inside(box, near, ring))
    strokes = sum(_is_stray_stroke(stroke, near, ring, growth) for stroke in near.strokes)
    heads = sum(
        len(shape.points) == 3
        and _points_at_wall(shape, near)
        and ring.high_mm <= box.low_mm <= ring.high_mm + LABEL_REACH_MM
        and near.first_mm <= box.middle[0] <= near.last_mm
        for box, shape in near.dark
    )
    return shapes + dots + strokes + max(heads - stop_count, 0)


def _points_at_wall(shape: Shape, near: Nearby) -> bool:
    """Whether a triangle has one corner nearest to the barrel. The arrow beside counted lines points along it."""
    depths = sorted(near.axes.measure_depth(near.axes.split(*point)[1], near.scale.wall_mm) for point in shape.points)
    return depths[2] - depths[1] <= EASE_MM < depths[1] - depths[0]


def _list_inside(near: Nearby, ring: Box) -> Iterator[tuple[Box, Shape]]:
    return ((box, shape) for box, shape in (*near.dark, *near.frames, *near.grey) if _is_inside(box, near, ring))


def _is_inside(box: Box, near: Nearby, ring: Box) -> bool:
    """Whether a shape reaches into the bore, between the outermost lines."""
    is_along = box.far_mm > near.first_mm + EASE_MM and box.near_mm < near.last_mm - EASE_MM
    return is_along and box.high_mm > EASE_MM and box.low_mm < ring.high_mm - EASE_MM


def _is_behind(box: Box, ring: Box, growth: int) -> bool:
    """Whether a shape lies behind the stopper's edge, where the rod is; its neck begins under the ring."""
    return box.near_mm >= ring.near_mm - EASE_MM if growth > 0 else box.far_mm <= ring.far_mm + EASE_MM


def _is_part(box: Box, shape: Shape, near: Nearby, ring: Box, growth: int) -> bool:
    is_shell = box.low_mm < 0 and box.high_mm > ring.high_mm
    if box == ring or (is_shell and box.near_mm < near.first_mm and box.far_mm > near.last_mm):
        return True
    is_narrow = box.low_mm > EASE_MM and box.high_mm < ring.high_mm - EASE_MM
    if not is_narrow or not _is_behind(box, ring, growth):
        return False
    is_under_ring = box.near_mm <= ring.far_mm and box.far_mm >= ring.near_mm
    return len(shape.points) == ROD_CORNERS or (len(shape.points) == 4 and is_under_ring)


def _is_liquid_dot(box: Box, ring: Box, growth: int) -> bool:
    return DOT_MM[0] <= box.far_mm - box.near_mm <= DOT_MM[1] and not _is_behind(box, ring, growth)


def _is_stray_stroke(stroke: Stroke, near: Nearby, ring: Box, growth: int) -> bool:
    low_mm, high_mm = near.measure_depths(stroke)
    if high_mm <= 2 * EASE_MM or low_mm >= ring.high_mm - EASE_MM:
        return False
    near_mm, far_mm = sorted((near.place(stroke), near.axes.split(stroke.x2_mm, stroke.y2_mm)[0]))
    if far_mm < near.first_mm - EASE_MM or near_mm > near.last_mm + EASE_MM or near.crosses(stroke):
        return False
    if not (stroke.is_horizontal or stroke.is_vertical):
        return _is_behind(Box(near_mm, far_mm, low_mm, high_mm), ring, growth)
    is_line = abs(low_mm) <= EASE_MM and high_mm <= max(near.scale.lengths_mm) + EASE_MM
    places = near.scale.places_mm
    index = bisect_left(places, near_mm - ON_LINE_MM)
    return not (is_line and index < len(places) and places[index] <= near_mm + ON_LINE_MM)
