"""Syringes, planned fills and measures of items for tests of geometry and pictures, made without file or rules."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import strategies as st
from support.syringes import build_syringe

from fillcards.catalogue.model import Motion, Route, ScaleName
from fillcards.catalogue.scales import load_scales
from fillcards.geometry import count_to
from fillcards.picture.items import Anchor, Dot, Drawing, Item, Line, Polygon, Text
from fillcards.plan.model import Draw, FillPlan
from fillcards.quantities import Quantity, Unit
from fillcards.regimen.model import BarrelDirection, Fill, Medicine, Syringe
from fillcards.typeface import CAP_HEIGHT_EM, measure_width_mm

Box = tuple[float, float, float, float]
"""Left, top, right and bottom in mm."""

MEDICINE = Medicine(
    *("key", None, "medicine E", None, None, "clear", Motion.NONE, True, Route.UNDER_THE_SKIN, ()),
    in_use_days=28,
)


def make_syringe(scale: str, capacity_ml: str, line_every: str, scale_length_mm: int | None = None) -> Syringe:
    """A syringe with the catalogue's row for that scale."""
    wanted = ScaleName(scale), Fraction(capacity_ml), Fraction(line_every)
    row = next(row for row in load_scales() if (row.scale, row.capacity_ml, row.line_every) == wanted)
    return build_syringe(row, None if scale_length_mm is None else Fraction(scale_length_mm))


ALL_SYRINGES = tuple(make_syringe(row.scale.value, str(row.capacity_ml), str(row.line_every)) for row in load_scales())


def make_fill(syringe: Syringe, *stops: str | Fraction) -> FillPlan:
    """A fill of one or two draws that end on the given lines."""
    draws = []
    start = Fraction(0)
    for text in stops:
        stop = Fraction(text)
        dose = Quantity(stop - start, Unit.UNITS)
        draws.append(Draw(MEDICINE, dose, stop - start, start, stop, count_to(syringe, stop), None, None))
        start = stop
    return FillPlan(1, Fill("before breakfast", ()), tuple(draws), ())


@st.composite
def make_filled(draw: st.DrawFn, least_draws: int = 1) -> tuple[Syringe, FillPlan, BarrelDirection]:
    """Any scale of the catalogue, one or two stops on its lines, any direction."""
    syringe = draw(st.sampled_from(ALL_SYRINGES))
    last = int(syringe.last_line / syringe.line_every)
    lines = draw(st.lists(st.integers(1, last), min_size=least_draws, max_size=2, unique=True))
    stops = (line * syringe.line_every for line in sorted(lines))
    return syringe, make_fill(syringe, *stops), draw(st.sampled_from(BarrelDirection))


def measure_box(item: Item) -> Box:
    """The box of an item's ink, butt ends and all; a number's from its line to the height of a capital."""
    match item:
        case Line():
            length = ((item.x2_mm - item.x1_mm) ** 2 + (item.y2_mm - item.y1_mm) ** 2) ** 0.5
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


def turn_up(item: Item, direction: BarrelDirection, width_mm: float, height_mm: float) -> Item:
    """A line, shape or dot of a turned picture as it lies in the picture with the needle up."""

    def turn(x_mm: float, y_mm: float) -> tuple[float, float]:
        return {
            BarrelDirection.NEEDLE_UP: (x_mm, y_mm),
            BarrelDirection.NEEDLE_LEFT: (height_mm - y_mm, x_mm),
            BarrelDirection.NEEDLE_RIGHT: (y_mm, width_mm - x_mm),
        }[direction]

    match item:
        case Line():
            return Line(
                *turn(item.x1_mm, item.y1_mm), *turn(item.x2_mm, item.y2_mm), item.width_mm, item.ink, item.dash_mm
            )
        case Polygon():
            return item._replace(points_mm=tuple(turn(*point) for point in item.points_mm))
        case Dot():
            return Dot(*turn(item.x_mm, item.y_mm), item.diameter_mm, item.ink)
    raise TypeError("text is never turned")


def turn_all_up(drawing: Drawing, direction: BarrelDirection) -> list[Item]:
    """All but the text, as with the needle up."""
    return [
        turn_up(item, direction, drawing.width_mm, drawing.height_mm)
        for item in drawing.items
        if not isinstance(item, Text)
    ]


def find_scale(items: list[Item]) -> list[Line]:
    """The scale's lines, from the zero line on: the thin, level, solid lines that start at the same wall."""
    level = [item for item in items if isinstance(item, Line) and not item.dash_mm and item.y1_mm == item.y2_mm]
    wall_mm = min(item.x1_mm for item in level)
    full = max(item.x2_mm for item in level if item.x1_mm == wall_mm)
    scale = [item for item in level if item.x1_mm == wall_mm and item.x2_mm < full]
    return sorted(scale, key=lambda line: line.y1_mm)
