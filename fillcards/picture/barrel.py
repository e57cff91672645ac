"""The enlarged barrel: what the reader holds and sees when one draw is done.

One picture a draw. After the first: liquid up to the first line in one pattern, and that line marked. After the
second: the mixture up to the total line in another pattern, and the first line left as a lighter mark. There is no
picture of the air, on purpose: its line is the classic wrong place to stop.
"""

from __future__ import annotations

from fillcards.geometry import measure_distance_mm, place_lines
from fillcards.picture.barrel_frame import (
    NEEDLE_PART_MM,
    PLUNGER_PART_MM,
    BarrelFrame,
    build_frame,
)
from fillcards.picture.barrel_parts import (
    SHOULDER_MM,
    WALL_PAST_LAST_MM,
    draw_numbers,
    draw_plunger,
    draw_scale,
    draw_shell,
)
from fillcards.picture.items import Drawing, Item
from fillcards.picture.orientation import Figures, measure_span_mm
from fillcards.picture.patterns import FIRST_PATTERN, MIXTURE_PATTERN, Region, draw_pattern
from fillcards.picture.stop_marks import (
    build_label,
    build_passed_label,
    draw_passed_stop,
    draw_stop,
    measure_mark_depth_mm,
    measure_mark_span_mm,
    place_passed_label_mm,
)
from fillcards.plan.model import FillPlan
from fillcards.regimen.model import BarrelDirection, Syringe


def draw_barrel(
    fill: FillPlan,
    syringe: Syringe,
    draw_index: int,
    *,
    scale_length_mm: float,
    direction: BarrelDirection,
    number_pt: float = 14,
) -> Drawing:
    """The barrel after one draw of a fill.

    Args:
        fill: the planned fill; its stops are lines of ``syringe``.
        syringe: whose scale is drawn.
        draw_index: 0 for the first (or only) draw, 1 for the second.
        scale_length_mm: from zero line to last line, on paper.
        direction: where the needle points.
        number_pt: size of the scale's numbers; labels are larger.

    Returns:
        A drawing of the size ``measure_barrel_size_mm`` says, the same for both draws of a fill.

    Raises:
        IndexError: if the fill has no such draw.
        ValueError: if a stop is not on the scale.
    """
    drawn = fill.draws[draw_index]
    frame = _build_frame(fill, syringe, scale_length_mm, direction, number_pt)
    edge_mm = frame.locate(drawn.stop_line)
    label = build_label(drawn.stop_line, number_pt)
    liquid = Region(frame.zero_mm - SHOULDER_MM, edge_mm, frame.strip_mm, frame.far_inner_mm)
    pattern = MIXTURE_PATTERN if draw_index else FIRST_PATTERN
    items: list[Item] = [*draw_pattern(pattern, liquid, frame.orientation)]
    items += draw_plunger(frame, edge_mm)
    if draw_index:
        passed = fill.first.stop_line
        items += draw_passed_stop(frame, passed, build_passed_label(passed, number_pt), drawn.stop_line, label)
    items += draw_scale(frame)
    items += draw_shell(frame)
    items += draw_numbers(frame, number_pt)
    items += draw_stop(frame, drawn.stop_line, label, is_total=draw_index > 0)
    return Drawing(*frame.orientation.size_mm, tuple(items))


def measure_barrel_size_mm(
    fill: FillPlan, syringe: Syringe, *, scale_length_mm: float, direction: BarrelDirection, number_pt: float = 14
) -> tuple[float, float]:
    """Width and height of the pictures of a fill, without drawing them."""
    return _build_frame(fill, syringe, scale_length_mm, direction, number_pt).orientation.size_mm


def keeps_numbers_clear(syringe: Syringe, direction: BarrelDirection, number_pt: float) -> bool:
    """Whether the scale's last number stays short of the flanges, which reach out on the numbers' side as well."""
    last = [line.number for line in place_lines(syringe, 1.0) if line.number][-1]
    return measure_span_mm(Figures(last, number_pt), direction) / 2 < WALL_PAST_LAST_MM


def measure_scale_length_mm(length_mm: float) -> float:
    """The scale length on paper for a picture ``length_mm`` long from the needle's tip to the cut rod.

    Wide labels of stops close to an end can make the picture longer; ``measure_barrel_size_mm`` knows.
    """
    return length_mm - NEEDLE_PART_MM - PLUNGER_PART_MM


def _build_frame(
    fill: FillPlan, syringe: Syringe, scale_length_mm: float, direction: BarrelDirection, number_pt: float
) -> BarrelFrame:
    """One frame for all draws of a fill, so that their pictures can be laid beside each other and compared."""
    labels = [build_label(draw.stop_line, number_pt) for draw in fill.draws]
    depth_mm = max(measure_mark_depth_mm(label, direction, is_total=index > 0) for index, label in enumerate(labels))
    places_mm = [measure_distance_mm(syringe, draw.stop_line, scale_length_mm) for draw in fill.draws]
    spans_mm = [measure_mark_span_mm(label, direction, is_total=index > 0) for index, label in enumerate(labels)]
    if fill.is_mixed:
        passed = build_passed_label(fill.first.stop_line, number_pt)
        spans_mm.append(measure_span_mm(passed, direction))
        places_mm.append(place_passed_label_mm(places_mm[0], places_mm[1], passed, labels[1], direction))
    before_mm = max(span / 2 - place for place, span in zip(places_mm, spans_mm, strict=True))
    after_mm = max(span / 2 + place for place, span in zip(places_mm, spans_mm, strict=True)) - scale_length_mm
    ends_mm = max(NEEDLE_PART_MM, before_mm), max(PLUNGER_PART_MM, after_mm)
    return build_frame(syringe, scale_length_mm, direction, number_pt, depth_mm, ends_mm)
