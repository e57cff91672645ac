"""Syringes of the catalogue, and measures of items, for tests of geometry and pictures."""

from __future__ import annotations

import math
from fractions import Fraction

from support.syringes import build_syringe

from fillcards.catalogue.model import ScaleName
from fillcards.catalogue.scales import load_scales
from fillcards.picture.items import Anchor, Dot, Drawing, Item, Line, Polygon, Text
from fillcards.regimen.model import Syringe
from fillcards.typeface import CAP_HEIGHT_EM, measure_width_mm

Box = tuple[float, float, float, float]
"""Left, top, right and bottom in mm."""

EASE_MM = 1e-6


def make_syringe(scale: str, capacity_ml: str, line_every: str, scale_length_mm: int | None = None) -> Syringe:
    """A syringe with the catalogue's row for that scale."""
    wanted = ScaleName(scale), Fraction(capacity_ml), Fraction(line_every)
    row = next(row for row in load_scales() if (row.scale, row.capacity_ml, row.line_every) == wanted)
    return build_syringe(row, None if scale_length_mm is None else Fraction(scale_length_mm))


ALL_SYRINGES = tuple(make_syringe(row.scale.value, str(row.capacity_ml), str(row.line_every)) for row in load_scales())


def name_syringe(syringe: Syringe) -> str:
    """Scale, capacity and step, to tell cases of a test apart."""
    return f"{syringe.scale.value}-{syringe.capacity_ml}-{syringe.line_every}"


def pick_lines(syringe: Syringe) -> tuple[Fraction, ...]:
    """Lines from end to end: the first two, the last two, and every eleventh between, long, short and numbered ones."""
    last = int(syringe.last_line / syringe.line_every)
    picked = {1, 2, last - 1, last, *range(3, last, 11)}
    return tuple(index * syringe.line_every for index in sorted(picked))


def measure_box(item: Item) -> Box:
    """The box of an item's ink, butt ends and all; a number's from its line to the height of a capital."""
    match item:
        case Line():
            length = math.dist((item.x1_mm, item.y1_mm), (item.x2_mm, item.y2_mm))
            across_x = abs(item.y2_mm - item.y1_mm) / length * item.width_mm / 2
            across_y = abs(item.x2_mm - item.x1_mm) / length * item.width_mm / 2
            left, right = sorted((item.x1_mm, item.x2_mm))
            top, bottom = sorted((item.y1_mm, item.y2_mm))
            return left - across_x, top - across_y, right + across_x, bottom + across_y
        case Polygon():
            half = item.outline_mm / 2
            xs, ys = zip(*item.points_mm, strict=True)
            return min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half
        case Dot():
            half = item.diameter_mm / 2
            return item.x_mm - half, item.y_mm - half, item.x_mm + half, item.y_mm + half
        case Text():
            width = measure_width_mm(item.text, item.size_pt, item.bold)
            left = item.x_mm - width * {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[item.anchor]
            return left, item.y_mm - CAP_HEIGHT_EM * item.size_pt * 25.4 / 72, left + width, item.y_mm


def meet(one: Box, other: Box) -> bool:
    """Whether two boxes share ink."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def is_inside(drawing: Drawing) -> bool:
    """Whether every item lies in the drawing's box, with the whole width of its strokes."""
    boxes = [measure_box(item) for item in drawing.items]
    return (
        min(min(box[:2]) for box in boxes) >= -EASE_MM
        and max(box[2] for box in boxes) <= drawing.width_mm + EASE_MM
        and max(box[3] for box in boxes) <= drawing.height_mm + EASE_MM
    )
