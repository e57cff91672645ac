"""What an eye would miss or stumble over: words that do not look as they read, marks without ink. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import ceil
from typing import Any, Final

from fillcards.readback.marks import PageMarks, Shape, Stroke
from fillcards.readback.other_faces import LEAST_EM_PX
from fillcards.readback.parts import Box, box_of, describe_mark, is_solid
from fillcards.readback.render import DARK, DPI, FINE_DPI, FINE_MM, LIGHT, Easel, Raster
from fillcards.readback.runs import Run

PLATE_CORNERS: Final = 28
PLATE_EDGE_MM: Final = 0.4
"""A plate is looked at above its words."""
MOST_CORNERS: Final = 8
CLOSEST_DPI: Final = 300
SMALL_PT: Final = 12.0
"""Of smaller letters a coarse look has too few pixels: a point that is covered would not be missed."""
LEAST_GAP_MM: Final = 0.18
"""Between lines closer than this a pixel may have no white of its own."""


def find_seen_faults(marks: PageMarks, page: Any, easel: Easel) -> Iterator[str]:
    """Everything on a page that does not look as its file says.

    Args:
        marks: of the page.
        page: pdfium's own, open.
        easel: renders it.
    """
    runs, narrow = [run for run in marks.runs if run.face is None], list(_list_neighbours(marks.strokes))
    bare: list[Stroke | Shape] = [*marks.strokes, *marks.shapes]
    is_fine = any(apart < FINE_MM for _, _, apart in narrow) or any(run.size_pt < SMALL_PT for run in runs)
    # A stopper may lie between two lines, flanges across a rod.
    solid = [box_of(shape) for shape in marks.shapes if is_solid(shape, 4)]
    solid += [Box(*stroke.box) for stroke in marks.strokes if stroke.is_horizontal or stroke.is_vertical]
    # What falls between two pixels looks like a fault: whatever did not look right is looked at again, and no more.
    for dpi in (*(() if is_fine else (DPI,)), FINE_DPI, CLOSEST_DPI):
        raster = easel.render_page(page, dpi)
        runs = easel.find_blemished(raster, runs)
        bare = [mark for mark in bare if not _has_ink(mark, raster)]
        narrow = [pair for pair in narrow if not _has_gap(pair, raster, solid)]
        if not (runs or bare or narrow):
            break
    for run in (*runs, *_find_odd_others(marks, page, easel)):
        place = f"{run.x_mm:.0f} mm from the left, {run.y_mm:.0f} mm from the top"
        yield f'"{run.text}", {place}, does not look as it reads'
    if bare:
        yield f"{len(bare)} marks have no ink, such as {describe_mark(bare[0])}"
    if narrow:
        yield f"between two lines at {describe_mark(narrow[0][0])} there is no white"


def _find_odd_others(marks: PageMarks, page: Any, easel: Easel) -> list[Run]:
    """Words in other faces that do not look as they read: looked at closely, and once more where that found fault."""
    runs = [run for run in marks.runs if run.face is not None]
    least_pt = min((run.size_pt for run in runs), default=0.0)
    for more in (0, FINE_DPI):
        if runs:
            dpi = max(FINE_DPI, ceil(LEAST_EM_PX * 72 / least_pt)) + more
            runs = easel.find_odd_others(easel.render_page(page, dpi), runs, marks.runs)
    return runs


def _has_gap(pair: tuple[Stroke, Stroke, float], raster: Raster, solid: list[Box]) -> bool:
    """Whether there is white between two lines, or something solid, or less room than white takes."""
    one, other, apart = pair
    if apart - (one.width_mm + other.width_mm) / 2 < LEAST_GAP_MM:
        return True
    x, y = (one.x1_mm + other.x1_mm) / 2, (one.y1_mm + other.y1_mm) / 2
    reach = 0.3 * min(abs(s.x2_mm - s.x1_mm) + abs(s.y2_mm - s.y1_mm) for s in (one, other))
    if one.is_vertical:
        y += reach if one.y2_mm > one.y1_mm else -reach
    else:
        x += reach if one.x2_mm > one.x1_mm else -reach
    return raster.find_level(x, y) >= LIGHT or any(box.holds(x, y, 0.2) for box in solid)


def _list_neighbours(strokes: tuple[Stroke, ...]) -> Iterator[tuple[Stroke, Stroke, float]]:
    """Two level or two upright strokes that start side by side, as lines of a scale do, and how far apart."""
    level = sorted((s for s in strokes if s.is_horizontal), key=lambda s: (round(s.x1_mm, 2), s.y1_mm))
    upright = sorted((s for s in strokes if s.is_vertical), key=lambda s: (round(s.y1_mm, 2), s.x1_mm))
    for one, other in pairwise(level):
        if abs(one.x1_mm - other.x1_mm) < 0.02 and 0.3 < other.y1_mm - one.y1_mm < 2 * FINE_MM:
            yield one, other, other.y1_mm - one.y1_mm
    for one, other in pairwise(upright):
        if abs(one.y1_mm - other.y1_mm) < 0.02 and 0.3 < other.x1_mm - one.x1_mm < 2 * FINE_MM:
            yield one, other, other.x1_mm - one.x1_mm


def _has_ink(mark: Stroke | Shape, raster: Raster) -> bool:
    if isinstance(mark, Stroke):
        part = 0.02 if mark.is_dashed else 0.5
        x, y = mark.x1_mm + part * (mark.x2_mm - mark.x1_mm), mark.y1_mm + part * (mark.y2_mm - mark.y1_mm)
        return raster.find_level(x, y) < DARK
    width, height = mark.right_mm - mark.left_mm, mark.bottom_mm - mark.top_mm
    if mark.fill is None or mark.outline is not None:
        if not mark.points:
            return True
        (x1, y1), (x2, y2) = max(pairwise((*mark.points, mark.points[0])), key=_measure_side)
        return raster.find_level((x1 + x2) / 2, (y1 + y2) / 2) < DARK
    if mark.fill > DARK:
        return True
    if mark.is_round:
        return raster.find_level(mark.left_mm + (0.06 if width > 3.0 else 0.5) * width, mark.middle[1]) < DARK
    if len(mark.points) == PLATE_CORNERS:
        return raster.find_level(mark.middle[0], mark.top_mm + PLATE_EDGE_MM) < DARK
    if len(mark.points) > MOST_CORNERS or min(width, height) < LEAST_GAP_MM:
        return True
    xs, ys = zip(*mark.points, strict=True)
    return raster.find_level(sum(xs) / len(xs), sum(ys) / len(ys)) < DARK


def _measure_side(side: tuple[tuple[float, float], tuple[float, float]]) -> float:
    (x1, y1), (x2, y2) = side
    return abs(x1 - x2) + abs(y1 - y2)
