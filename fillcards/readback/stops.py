"""The marks on a scale that say where to stop, with their numbers; and the picture as a whole. Lengths in mm.

Knows nothing of medicines and doses.
"""

from __future__ import annotations

from typing import NamedTuple

from fillcards.readback.barrels import (
    LiquidMark,
    count_dots,
    find_growth,
    find_liquid,
    find_ring,
    has_needle,
    is_whole,
)
from fillcards.readback.conventions import (
    ARROW_BAR_LEAST_MM,
    LABEL_REACH_MM,
    ON_LINE_MM,
    TAG_OUTLINE_LEAST_MM,
    TIP_WIDTHS_MM,
)
from fillcards.readback.marks import PageMarks, Stroke
from fillcards.readback.model import Liquid, MarkStyle
from fillcards.readback.nearby import EASE_MM, Box, Nearby
from fillcards.readback.runs import Run
from fillcards.readback.scale_model import Scale
from fillcards.readback.spoken import parse_card_number
from fillcards.readback.strays import count_strays


class DrawnStop(NamedTuple):
    """A stop line across the barrel. Places along; ``tip_mm`` is how deep past the wall the line ends."""

    place_mm: float
    tip_mm: float
    style: MarkStyle
    label: Run | None
    stroke: Stroke


class DrawnPassed(NamedTuple):
    """A dashed line across the barrel, with the number at the end of its leader."""

    place_mm: float
    label: Run | None
    stroke: Stroke


class DrawnPicture(NamedTuple):
    """Everything that was found on one scale, in mm.

    Attributes:
        growth: 1 if values grow along the axis, -1 if they fall.
        edge_mm: along, the edge of the stopper's ring that faces the zero line.
        liquid_marks: every mark of the liquid's pattern.
        strays: marks in the barrel that belong to nothing.
    """

    scale: Scale
    growth: int
    is_whole: bool
    has_needle: bool
    stops: tuple[DrawnStop, ...]
    passed: tuple[DrawnPassed, ...]
    edge_mm: float | None
    liquid: Liquid
    liquid_marks: tuple[LiquidMark, ...]
    counted_dots: int
    strays: int

    @property
    def runs(self) -> tuple[Run, ...]:
        """The numbers that belong to the picture."""
        labels = [stop.label for stop in self.stops] + [mark.label for mark in self.passed]
        return (*(number.run for number in self.scale.numbers), *(label for label in labels if label is not None))


def read_picture(scale: Scale, page: PageMarks) -> DrawnPicture:
    """Find everything drawn on a scale."""
    near = Nearby(scale, page)
    across = [stroke for stroke in near.strokes if near.crosses(stroke)]
    depth_mm = max((near.measure_length(stroke) for stroke in across), default=0.0)
    ring = find_ring(near, depth_mm)
    solid = [stroke for stroke in across if not stroke.is_dashed]
    growth = find_growth(near, ring, [near.place(stroke) for stroke in solid])
    liquid, liquid_marks = find_liquid(near, depth_mm)
    return DrawnPicture(
        scale=scale,
        growth=growth,
        is_whole=is_whole(near),
        has_needle=has_needle(near, growth),
        stops=tuple(_read_stop(near, stroke) for stroke in solid),
        passed=tuple(_read_passed(near, stroke) for stroke in across if stroke.is_dashed),
        edge_mm=None if ring is None else (ring.near_mm if growth > 0 else ring.far_mm),
        liquid=liquid,
        liquid_marks=liquid_marks,
        counted_dots=count_dots(near),
        strays=0 if ring is None else count_strays(near, ring, growth, len(solid)),
    )


def _read_stop(near: Nearby, stroke: Stroke) -> DrawnStop:
    place_mm = near.place(stroke)
    tip_mm = near.measure_depths(stroke)[1]
    style, near_mm = _find_style(near, place_mm, tip_mm)
    return DrawnStop(place_mm, tip_mm, style, _find_label(near, place_mm, near_mm, bold=True), stroke)


def _find_style(near: Nearby, place_mm: float, tip_mm: float) -> tuple[MarkStyle, float]:
    """The form of the mark at a stop, and from which depth on its number stands."""
    head = _find_head(near, place_mm, tip_mm)
    if head is None:
        return MarkStyle.NONE, tip_mm
    is_tag = any(
        shape.outline_mm >= TAG_OUTLINE_LEAST_MM
        and len(shape.points) == 4
        and abs(box.middle[0] - place_mm) <= EASE_MM
        and abs(box.low_mm - head.high_mm) <= shape.outline_mm
        for box, shape in near.frames
    )
    bars = [stroke for stroke in near.strokes if _is_bar(near, stroke, place_mm, head.high_mm)]
    if is_tag is bool(bars):
        return MarkStyle.NONE, head.high_mm
    if is_tag:
        return MarkStyle.TOTAL, head.high_mm
    return MarkStyle.FIRST, max(near.measure_depths(bar)[1] for bar in bars)


def _find_head(near: Nearby, place_mm: float, tip_mm: float) -> Box | None:
    """The dark triangle whose tip is at the end of the stop line."""
    for box, shape in near.dark:
        is_there = abs(box.low_mm - tip_mm) <= EASE_MM and abs(box.middle[0] - place_mm) <= EASE_MM
        if len(shape.points) == 3 and is_there and TIP_WIDTHS_MM[0] <= box.far_mm - box.near_mm <= TIP_WIDTHS_MM[1]:
            return box
    return None


def _is_bar(near: Nearby, stroke: Stroke, place_mm: float, from_mm: float) -> bool:
    if stroke.width_mm < ARROW_BAR_LEAST_MM or abs(near.place(stroke) - place_mm) > EASE_MM:
        return False
    if stroke.is_horizontal is not near.axes.is_upright:
        return False
    return abs(near.measure_depths(stroke)[0] - from_mm) <= 0.5


def _read_passed(near: Nearby, stroke: Stroke) -> DrawnPassed:
    """The dashed line; its number stands at the end of the leader that goes on from it."""
    place_mm, depth_mm = near.place(stroke), near.measure_depths(stroke)[1]
    for leader in near.strokes:
        if not leader.is_dashed:
            continue
        ends = [near.axes.split(*end) for end in ((leader.x1_mm, leader.y1_mm), (leader.x2_mm, leader.y2_mm))]
        depths = [near.axes.measure_depth(across, near.scale.wall_mm) for _, across in ends]
        start, end = (0, 1) if depths[0] < depths[1] else (1, 0)
        if abs(depths[start] - depth_mm) <= EASE_MM and abs(ends[start][0] - place_mm) <= EASE_MM:
            return DrawnPassed(place_mm, _find_label(near, ends[end][0], depths[end], bold=False), stroke)
    return DrawnPassed(place_mm, None, stroke)


def _find_label(near: Nearby, place_mm: float, from_mm: float, *, bold: bool) -> Run | None:
    """The nearest number beyond a mark whose middle is at the mark."""
    reachable: list[tuple[float, Run]] = []
    for run in near.runs:
        if run.bold is not bold or parse_card_number(run.text) is None:
            continue
        along_mm, depth_mm = near.place_label(run)
        if abs(along_mm - place_mm) <= ON_LINE_MM and -EASE_MM <= depth_mm - from_mm <= LABEL_REACH_MM:
            reachable.append((depth_mm, run))
    return min(reachable, key=lambda found: found[0])[1] if reachable else None
