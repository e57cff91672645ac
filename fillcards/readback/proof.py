"""What an eye would miss or stumble over: words that do not look as they read, marks without ink. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import ceil
from typing import Any, Final

from fillcards.readback.marks import PageMarks, Shape, Stroke
from fillcards.readback.other_faces import LEAST_EM_PX
from fillcards.readback.parts import describe_mark
from fillcards.readback.render import DARK, DPI, FINE_DPI, Easel, Raster
from fillcards.readback.runs import Run

PLATE_CORNERS: Final = 28
PLATE_EDGE_MM: Final = 0.4
"""A plate is looked at above its words."""
MOST_CORNERS: Final = 8
CLOSER_DPI: Final = (180, 200, 300)
"""Where a letter falls between two pixels depends on their size: in the second look about one word in 150 does, in the
next two hardly any.
"""
SMALL_PT: Final = 12.0
"""Of smaller letters a coarse look has too few pixels: a point that is covered would not be missed."""
LEAST_PIXEL_MM: Final = 0.18
"""What is narrower may leave no pixel dark."""


def find_seen_faults(marks: PageMarks, page: Any, easel: Easel) -> Iterator[str]:
    """Everything on a page that does not look as its file says.

    Args:
        marks: of the page.
        page: pdfium's own, open.
        easel: renders it.
    """
    runs: Sequence[Run] = [run for run in marks.runs if run.face is None]
    bare: Sequence[Stroke | Shape] = (*marks.strokes, *marks.shapes)
    is_fine = any(run.size_pt < SMALL_PT for run in runs)
    # What falls between two pixels looks like a fault: whatever did not look right is looked at again.
    for dpi in (*(() if is_fine else (DPI,)), FINE_DPI, *CLOSER_DPI):
        raster = easel.render_page(page, dpi)
        runs = easel.find_blemished(raster, runs)
        bare = [mark for mark in bare if not _has_ink(mark, raster)]
        if not (runs or bare):
            break
    for run in (*runs, *_find_odd_others(marks, page, easel)):
        place = f"{run.x_mm:.0f} mm from the left, {run.y_mm:.0f} mm from the top"
        yield f'"{run.text}", {place}, does not look as it reads'
    if bare:
        yield f"{len(bare)} marks have no ink, such as {describe_mark(bare[0])}"


def _find_odd_others(marks: PageMarks, page: Any, easel: Easel) -> list[Run]:
    """Words in other faces that do not look as they read: looked at closely, and once more where that found fault."""
    runs = [run for run in marks.runs if run.face is not None]
    least_pt = min((run.size_pt for run in runs), default=0.0)
    for more in (0, FINE_DPI):
        if runs:
            dpi = max(FINE_DPI, ceil(LEAST_EM_PX * 72 / least_pt)) + more
            runs = easel.find_odd_others(easel.render_page(page, dpi), runs, marks.runs)
    return runs


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
    if len(mark.points) > MOST_CORNERS or min(width, height) < LEAST_PIXEL_MM:
        return True
    xs, ys = zip(*mark.points, strict=True)
    return raster.find_level(sum(xs) / len(xs), sum(ys) / len(ys)) < DARK


def _measure_side(side: tuple[tuple[float, float], tuple[float, float]]) -> float:
    (x1, y1), (x2, y2) = side
    return abs(x1 - x2) + abs(y1 - y2)
