"""Where the ink of words stands, contour by contour, and what of a page it touches, by boxes."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from fontTools.pens.boundsPen import ControlBoundsPen
from fontTools.svgLib import parse_path

from fillcards.layout.model import Page
from fillcards.output.svg import write_run_path
from fillcards.picture.items import Anchor, Item, Line, Polygon, Text
from fillcards.typeface import measure_width_mm

Extent = tuple[float, float, float, float]
_SHARE_LEFT: Final = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}
_LEVEL_MM: Final = 0.01


def list_contours(text: Text) -> list[Extent]:
    """Left, top, right and bottom of each contour of a run."""
    share = _SHARE_LEFT[text.anchor]
    left_mm = text.x_mm - share * measure_width_mm(text.text, text.size_pt, text.bold, text.language)
    path = write_run_path(text.text, left_mm, text.y_mm, text.size_pt, text.bold, text.language)
    extents = []
    for contour in path.split("M")[1:]:
        pen = ControlBoundsPen(None)
        parse_path(f"M{contour}", pen)
        extents.append(pen.bounds)
    return extents


def find_touched(page: Page, letters: re.Pattern[str], near_mm: float) -> Iterator[str]:
    """Words with such letters that are nearer than that to a level edge or rule, or to a figure of a stop."""
    items = [item for placed in page.placed for item in placed.items]
    edges = list(_list_edges(items))
    texts = [item for item in items if isinstance(item, Text)]
    figures = [item for item in texts if re.fullmatch("[0-9.]+", item.text) and item.bold]
    for text in texts:
        if not letters.search(text.text):
            continue
        others = [extent for figure in figures if figure.size_pt > 2 * text.size_pt for extent in list_contours(figure)]
        for extent in list_contours(text):
            if any(_meets(extent, other, near_mm) for other in (*edges, *others)):
                yield f'"{text.text}" at {extent[0]:.1f}, {extent[1]:.1f}'
                break


def _list_edges(items: Sequence[Item]) -> Iterator[Extent]:
    for item in items:
        if isinstance(item, Line) and abs(item.y1_mm - item.y2_mm) < _LEVEL_MM:
            half_mm = item.width_mm / 2
            left_mm, right_mm = sorted((item.x1_mm, item.x2_mm))
            yield left_mm, item.y1_mm - half_mm, right_mm, item.y1_mm + half_mm
        elif isinstance(item, Polygon):
            for (one_mm, top_mm), (other_mm, bottom_mm) in pairwise((*item.points_mm, item.points_mm[0])):
                if abs(top_mm - bottom_mm) < _LEVEL_MM:
                    yield min(one_mm, other_mm), top_mm, max(one_mm, other_mm), bottom_mm


def _meets(one: Extent, other: Extent, near_mm: float) -> bool:
    across = one[0] < other[2] and other[0] < one[2]
    return across and one[1] < other[3] + near_mm and other[1] < one[3] + near_mm
