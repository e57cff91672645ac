"""A page as a whole: which of how many it is; whether everything on it is in reach of a printer, and large enough."""

from __future__ import annotations

from collections.abc import Iterator

from fillcards.readback.conventions import (
    DARKEST_GREY,
    EDGE_EASE_MM,
    LEAST_MAKER_PT,
    LEAST_PATIENT_PT,
    OVERLAP_EASE_MM,
    PATIENT_TOP_MM,
    PICTURE_BORDER_MM,
    SIDE_MARGIN_MM,
    SIZE_EASE_PT,
)
from fillcards.readback.marks import PageMarks
from fillcards.readback.model import Fault, PageReading, Statement


def read_position(statements: tuple[Statement, ...], marks: PageMarks) -> PageReading:
    """The page's own number and whose page it is, by its foot."""
    is_makers = any(statement.kind == "maker's foot" for statement in statements)
    for statement in reversed(statements):
        if statement.kind == "foot":
            position, count = (int(statement.found[part]) for part in ("position", "count"))
            return PageReading(marks.number, marks.width_mm, marks.height_mm, is_makers, position, count)
    return PageReading(marks.number, marks.width_mm, marks.height_mm, is_makers, None, None)


def find_page_faults(marks: PageMarks, page: PageReading) -> Iterator[Fault]:
    """Text that is too small or too light, and anything that leaves the part of the page that may be printed on."""
    least_pt = LEAST_MAKER_PT if page.is_makers or page.position is None else LEAST_PATIENT_PT
    small = [run.size_pt for run in marks.runs if run.size_pt < least_pt - SIZE_EASE_PT]
    if small:
        what = f"text of {min(small):g} pt, where the least is {least_pt:g} pt, in {len(small)} lines"
        yield Fault(page.number, what)
    light = [run.level for run in marks.runs if run.level > DARKEST_GREY]
    if light:
        what = f"text in a grey of {max(light)}, where the lightest is {DARKEST_GREY}, in {len(light)} lines"
        yield Fault(page.number, what)
    outside = sum(1 for box in list_boxes(marks) if not _is_inside(box, marks, page))
    if outside:
        yield Fault(page.number, f"marks that leave the part of the page that may be printed on: {outside}")


def _is_inside(box: tuple[float, float, float, float], marks: PageMarks, page: PageReading) -> bool:
    left, top, right, bottom = box
    side_mm = PICTURE_BORDER_MM if page.position is None else SIDE_MARGIN_MM
    top_mm = side_mm if page.is_makers or page.position is None else PATIENT_TOP_MM
    return (
        left >= side_mm - EDGE_EASE_MM
        and top >= top_mm - EDGE_EASE_MM
        and right <= marks.width_mm - side_mm + EDGE_EASE_MM
        and bottom <= marks.height_mm - side_mm + EDGE_EASE_MM
    )


def find_overlaps(marks: PageMarks) -> Iterator[Fault]:
    """Text over text: drawn again it looks the same, and is as hard to read."""
    boxes = sorted((run.y_mm - run.height_mm, run) for run in marks.runs)
    over = 0
    for index, (_, run) in enumerate(boxes):
        for top_mm, other in boxes[index + 1 :]:
            if top_mm > run.y_mm - OVERLAP_EASE_MM:
                break
            across_mm = min(run.right_mm, other.right_mm) - max(run.x_mm, other.x_mm)
            over += across_mm > OVERLAP_EASE_MM
    if over:
        yield Fault(marks.number, f"lines of text over each other: {over}")


def list_boxes(marks: PageMarks) -> Iterator[tuple[float, float, float, float]]:
    """Left, top, right and bottom of every mark: of strokes with their width, of text as high as its capitals."""
    yield from (stroke.box for stroke in marks.strokes)
    for shape in marks.shapes:
        half_mm = shape.outline_mm / 2 if shape.outline is not None else 0.0
        yield shape.left_mm - half_mm, shape.top_mm - half_mm, shape.right_mm + half_mm, shape.bottom_mm + half_mm
    for run in marks.runs:
        yield run.x_mm, run.y_mm - run.height_mm, run.right_mm, run.y_mm
