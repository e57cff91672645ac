"""The marks that say where to stop, told apart by form and not by colour.

A mark runs across the whole barrel, on the line, and out on the side away from the scale's numbers to its label:

* **first line** (or the only one): a solid, heavy arrow, the number bare behind it;
* **total line**: the number in a frame that runs out into a solid point, like a tag;
* **first line, passed**: in the second picture, a thin dashed line with a small number, neither arrow nor frame.

Sizes are those of the smallest label and grow with the label's type. Axes and frame as in ``barrel_frame``; mm.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from fillcards.picture.barrel_frame import BarrelFrame
from fillcards.picture.items import Ink, Item
from fillcards.picture.orientation import Figures, Orientation, Side, measure_depth_mm, measure_room_mm, measure_span_mm
from fillcards.quantities import write_number
from fillcards.regimen.model import BarrelDirection

SMALLEST_LABEL_PT: Final = 18.0
LABEL_TO_NUMBER: Final = 1.3
SMALLEST_PASSED_PT: Final = 14.0

ARROW_MM: Final = 6.6
"""How far the arrow of a first line reaches out from the barrel's wall, and the dashes of a passed one."""
LABEL_GAP_MM: Final = 1.2
HEAD_LENGTH_MM: Final = 3.4
HEAD_HALF_MM: Final = 3.4
BAR_MM: Final = 3.0
TAG_TIP_MM: Final = 3.6
TAG_PAD_MM: Final = 2.2
TAG_OUTLINE_MM: Final = 1.6
"""Arrow and tag are as heavy as leaves air round the number. Chosen by measurement (``tests/vision/stops.txt``): by
their mass a weak eye tells the arrow from the passed line, and the tag from the arrow."""
PASSED_LINE_MM: Final = 0.6
PASSED_DASH_MM: Final = (2.0, 1.1)
PASSED_HALO_MM: Final = 2.6
BETWEEN_LABELS_MM: Final = 1.8


def build_label(value: Fraction, number_pt: float) -> Figures:
    """The number of the stop being made: bold, and larger than the scale's numbers."""
    return Figures(write_number(value), max(SMALLEST_LABEL_PT, round(LABEL_TO_NUMBER * number_pt)), bold=True)


def build_passed_label(value: Fraction, number_pt: float) -> Figures:
    """The number of the first line once it is passed: as small as the scale's numbers."""
    return Figures(write_number(value), max(SMALLEST_PASSED_PT, number_pt))


def measure_mark_depth_mm(label: Figures, direction: BarrelDirection, *, is_total: bool) -> float:
    """Room beyond the barrel's wall for a mark with its label."""
    beside_mm = TAG_TIP_MM + 2 * TAG_PAD_MM if is_total else ARROW_MM + LABEL_GAP_MM
    return beside_mm * _measure_growth(label) + measure_room_mm(label, direction)


def measure_mark_span_mm(label: Figures, direction: BarrelDirection, *, is_total: bool) -> float:
    """How much of the barrel's length a mark with its label takes, half of it on either side of the line."""
    growth = _measure_growth(label)
    beside_mm = 2 * TAG_PAD_MM * growth if is_total else 0.0
    return max(measure_span_mm(label, direction) + beside_mm, 2 * HEAD_HALF_MM * growth)


def place_passed_label_mm(
    along_mm: float, next_mm: float, label: Figures, next_label: Figures, direction: BarrelDirection
) -> float:
    """Where along the barrel the passed line's number stands: at its line, or nearer the needle if it must."""
    taken_mm = measure_span_mm(label, direction) + measure_mark_span_mm(next_label, direction, is_total=True)
    return min(along_mm, next_mm - taken_mm / 2 - BETWEEN_LABELS_MM)


def draw_stop(frame: BarrelFrame, value: Fraction, label: Figures, *, is_total: bool) -> tuple[Item, ...]:
    """The mark of the stop being made, with its label."""
    along_mm = frame.locate(value)
    # No thicker than a line of the scale: a thick bar here would move the stopper's edge as the eye sees it.
    across = frame.orientation.draw_line((along_mm, frame.inner_mm), (along_mm, frame.high_outer_mm), frame.line_mm)
    draw_sign = _draw_tag if is_total else _draw_arrow
    return (across, *draw_sign(frame.orientation, along_mm, frame.high_outer_mm, label))


def draw_passed_stop(
    frame: BarrelFrame, value: Fraction, label: Figures, next_value: Fraction, next_label: Figures
) -> tuple[Item, ...]:
    """The first line in the second picture: dashed, on white so that no pattern breaks it, its number kept apart.

    Where the two stops are close, the number moves toward the needle and the dashed line bends to it.
    """
    draw, growth = frame.orientation, _measure_growth(next_label)
    along_mm, next_mm = frame.locate(value), frame.locate(next_value)
    label_mm = place_passed_label_mm(along_mm, next_mm, label, next_label, draw.direction)
    wall_mm = frame.high_outer_mm
    end_mm = wall_mm + ARROW_MM * growth
    halo_mm = min(PASSED_HALO_MM / 2, next_mm - along_mm)
    halo = draw.draw_rectangle(
        (along_mm - halo_mm, frame.strip_mm), (along_mm + halo_mm, frame.far_inner_mm), Ink.WHITE
    )
    line = draw.draw_line((along_mm, frame.inner_mm), (along_mm, wall_mm), PASSED_LINE_MM, dash_mm=PASSED_DASH_MM)
    leader = draw.draw_line((along_mm, wall_mm), (label_mm, end_mm), PASSED_LINE_MM, dash_mm=PASSED_DASH_MM)
    return halo, line, leader, draw.draw_figures(label, label_mm, end_mm + LABEL_GAP_MM * growth, Side.LABELS)


def _measure_growth(label: Figures) -> float:
    return label.size_pt / SMALLEST_LABEL_PT


def _draw_arrow(draw: Orientation, along_mm: float, point_mm: float, label: Figures) -> tuple[Item, ...]:
    """A solid arrow with its point at (along, point), and the label behind it."""
    growth = _measure_growth(label)
    head_mm, end_mm, half_mm = point_mm + HEAD_LENGTH_MM * growth, point_mm + ARROW_MM * growth, HEAD_HALF_MM * growth
    head = ((along_mm, point_mm), (along_mm - half_mm, head_mm), (along_mm + half_mm, head_mm))
    bar = draw.draw_line((along_mm, head_mm - 0.1), (along_mm, end_mm), BAR_MM * growth)
    text = draw.draw_figures(label, along_mm, end_mm + LABEL_GAP_MM * growth, Side.LABELS)
    return draw.draw_polygon(head, Ink.BLACK), bar, text


def _draw_tag(draw: Orientation, along_mm: float, point_mm: float, label: Figures) -> tuple[Item, ...]:
    """A tag round the label: a frame that runs out into a solid point at (along, point)."""
    growth = _measure_growth(label)
    outline_mm, pad_mm = TAG_OUTLINE_MM * growth, TAG_PAD_MM * growth
    half_mm = measure_span_mm(label, draw.direction) / 2 + pad_mm
    near_mm = point_mm + TAG_TIP_MM * growth
    text_mm = near_mm + pad_mm
    far_mm = text_mm + measure_depth_mm(label, draw.direction) + pad_mm
    inset_mm = outline_mm / 2
    # The frame's near stroke lies under the tip, so that the label's side has the whole padding.
    frame = draw.draw_rectangle(
        (along_mm - half_mm + inset_mm, near_mm - inset_mm),
        (along_mm + half_mm - inset_mm, far_mm - inset_mm),
        Ink.WHITE,
        outline_mm,
    )
    tip = ((along_mm, point_mm), (along_mm - half_mm, near_mm), (along_mm + half_mm, near_mm))
    return frame, draw.draw_polygon(tip, Ink.BLACK), draw.draw_figures(label, along_mm, text_mm, Side.LABELS)
