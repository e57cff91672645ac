"""What is painted on a page: strokes, shapes, runs of text. Nothing is interpreted yet.

Lengths in mm, x to the right and y downward from the top left corner of the paper; type sizes in pt; grey levels from
0 (black) to 255.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Final, NamedTuple, TypeAlias

from fillcards.readback.model import UnreadableCard
from fillcards.readback.runs import Run

STRAIGHT_EASE_MM: Final = 0.003
CUT_EASE_MM: Final = 0.2


class Stroke(NamedTuple):
    """A straight stroke between two points."""

    x1_mm: float
    y1_mm: float
    x2_mm: float
    y2_mm: float
    width_mm: float
    level: int
    is_dashed: bool

    @property
    def is_horizontal(self) -> bool:
        """Whether both ends are at one height."""
        return abs(self.y1_mm - self.y2_mm) <= STRAIGHT_EASE_MM < abs(self.x1_mm - self.x2_mm)

    @property
    def is_vertical(self) -> bool:
        """Whether one end is above the other."""
        return abs(self.x1_mm - self.x2_mm) <= STRAIGHT_EASE_MM < abs(self.y1_mm - self.y2_mm)

    @property
    def middle(self) -> tuple[float, float]:
        """Half way between its ends."""
        return (self.x1_mm + self.x2_mm) / 2, (self.y1_mm + self.y2_mm) / 2

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of its ink: as wide as it is drawn, and square at its ends."""
        half_mm = self.width_mm / 2
        dx_mm, dy_mm = abs(self.x2_mm - self.x1_mm), abs(self.y2_mm - self.y1_mm)
        length_mm = math.hypot(dx_mm, dy_mm)
        along_mm, across_mm = (half_mm * side / length_mm for side in (dy_mm, dx_mm)) if length_mm else (half_mm,) * 2
        left_mm, right_mm = (self.x1_mm, self.x2_mm) if self.x1_mm < self.x2_mm else (self.x2_mm, self.x1_mm)
        top_mm, bottom_mm = (self.y1_mm, self.y2_mm) if self.y1_mm < self.y2_mm else (self.y2_mm, self.y1_mm)
        return left_mm - along_mm, top_mm - across_mm, right_mm + along_mm, bottom_mm + across_mm


class Shape(NamedTuple):
    """Anything that is not a single straight stroke. ``fill`` and ``outline`` are grey levels, ``None`` for none.

    ``points`` are the corners without repeats; empty for a circle, of which the box says all.
    """

    points: tuple[tuple[float, float], ...]
    left_mm: float
    top_mm: float
    right_mm: float
    bottom_mm: float
    fill: int | None
    outline: int | None
    outline_mm: float
    is_round: bool

    @property
    def middle(self) -> tuple[float, float]:
        """The middle of the box."""
        return (self.left_mm + self.right_mm) / 2, (self.top_mm + self.bottom_mm) / 2


Mark: TypeAlias = Stroke | Shape | Run


class PageMarks(NamedTuple):
    """One page; ``number`` counts from 1. ``painted`` is everything in the order of painting."""

    number: int
    width_mm: float
    height_mm: float
    strokes: tuple[Stroke, ...]
    shapes: tuple[Shape, ...]
    runs: tuple[Run, ...]
    painted: tuple[Mark, ...]


def gather_marks(number: int, width_mm: float, height_mm: float, painted: Iterable[Mark]) -> PageMarks:
    """A page of what is painted on it."""
    painted = tuple(painted)
    return PageMarks(
        *(number, width_mm, height_mm),
        tuple(mark for mark in painted if isinstance(mark, Stroke)),
        tuple(mark for mark in painted if isinstance(mark, Shape)),
        tuple(mark for mark in painted if isinstance(mark, Run)),
        painted,
    )


def make_disc(x_mm: float, y_mm: float, width_mm: float, level: int) -> Shape:
    """What a stroke of no length with round ends paints."""
    half_mm = width_mm / 2
    box = x_mm - half_mm, y_mm - half_mm, x_mm + half_mm, y_mm + half_mm
    return Shape((), *box, level, None, 0.0, is_round=True)


def make_shape(
    points: list[tuple[float, float]], fill: int | None, outline: int | None, width_mm: float, is_curved: bool
) -> Shape:
    """A shape of corners, or of a curve's points, of which only the box says something."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    box = min(xs), min(ys), max(xs), max(ys)
    return Shape(() if is_curved else _drop_repeats(points), *box, fill, outline, width_mm, is_curved)


def _drop_repeats(points: list[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Corners, each once: a closed path may or may not name its first corner again."""
    kept: list[tuple[float, float]] = []
    x, y = float("inf"), 0.0
    for point in points:
        if abs(point[0] - x) >= STRAIGHT_EASE_MM or abs(point[1] - y) >= STRAIGHT_EASE_MM:
            kept.append(point)
            x, y = point
    if len(kept) > 1 and abs(kept[0][0] - x) < STRAIGHT_EASE_MM and abs(kept[0][1] - y) < STRAIGHT_EASE_MM:
        kept.pop()
    return tuple(kept)


def mirror_marks(marks: PageMarks) -> PageMarks:
    """A page as if it were read from left to right: each thing as far from the left as it is from the right."""
    mirrored = (_move(mark, marks.width_mm, 0.0, is_mirrored=True) for mark in marks.painted)
    return gather_marks(marks.number, marks.width_mm, marks.height_mm, mirrored)


def cut_cards(page: PageMarks, size_mm: tuple[float, float], *, is_back: bool) -> list[PageMarks]:
    """The cards of a sheet without its cut marks, row by row; on a back in the order of their fronts."""
    width, height = size_mm
    columns, rows = int((page.width_mm + CUT_EASE_MM) / width), int((page.height_mm + CUT_EASE_MM) / height)
    lefts, tops = [column * width for column in range(columns)], [row * height for row in range(rows)]
    if is_back:
        lefts = [page.width_mm - left - width for left in lefts]
    painted = page.painted
    if (columns, rows) != (1, 1) or page.width_mm > width + 1:
        xs, ys = [*lefts, *(left + width for left in lefts)], [*tops, *(top + height for top in tops)]
        painted = tuple(mark for mark in painted if not (isinstance(mark, Stroke) and _is_cut(mark, xs, ys)))
    cards = [
        gather_marks(page.number, width, height, _cut(painted, left, top, width, height))
        for top in tops
        for left in lefts
    ]
    if sum(len(card.runs) for card in cards) != len(page.runs):
        raise UnreadableCard(f"page {page.number} is no sheet of cards of that size")
    return cards


def _is_cut(stroke: Stroke, xs: list[float], ys: list[float]) -> bool:
    """Whether a stroke stands on an edge of cards."""
    return any(
        abs(one - other) < CUT_EASE_MM and any(abs(one - edge) < CUT_EASE_MM for edge in edges)
        for one, other, edges in ((stroke.x1_mm, stroke.x2_mm, xs), (stroke.y1_mm, stroke.y2_mm, ys))
    )


def _cut(painted: Iterable[Mark], left_mm: float, top_mm: float, width_mm: float, height_mm: float) -> Iterator[Mark]:
    """What stands in a part of a page, as on a page of its own."""
    for mark in painted:
        x, y = (mark.x_mm, mark.y_mm) if isinstance(mark, Run) else mark.middle
        if left_mm <= x <= left_mm + width_mm and top_mm <= y <= top_mm + height_mm:
            yield _move(mark, -left_mm, -top_mm)


def _move(mark: Mark, right_mm: float, down_mm: float, *, is_mirrored: bool = False) -> Mark:
    """A mark elsewhere on a page; of one that is mirrored first, what is left is right."""
    way = -1 if is_mirrored else 1

    def place(x: float, y: float) -> tuple[float, float]:
        return way * x + right_mm, y + down_mm

    match mark:
        case Stroke():
            ends = *place(mark.x1_mm, mark.y1_mm), *place(mark.x2_mm, mark.y2_mm)
            return Stroke(*ends, mark.width_mm, mark.level, mark.is_dashed)
        case Shape():
            (x1, top), (x2, bottom) = place(mark.left_mm, mark.top_mm), place(mark.right_mm, mark.bottom_mm)
            points = tuple(place(*point) for point in mark.points)
            return Shape(points, min(x1, x2), top, max(x1, x2), bottom, *mark[5:])
        case Run():
            x_mm, y_mm = place(mark.right_mm if is_mirrored else mark.x_mm, mark.y_mm)
            return mark._replace(x_mm=x_mm, y_mm=y_mm)
