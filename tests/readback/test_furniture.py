"""Marks over text are found wherever they are: only where they are looked for is narrowed, not what is found."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from fillcards.readback.conventions import OVER_TEXT_EASE_MM
from fillcards.readback.furniture import find_marks_over_text
from fillcards.readback.marks import PageMarks, Shape
from fillcards.readback.runs import Run

PLACES_MM = st.integers(0, 300).map(lambda tenths: tenths / 3)
SIDES_MM = st.integers(1, 120).map(lambda tenths: tenths / 7)
RUNS = st.builds(
    lambda x, y, size, width: Run("line", x, y, size, True, width, 0, "line", (0.0, 0.0)),
    *(PLACES_MM, PLACES_MM, st.sampled_from((1.0, 14.0, 18.0, 144.0)), SIDES_MM),
)
SHAPES = st.builds(
    lambda x, y, width, height: Shape((), x, y, x + width, y + height, 0, None, 0.0, True),
    *(PLACES_MM, PLACES_MM, SIDES_MM, SIDES_MM),
)


def is_over(shape: Shape, run: Run) -> bool:
    """Whether two rectangles overlap and the shape's is not round the other."""
    ease = OVER_TEXT_EASE_MM
    left, top = run.x_mm + ease, run.y_mm - run.height_mm + ease
    right, bottom = run.right_mm - ease, run.y_mm - ease
    overlaps = shape.left_mm < right and left < shape.right_mm and shape.top_mm < bottom and top < shape.bottom_mm
    is_round = shape.left_mm <= left and shape.top_mm <= top and shape.right_mm >= right and shape.bottom_mm >= bottom
    return overlaps and not is_round


@given(st.lists(RUNS, max_size=12), st.lists(SHAPES, max_size=12))
def test_every_mark_over_a_line_is_counted(runs: list[Run], shapes: list[Shape]) -> None:
    """Each mark against each line of text, one by one, gives the same number."""
    marks = PageMarks(1, 200.0, 200.0, (), tuple(shapes), tuple(runs))
    meant = sum(any(is_over(shape, run) for run in runs) for shape in shapes)
    assert [fault.what for fault in find_marks_over_text(marks)] == [f"marks that touch text: {meant}"] * bool(meant)
