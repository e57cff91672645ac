"""Every mark on a page as the file has it: strokes, filled shapes, runs of text. Nothing is interpreted yet.

Lengths in mm, x to the right and y downward from the top left corner of the paper; type sizes in pt; grey levels from
0 (black) to 255. What cannot be read for certain (pictures, shadings, nested content, slanted or transparent text) is
refused: the reader would not know what it covers or says.
"""

from __future__ import annotations

import ctypes
import math
from collections.abc import Iterator
from typing import Any, Final, NamedTuple

from fillcards.readback.model import UnreadableCard
from fillcards.readback.pdfium import (
    LINECAP_ROUND,
    MM_PER_PT,
    PAGEOBJ_PATH,
    PAGEOBJ_TEXT,
    SEGMENT_BEZIERTO,
    SEGMENT_MOVETO,
    Numbers,
    load_pdfium,
    measure_page_pt,
)
from fillcards.readback.runs import Run, TextReader

MOST_OBJECTS: Final = 20_000
MOST_SEGMENTS: Final = 2_000
CIRCLE_SEGMENTS: Final = 13
"""A circle of four curves: one start, four times three points."""
FURTHEST_MM: Final = 7_000.0
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


class PageMarks(NamedTuple):
    """One page; ``number`` counts from 1. ``painted`` is everything in the order of painting."""

    number: int
    width_mm: float
    height_mm: float
    strokes: tuple[Stroke, ...]
    shapes: tuple[Shape, ...]
    runs: tuple[Run, ...]
    painted: tuple[Stroke | Shape | Run, ...] = ()


def read_page_marks(page: Any, number: int) -> PageMarks:
    """Read a page.

    Args:
        page: pdfium's own, open.
        number: counts from 1; for messages.

    Raises:
        UnreadableCard: something on it cannot be read for certain.
    """
    pdfium = load_pdfium()
    height_pt = measure_page_pt(page)[1]
    paths = _PathReader(height_pt, number)
    runs: list[Run] = []
    painted: list[Stroke | Shape | Run] = []
    count = pdfium.FPDFPage_CountObjects(page)
    if not 0 <= count <= MOST_OBJECTS:
        raise UnreadableCard(f"page {number} has {count} marks")
    with TextReader(page, height_pt, number) as texts:
        items = [pdfium.FPDFPage_GetObject(page, index) for index in range(count)]
        kinds = [pdfium.FPDFPageObj_GetType(item) for item in items]
        texts.expect(item for item, kind in zip(items, kinds, strict=True) if kind == PAGEOBJ_TEXT)
        for item, kind in zip(items, kinds, strict=True):
            if kind == PAGEOBJ_PATH:
                strokes, shapes = len(paths.strokes), len(paths.shapes)
                paths.read(item)
                painted += (*paths.strokes[strokes:], *paths.shapes[shapes:])
            elif kind == PAGEOBJ_TEXT:
                runs += (read := texts.read(item))
                painted += read
            else:
                raise UnreadableCard(f"page {number} holds a picture, a shading or a page within the page")
    width_pt = measure_page_pt(page)[0]
    return PageMarks(
        number,
        width_pt * MM_PER_PT,
        height_pt * MM_PER_PT,
        tuple(paths.strokes),
        tuple(paths.shapes),
        tuple(runs),
        tuple(painted),
    )


class _PathReader:
    """Reads path after path of one page into the same few C variables."""

    def __init__(self, height_pt: float, number: int) -> None:
        self._pdfium = load_pdfium()
        self._height_pt = height_pt
        self._number = number
        self._matrix = Numbers(ctypes.c_float, 6)
        self._point = Numbers(ctypes.c_float, 2)
        self._width = Numbers(ctypes.c_float, 1)
        self._edges = Numbers(ctypes.c_float, 4)
        self._colour = Numbers(ctypes.c_uint, 4)
        self._modes = Numbers(ctypes.c_int, 2)
        self.strokes: list[Stroke] = []
        self.shapes: list[Shape] = []

    def read(self, path: Any) -> None:
        pdfium = self._pdfium
        count = pdfium.FPDFPath_CountSegments(path)
        if not 1 <= count <= MOST_SEGMENTS:
            raise UnreadableCard(f"page {self._number} has a path of {count} points")
        pdfium.FPDFPath_GetDrawMode(path, *self._modes.addresses)
        fill_mode, is_stroked = self._modes.room[:]
        fill = self._read_level(pdfium.FPDFPageObj_GetFillColor, path) if fill_mode else None
        outline = self._read_level(pdfium.FPDFPageObj_GetStrokeColor, path) if is_stroked else None
        if fill is None and outline is None:
            return
        if outline is None and count == CIRCLE_SEGMENTS and self._is_curved(path):
            self.shapes.append(Shape((), *self._read_box(path), fill, None, 0.0, is_round=True))
            return
        pdfium.FPDFPageObj_GetMatrix(path, self._matrix.addresses[0])
        width_mm = 0.0 if outline is None else self._read_width_mm(path)
        for points, is_closed, is_curved in self._list_subpaths(path, count):
            if fill is None and outline is not None and len(points) == 2 and not is_closed:
                if points[0] == points[1] and pdfium.FPDFPageObj_GetLineCap(path) == LINECAP_ROUND:
                    self.shapes.append(make_disc(*points[0], width_mm, outline))
                    continue
                is_dashed = pdfium.FPDFPageObj_GetDashCount(path) > 0
                self.strokes.append(Stroke(*points[0], *points[1], width_mm, outline, is_dashed))
            else:
                self.shapes.append(make_shape(points, fill, outline, width_mm, is_curved))

    def _read_level(self, get_colour: Any, path: Any) -> int:
        get_colour(path, *self._colour.addresses)
        red, green, blue, alpha = self._colour.room[:]
        if alpha != 255:
            raise UnreadableCard(f"page {self._number} has a mark that can be seen through")
        return int(max(red, green, blue))

    def _read_width_mm(self, path: Any) -> float:
        """As it is on the page: the file states it before the page's own matrix."""
        self._pdfium.FPDFPageObj_GetStrokeWidth(path, *self._width.addresses)
        a, b, c, d, _, _ = self._matrix.room[:]
        return float(self._width.room[0] * abs(a * d - b * c) ** 0.5 * MM_PER_PT)

    def _is_curved(self, path: Any) -> bool:
        segment = self._pdfium.FPDFPath_GetPathSegment(path, 1)
        return bool(self._pdfium.FPDFPathSegment_GetType(segment) == SEGMENT_BEZIERTO)

    def _read_box(self, path: Any) -> tuple[float, float, float, float]:
        self._pdfium.FPDFPageObj_GetBounds(path, *self._edges.addresses)
        left, bottom, right, top = self._edges.room[:]
        left_mm, right_mm = left * MM_PER_PT, right * MM_PER_PT
        top_mm, bottom_mm = (self._height_pt - top) * MM_PER_PT, (self._height_pt - bottom) * MM_PER_PT
        # Written so that a value that is not a number fails too.
        if not (
            -FURTHEST_MM < left_mm < FURTHEST_MM
            and -FURTHEST_MM < top_mm < FURTHEST_MM
            and -FURTHEST_MM < right_mm < FURTHEST_MM
            and -FURTHEST_MM < bottom_mm < FURTHEST_MM
        ):
            raise UnreadableCard(f"page {self._number} has a mark far off the paper")
        return left_mm, top_mm, right_mm, bottom_mm

    def _list_subpaths(self, path: Any, count: int) -> Iterator[tuple[list[tuple[float, float]], bool, bool]]:
        """Points of each subpath on the page, whether it is closed, whether it has a curve."""
        pdfium, (x, y), point_room = self._pdfium, self._point.addresses, self._point.room
        a, b, c, d, e, f = self._matrix.room[:]
        points: list[tuple[float, float]] = []
        is_closed = is_curved = False
        for index in range(count):
            segment = pdfium.FPDFPath_GetPathSegment(path, index)
            kind = pdfium.FPDFPathSegment_GetType(segment)
            pdfium.FPDFPathSegment_GetPoint(segment, x, y)
            if kind == SEGMENT_MOVETO and points:
                yield points, is_closed, is_curved
                points, is_closed, is_curved = [], False, False
            is_curved = is_curved or kind == SEGMENT_BEZIERTO
            u, v = point_room[:]
            point = (a * u + c * v + e) * MM_PER_PT, (self._height_pt - (b * u + d * v + f)) * MM_PER_PT
            # Written so that a value that is not a number fails too.
            if not (abs(point[0]) < FURTHEST_MM and abs(point[1]) < FURTHEST_MM):
                raise UnreadableCard(f"page {self._number} has a mark far off the paper")
            points.append(point)
            if count > 2 and pdfium.FPDFPathSegment_GetClose(segment):
                is_closed = True
        yield points, is_closed, is_curved


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
    return Shape(
        () if is_curved else drop_repeats(points),
        *(min(xs), min(ys), max(xs), max(ys)),
        *(fill, outline, width_mm, is_curved),
    )


def drop_repeats(points: list[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
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
    width_mm = marks.width_mm
    strokes = (s._replace(x1_mm=width_mm - s.x1_mm, x2_mm=width_mm - s.x2_mm) for s in marks.strokes)
    shapes = (
        s._replace(
            points=tuple((width_mm - x, y) for x, y in s.points),
            left_mm=width_mm - s.right_mm,
            right_mm=width_mm - s.left_mm,
        )
        for s in marks.shapes
    )
    runs = (run._replace(x_mm=width_mm - run.right_mm) for run in marks.runs)
    return marks._replace(strokes=tuple(strokes), shapes=tuple(shapes), runs=tuple(runs), painted=())


def cut_cards(page: PageMarks, size_mm: tuple[float, float], *, is_back: bool) -> list[PageMarks]:
    """The cards of a sheet without its cut marks, row by row; on a back in the order of their fronts."""
    width, height = size_mm
    columns, rows = int((page.width_mm + CUT_EASE_MM) / width), int((page.height_mm + CUT_EASE_MM) / height)
    edges = [index * width for index in range(columns + 1)], [index * height for index in range(rows + 1)]
    if is_back:
        edges = [page.width_mm - x for x in edges[0]], edges[1]
    kept = [s for s in page.strokes if not (_is_on(s.x1_mm, s.x2_mm, edges[0]) or _is_on(s.y1_mm, s.y2_mm, edges[1]))]
    clean = page._replace(
        strokes=tuple(kept) if (columns, rows) != (1, 1) or page.width_mm > width + 1 else page.strokes
    )
    cards = []
    for row in range(rows):
        for column in range(columns):
            left = page.width_mm - (column + 1) * width if is_back else column * width
            cards.append(_cut_marks(clean, left, row * height, width, height))
    if sum(len(card.runs) for card in cards) != len(page.runs):
        raise UnreadableCard(f"page {page.number} is no sheet of cards of that size")
    return cards


def _is_on(one: float, other: float, edges: list[float]) -> bool:
    return abs(one - other) < CUT_EASE_MM and any(abs(one - edge) < CUT_EASE_MM for edge in edges)


def _cut_marks(marks: PageMarks, left_mm: float, top_mm: float, width_mm: float, height_mm: float) -> PageMarks:
    """What stands in a part of a page, as a page of its own."""

    def is_inside(x: float, y: float) -> bool:
        return left_mm <= x <= left_mm + width_mm and top_mm <= y <= top_mm + height_mm

    strokes = tuple(
        s._replace(x1_mm=s.x1_mm - left_mm, x2_mm=s.x2_mm - left_mm, y1_mm=s.y1_mm - top_mm, y2_mm=s.y2_mm - top_mm)
        for s in marks.strokes
        if is_inside((s.x1_mm + s.x2_mm) / 2, (s.y1_mm + s.y2_mm) / 2)
    )
    shapes = tuple(
        s._replace(
            points=tuple((x - left_mm, y - top_mm) for x, y in s.points),
            left_mm=s.left_mm - left_mm,
            right_mm=s.right_mm - left_mm,
            top_mm=s.top_mm - top_mm,
            bottom_mm=s.bottom_mm - top_mm,
        )
        for s in marks.shapes
        if is_inside(*s.middle)
    )
    runs = tuple(
        run._replace(x_mm=run.x_mm - left_mm, y_mm=run.y_mm - top_mm)
        for run in marks.runs
        if is_inside(run.x_mm, run.y_mm)
    )
    return PageMarks(marks.number, width_mm, height_mm, strokes, shapes, runs)
