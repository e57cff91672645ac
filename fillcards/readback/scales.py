"""Finding the scales of a page: graduation lines that start at one wall, evenly spaced, with their numbers beside them.

Works in two axes: *along* the barrel (square to the lines) and *across* it (along the lines). Lengths in mm. A scale is
what its lines and numbers say; nothing is known here of syringes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import cmp_to_key
from itertools import pairwise
from statistics import median
from typing import Final

from fillcards.readback.conventions import (
    DARKEST_GREY,
    LINE_WIDTHS_MM,
    NUMBER_REACH_MM,
    ON_LINE_MM,
    SCALE_EASE_MM,
)
from fillcards.readback.marks import PageMarks, Stroke
from fillcards.readback.runs import Run
from fillcards.readback.scale_model import Axes, NumberAt, Scale
from fillcards.readback.spoken import parse_card_number

WALL_EASE_MM: Final = 0.006
"""Lines that start at one wall start at the same place, but for what a program that saves anew rounds."""
GAP_EASE: Final = 0.02
"""Gaps of one scale are equal to this part of a gap, or to ``WALL_EASE_MM``."""
LEAST_LINES: Final = 3
MOST_TO_MEDIAN: Final = 2.5
"""A graduation line is no longer than this, in terms of most of them; a stop line is."""
REACH_MM: Final = 20.0
"""What belongs to a scale is no further past its outermost lines than this."""
ROW_MM: Final = 40.0


def find_scales(page: PageMarks) -> tuple[Scale, ...]:
    """Every scale of a page, in the order of their places."""
    numbers = [(value, run) for run in page.runs if (value := parse_card_number(run.text)) is not None]
    found = []
    for axes, wall_mm, strokes in _group_by_wall(page.strokes):
        for lines in _split_evenly(axes, strokes):
            beside = _find_numbers(axes, wall_mm, [place for place, _, _ in lines], numbers)
            if beside:
                found.append(_make_scale(axes, wall_mm, lines, beside))
    found = _drop_borrowed(found)
    return tuple(_limit_reach(scale, found) for scale in sorted(found, key=cmp_to_key(_compare_places)))


def _drop_borrowed(scales: list[Scale]) -> list[Scale]:
    """Without those whose numbers are another scale's that stands level with them, as lines to write on may."""
    kept: list[Scale] = []
    taken: set[int] = set()
    for scale in sorted(scales, key=lambda scale: -len(scale.numbers)):
        own = {id(number.run) for number in scale.numbers}
        if not own <= taken:
            kept.append(scale)
            taken |= own
    return kept


def _limit_reach(scale: Scale, others: list[Scale]) -> Scale:
    """Half way to the scales that stand in one row with it."""
    near_mm, far_mm = scale.reach_mm
    for other in others:
        if other.axes.is_upright is not scale.axes.is_upright or abs(other.wall_mm - scale.wall_mm) > ROW_MM:
            continue
        if other.places_mm[0] > scale.places_mm[-1]:
            far_mm = min(far_mm, (scale.places_mm[-1] + other.places_mm[0]) / 2)
        elif other.places_mm[-1] < scale.places_mm[0]:
            near_mm = max(near_mm, (scale.places_mm[0] + other.places_mm[-1]) / 2)
    return scale._replace(reach_mm=(near_mm, far_mm))


def _compare_places(one: Scale, other: Scale) -> int:
    """In the order of reading: from top to bottom, and from left to right where two stand beside each other."""
    is_below = one.bottom_mm <= other.top_mm or other.bottom_mm <= one.top_mm
    distance_mm = one.top_mm - other.top_mm if is_below else one.left_mm - other.left_mm
    return (distance_mm > 0) - (distance_mm < 0)


def _group_by_wall(strokes: Iterable[Stroke]) -> Iterator[tuple[Axes, float, list[Stroke]]]:
    """Thin dark strokes that share an end: each is looked at from both of its ends."""
    ends: dict[Axes, list[tuple[float, Stroke]]] = defaultdict(list)
    for stroke in strokes:
        if not _may_be_graduation(stroke):
            continue
        upright = stroke.is_horizontal
        across = sorted((stroke.x1_mm, stroke.x2_mm) if upright else (stroke.y1_mm, stroke.y2_mm))
        ends[Axes(upright, 1)].append((across[0], stroke))
        ends[Axes(upright, -1)].append((across[1], stroke))
    for axes, found in ends.items():
        found.sort(key=lambda end: end[0])
        start = 0
        for index in range(1, len(found) + 1):
            if index == len(found) or found[index][0] - found[index - 1][0] > WALL_EASE_MM:
                if index - start >= LEAST_LINES:
                    yield axes, median(place for place, _ in found[start:index]), [s for _, s in found[start:index]]
                start = index


def _may_be_graduation(stroke: Stroke) -> bool:
    least_mm, most_mm = LINE_WIDTHS_MM
    is_line = not stroke.is_dashed and stroke.level <= DARKEST_GREY and least_mm <= stroke.width_mm <= most_mm
    return is_line and (stroke.is_horizontal or stroke.is_vertical)


def _split_evenly(axes: Axes, strokes: list[Stroke]) -> Iterator[list[tuple[float, float, float]]]:
    """Evenly spaced stretches of (place, length, width); a stop line on a graduation line is left out."""
    lines: dict[float, tuple[float, float, float]] = {}
    lengths_mm = [abs(stroke.x1_mm - stroke.x2_mm) + abs(stroke.y1_mm - stroke.y2_mm) for stroke in strokes]
    longest_mm = MOST_TO_MEDIAN * median(lengths_mm)
    for stroke, length_mm in zip(strokes, lengths_mm, strict=True):
        if length_mm > longest_mm:
            continue
        along_mm, _ = axes.split(stroke.x1_mm, stroke.y1_mm)
        key = round(along_mm, 2)
        # A stop line lies on a graduation line, which is the shorter of the two.
        if key not in lines or length_mm < lines[key][1]:
            lines[key] = (along_mm, length_mm, stroke.width_mm)
    stretch: list[tuple[float, float, float]] = []
    for line in sorted(lines.values()):
        if len(stretch) > 1:
            gap_mm = stretch[1][0] - stretch[0][0]
            if abs(line[0] - stretch[-1][0] - gap_mm) > max(GAP_EASE * gap_mm, WALL_EASE_MM):
                if len(stretch) >= LEAST_LINES:
                    yield stretch
                stretch = []
        stretch.append(line)
    if len(stretch) >= LEAST_LINES:
        yield stretch


def _find_numbers(
    axes: Axes, wall_mm: float, places_mm: list[float], numbers: list[tuple[Fraction, Run]]
) -> tuple[NumberAt, ...]:
    """Numbers on the other side of the wall whose middle is at a line."""
    found: dict[int, NumberAt] = {}
    for value, run in numbers:
        along_mm, edge_mm = _place_number(axes, run)
        reach_mm = -axes.measure_depth(edge_mm, wall_mm)
        if not NUMBER_REACH_MM[0] <= reach_mm <= NUMBER_REACH_MM[1]:
            continue
        index = min(range(len(places_mm)), key=lambda i: abs(places_mm[i] - along_mm))
        off_mm = along_mm - places_mm[index]
        if abs(off_mm) <= ON_LINE_MM:
            found[index] = NumberAt(value, index, off_mm, run)
    return tuple(found[index] for index in sorted(found))


def _place_number(axes: Axes, run: Run) -> tuple[float, float]:
    """Along, the middle of a number; across, its edge that faces the lines. Digits are as high as capitals."""
    height_mm = run.height_mm
    if axes.is_upright:
        return run.y_mm - height_mm / 2, run.right_mm if axes.inward > 0 else run.x_mm
    return run.x_mm + run.width_mm / 2, run.y_mm if axes.inward > 0 else run.y_mm - height_mm


def _make_scale(
    axes: Axes, wall_mm: float, lines: list[tuple[float, float, float]], numbers: tuple[NumberAt, ...]
) -> Scale:
    step = _find_step(numbers)
    return Scale(
        axes=axes,
        wall_mm=wall_mm,
        places_mm=tuple(place for place, _, _ in lines),
        lengths_mm=tuple(length for _, length, _ in lines),
        numbers=numbers,
        width_mm=median(width for _, _, width in lines),
        reach_mm=(lines[0][0] - REACH_MM, lines[-1][0] + REACH_MM),
        step=step,
        is_consistent=step is None or _is_consistent(numbers, step, lines),
    )


def _find_step(numbers: tuple[NumberAt, ...]) -> Fraction | None:
    """What one gap is worth: the value most pairs of neighbouring numbers agree on."""
    if len(numbers) < 2:
        return None
    steps = [(b.value - a.value) / (b.line - a.line) for a, b in pairwise(numbers)]
    return max(steps, key=steps.count)


def _is_consistent(numbers: tuple[NumberAt, ...], step: Fraction, lines: list[tuple[float, float, float]]) -> bool:
    first = numbers[0]
    exact = all(number.value == first.value + step * (number.line - first.line) for number in numbers)
    gap_mm = (lines[-1][0] - lines[0][0]) / (len(lines) - 1)
    even = all(abs(place - lines[0][0] - gap_mm * index) <= SCALE_EASE_MM for index, (place, _, _) in enumerate(lines))
    return exact and even and step != 0
