"""Marks that are neither text nor picture: rules, lines to write on, bullets and frames; and whatever else is there.

A dot between two digits makes another number of them, and a bar beside a figure another digit; so no mark may touch
text but by standing round all of it, and outside the pictures nothing else may stand on a patient's page. Lengths in
mm.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from itertools import pairwise
from operator import itemgetter
from typing import Final

from fillcards.quantities import convert_pt_to_mm
from fillcards.readback.conventions import (
    BULLET_EM,
    BULLET_REACH_EM,
    DARKEST_GREY,
    FRAME_CORNERS,
    MODULE_MM,
    OVER_TEXT_EASE_MM,
    RULE_LEAST_MM,
    RULE_WIDTHS_MM,
    SCAN_CODE_HEADING,
)
from fillcards.readback.marks import PageMarks, Shape, Stroke
from fillcards.readback.model import Fault
from fillcards.readback.runs import Run
from fillcards.readback.stops import DrawnPicture

MarkBox = tuple[float, float, float, float]
"""Left, top, right and bottom."""

MODULE_EASE: Final = 0.02
PICTURE_SIDES_MM: Final = 45.0
PICTURE_ACROSS_MM: Final = 110.0
PICTURE_ENDS_MM: Final = 45.0
"""Round a scale: what belongs to its barrel is no further from it, numbers of 36 pt and the arrow beside them included.
Inside, the pictures' own reader looks."""


class _Lines:
    """The boxes of all text from top to bottom: a page of pictures has hundreds of marks, and most are near no line."""

    def __init__(self, runs: Iterable[Run]) -> None:
        self._boxes = sorted((_measure_text(run) for run in runs), key=itemgetter(1))
        self._tops_mm = [box[1] for box in self._boxes]
        # A little more, for what is lost in adding it again.
        self._tallest_mm = max((box[3] - box[1] for box in self._boxes), default=0.0) + OVER_TEXT_EASE_MM

    def find_under(self, box: MarkBox) -> list[MarkBox]:
        """The boxes that a mark is over, if only in part."""
        left_mm, top_mm, right_mm, bottom_mm = box
        start = bisect_left(self._tops_mm, top_mm - self._tallest_mm)
        end = bisect_left(self._tops_mm, bottom_mm)
        return [
            text for text in self._boxes[start:end] if text[3] > top_mm and left_mm < text[2] and text[0] < right_mm
        ]


def find_marks_over_text(marks: PageMarks) -> Iterator[Fault]:
    """Marks that touch a line of text and do not stand round it.

    Args:
        marks: of a page, or of one small card.
    """
    words = _Lines(marks.runs)
    touching = 0
    for stroke in marks.strokes:
        is_level = stroke.is_horizontal or stroke.is_vertical
        ends = stroke.x1_mm, stroke.y1_mm, stroke.x2_mm, stroke.y2_mm
        touching += any(is_level or _crosses(*ends, text) for text in words.find_under(stroke.box))
    for shape in marks.shapes:
        box = _measure_shape(shape)
        near = [text for text in words.find_under(box) if not _is_round(box, text)]
        if len(shape.points) > FRAME_CORNERS:
            # The shell of a barrel has numbers in its corners. Text inside a filled shape is not seen at all, and told
            # of where the page is looked at.
            edges = tuple(pairwise((*shape.points, shape.points[0])))
            near = [text for text in near if any(_crosses(*start, *end, text) for start, end in edges)]
        touching += bool(near)
    if touching:
        yield Fault(marks.number, f"marks that touch text: {touching}")


def find_strays(marks: PageMarks, pictures: Iterable[DrawnPicture]) -> Iterator[Fault]:
    """Marks outside the pictures that are no rule, no line to write on, no bullet and no frame.

    Args:
        marks: of a patient's page, or of one small card.
        pictures: on it.
    """
    regions = [_measure_region(picture) for picture in pictures]
    has_code = any(run.text == SCAN_CODE_HEADING for run in marks.runs)
    strokes = sum(not _is_rule(stroke) for stroke in marks.strokes if not _is_in(stroke.box, regions))
    shapes = sum(
        not (_is_bullet(shape, marks.runs) or _is_frame(shape, marks.runs) or (has_code and _is_module(shape)))
        for shape in marks.shapes
        if not _is_in(_measure_shape(shape), regions)
    )
    if strokes + shapes:
        yield Fault(marks.number, f"marks outside the pictures that belong to nothing: {strokes + shapes}")


def _is_rule(stroke: Stroke) -> bool:
    least_mm, most_mm = RULE_WIDTHS_MM
    is_dark = stroke.level <= DARKEST_GREY and not stroke.is_dashed
    return (
        is_dark
        and stroke.is_horizontal
        and abs(stroke.x2_mm - stroke.x1_mm) >= RULE_LEAST_MM
        and least_mm <= stroke.width_mm <= most_mm
    )


def _is_bullet(shape: Shape, runs: tuple[Run, ...]) -> bool:
    """A small disc left of a line of text, at its middle."""
    if not shape.is_round or shape.fill is None or shape.fill > DARKEST_GREY:
        return False
    _, middle_mm = shape.middle
    for run in runs:
        size_mm = convert_pt_to_mm(run.size_pt)
        left_mm, top_mm, _, bottom_mm = _measure_text(run)
        is_small = shape.right_mm - shape.left_mm <= BULLET_EM * size_mm
        if is_small and 0 < left_mm - shape.right_mm <= BULLET_REACH_EM * size_mm and top_mm < middle_mm < bottom_mm:
            return True
    return False


def _is_frame(shape: Shape, runs: tuple[Run, ...]) -> bool:
    """An outline without a filling round at least one line of text."""
    is_outline = shape.fill is None and shape.outline is not None and len(shape.points) == FRAME_CORNERS
    box = _measure_shape(shape)
    return is_outline and any(_is_round(box, _measure_text(run)) for run in runs)


def _is_module(shape: Shape) -> bool:
    """One or several modules of a code to scan, side by side."""
    height_mm = shape.bottom_mm - shape.top_mm
    count = (shape.right_mm - shape.left_mm) / height_mm if height_mm else 0.0
    is_dark = shape.fill is not None and shape.fill <= DARKEST_GREY and len(shape.points) == FRAME_CORNERS
    return is_dark and MODULE_MM[0] <= height_mm <= MODULE_MM[1] and abs(count - round(count)) <= MODULE_EASE


def _measure_text(run: Run) -> MarkBox:
    """A line of text as high as its capitals, less a little at each side."""
    ease = OVER_TEXT_EASE_MM
    return run.x_mm + ease, run.y_mm - run.height_mm + ease, run.right_mm - ease, run.y_mm - ease


def _measure_shape(shape: Shape) -> MarkBox:
    return shape.left_mm, shape.top_mm, shape.right_mm, shape.bottom_mm


def _measure_region(picture: DrawnPicture) -> MarkBox:
    scale = picture.scale
    along = scale.places_mm[0] - PICTURE_ENDS_MM, scale.places_mm[-1] + PICTURE_ENDS_MM
    across = sorted(
        (
            scale.wall_mm - scale.axes.inward * PICTURE_SIDES_MM,
            scale.wall_mm + scale.axes.inward * PICTURE_ACROSS_MM,
        )
    )
    if scale.axes.is_upright:
        return across[0], along[0], across[1], along[1]
    return along[0], across[0], along[1], across[1]


def _is_in(box: MarkBox, regions: list[MarkBox]) -> bool:
    x_mm, y_mm = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    return any(left <= x_mm <= right and top <= y_mm <= bottom for left, top, right, bottom in regions)


def _is_round(outer: MarkBox, inner: MarkBox) -> bool:
    return outer[0] <= inner[0] and outer[1] <= inner[1] and outer[2] >= inner[2] and outer[3] >= inner[3]


def _crosses(x1_mm: float, y1_mm: float, x2_mm: float, y2_mm: float, box: MarkBox) -> bool:
    """Whether a straight line between two points goes through a rectangle: what is left of it inside all four sides."""
    start, end = 0.0, 1.0
    for at_mm, step_mm, low_mm, high_mm in (
        (x1_mm, x2_mm - x1_mm, box[0], box[2]),
        (y1_mm, y2_mm - y1_mm, box[1], box[3]),
    ):
        if step_mm == 0:
            if not low_mm < at_mm < high_mm:
                return False
            continue
        near, far = sorted(((low_mm - at_mm) / step_mm, (high_mm - at_mm) / step_mm))
        start, end = max(start, near), min(end, far)
    return start < end
