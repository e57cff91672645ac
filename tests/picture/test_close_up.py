"""Claims about the close-up round a stop, over every scale of the catalogue; measured on the drawn items."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import combinations, pairwise

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from support.pictures import make_fill, make_filled, make_syringe, measure_box, meet, turn_up

from fillcards.picture.close_up import (
    DOT_MM,
    Room,
    choose_piece,
    draw_close_up,
    measure_close_up_gap_mm,
    measure_close_up_mm,
)
from fillcards.picture.items import Dot, Drawing, Ink, Line, Polygon, Text
from fillcards.plan.model import FillPlan
from fillcards.regimen.model import BarrelDirection, Syringe

Filled = tuple[Syringe, FillPlan, BarrelDirection]
EASE_MM = 1e-6
TWO_UNIT_LINES = make_syringe("U-100", "1", "2")
"""Its last line has three digits, wider than the barrel drawn beyond it."""
HUNDREDTHS = make_syringe("mL", "1", "0.01")
"""Nine lines may be counted past a number that is as wide as two gaps."""


def draw_last(
    filled: Filled, width_mm: float = 88.0, height_mm: float = 78.0, number_pt: float = 18.0, *, is_draft: bool = False
) -> Drawing:
    """The close-up of the last stop, in the room a letter sheet gives one of two."""
    syringe, fill, direction = filled
    return draw_close_up(
        syringe,
        fill.last,
        is_total=len(fill.draws) == 2,
        width_mm=width_mm,
        height_mm=height_mm,
        direction=direction,
        number_pt=number_pt,
        is_draft=is_draft,
    )


def find_lines(drawing: Drawing, direction: BarrelDirection) -> list[Line]:
    """The lines of the scale, and the stop's, as with the needle up."""
    turned = [
        turn_up(item, direction, drawing.width_mm, drawing.height_mm)
        for item in drawing.items
        if not isinstance(item, Text)
    ]
    level = [item for item in turned if isinstance(item, Line) and item.y1_mm == item.y2_mm and item.width_mm == 0.7]
    return sorted(level, key=lambda line: line.y1_mm)


@given(make_filled(), st.sampled_from((14, 18, 28)))
@example((TWO_UNIT_LINES, make_fill(TWO_UNIT_LINES, "94"), BarrelDirection.NEEDLE_LEFT), 28)
def test_nothing_leaves_the_drawing(filled: Filled, number_pt: int) -> None:
    """Every item lies in the drawing's box, the numbers at its ends too."""
    drawing = draw_last(filled, number_pt=number_pt)
    for item in drawing.items:
        left, top, right, bottom = measure_box(item)
        assert min(left, top) >= -EASE_MM, item
        assert right <= drawing.width_mm + EASE_MM, item
        assert bottom <= drawing.height_mm + EASE_MM, item


@pytest.mark.parametrize("number_pt", [14, 28])
@given(make_filled())
@example((HUNDREDTHS, make_fill(HUNDREDTHS, "0.69"), BarrelDirection.NEEDLE_LEFT))
def test_no_dot_touches_a_number(number_pt: int, filled: Filled) -> None:
    """The dots that are counted along and the numbers beside the scale keep apart, however wide a number is."""
    for drawing in (draw_last(filled, number_pt=number_pt), draw_last(filled, 0, 0, number_pt)):
        numbers = [measure_box(item) for item in drawing.items if isinstance(item, Text) and not item.bold]
        dots = [item for item in drawing.items if isinstance(item, Dot) and item.diameter_mm == DOT_MM]
        assert not [item for item in dots for number in numbers if meet(measure_box(item), number)]


@pytest.mark.parametrize("direction", list(BarrelDirection))
@pytest.mark.parametrize("stop", ["0.4", "5.8", "7.8"])
def test_numbers_at_every_line_keep_apart(stop: str, direction: BarrelDirection) -> None:
    """A barrel may have a number at each line; in the close-up they stay separate words."""
    syringe = replace(make_syringe("mL", "10", "0.2"), numbered_every=Fraction(1, 5))
    drawing = draw_last((syringe, make_fill(syringe, stop), direction), number_pt=28)
    numbers = [measure_box(item) for item in drawing.items if isinstance(item, Text) and not item.bold]
    assert len(numbers) >= 5
    assert not any(meet(one, other) for one, other in combinations(numbers, 2))


@given(make_filled())
def test_lines_stand_at_least_6_mm_apart(filled: Filled) -> None:
    """Gaps are wide and even, so that each line is separate to a reader who sees little."""
    for drawing in (draw_last(filled), draw_last(filled, 0, 0)):
        places_mm = sorted({line.y1_mm for line in find_lines(drawing, filled[2])})
        gaps_mm = [other - one for one, other in pairwise(places_mm)]
        assert min(gaps_mm) >= 6 - EASE_MM
        assert max(gaps_mm) == pytest.approx(min(gaps_mm), abs=EASE_MM)


@given(make_filled())
def test_one_dot_for_each_line_counted(filled: Filled) -> None:
    """As many dots as the count says, each level with a line, the last with the stopper's edge."""
    syringe, fill, direction = filled
    drawing = draw_last(filled)
    lines_mm = sorted({line.y1_mm for line in find_lines(drawing, direction)})
    wall_mm = min(line.x1_mm for line in find_lines(drawing, direction))
    turned = [
        turn_up(item, direction, drawing.width_mm, drawing.height_mm)
        for item in drawing.items
        if not isinstance(item, Text)
    ]
    dots_mm = [item.y_mm for item in turned if isinstance(item, Dot) and item.x_mm < wall_mm]
    rings = [
        item
        for item in turned
        if isinstance(item, Polygon)
        and item.fill is Ink.BLACK
        and len(item.points_mm) == 4
        and min(x for x, _ in item.points_mm) == pytest.approx(wall_mm)
    ]
    stop_mm = min(y for _, y in rings[0].points_mm)
    piece = choose_piece(syringe, fill.last)
    assert stop_mm == pytest.approx(lines_mm[int((piece.stop - piece.first) / syringe.line_every)], abs=EASE_MM)
    assert len(dots_mm) == fill.last.count.lines
    assert all(min(abs(dot - line) for line in lines_mm) < EASE_MM for dot in dots_mm)
    if dots_mm:
        assert max(dots_mm) == pytest.approx(stop_mm, abs=EASE_MM)


@given(make_filled(), st.sampled_from((14, 18, 28)))
def test_no_number_touches_another_or_a_dot(filled: Filled, number_pt: int) -> None:
    """Numbers, label and dots stand apart."""
    drawing = draw_last(filled, number_pt=number_pt)
    items = drawing.items
    lines = find_lines(drawing, filled[2])
    assert lines
    texts = [measure_box(item) for item in items if isinstance(item, Text)]
    assert not any(meet(one, other) for one, other in combinations(texts, 2))
    counting = [measure_box(item) for item in items if isinstance(item, Dot) and item.diameter_mm > 1.5]
    assert not any(meet(text, dot) for text in texts for dot in counting)


@given(make_filled())
def test_only_numbers_of_the_scale_are_printed(filled: Filled) -> None:
    """No ordinals: every number is one the real scale carries, but for the label of the stop."""
    syringe, fill, _ = filled
    texts = [item.text for item in draw_last(filled).items if isinstance(item, Text) and not item.bold]
    assert texts
    assert all(float(text) % float(syringe.numbered_every) < 1e-9 or _divides(text, syringe) for text in texts)
    assert [item.text for item in draw_last(filled).items if isinstance(item, Text) and item.bold] == [
        f"{float(fill.last.stop_line):g}"
    ]


def _divides(text: str, syringe: Syringe) -> bool:
    quotient = float(text) / float(syringe.numbered_every)
    return abs(quotient - round(quotient)) < 1e-9


@pytest.mark.parametrize(
    ("stop", "first", "last"),
    [("18", 15, 20), ("16", 15, 18), ("3", 0, 5), ("25", 23, 27), ("50", 48, 50), ("1", 0, 3)],
)
def test_piece_runs_from_the_number_below_to_a_little_past(stop: str, first: int, last: int) -> None:
    """From the number to count from, to two lines past the stop, if the scale goes so far."""
    syringe = make_syringe("U-100", "0.5", "1")
    piece = choose_piece(syringe, make_fill(syringe, stop).last, least_gaps=0)
    assert (piece.first, piece.last) == (Fraction(first), Fraction(last))


@pytest.mark.parametrize(("stop", "last"), [("16", 21), ("18", 21), ("25", 29), ("50", 50)])
def test_pieces_are_alike_in_size(stop: str, last: int) -> None:
    """Where there is room a piece goes on until it has six gaps, if the scale goes so far."""
    syringe = make_syringe("U-100", "0.5", "1")
    assert choose_piece(syringe, make_fill(syringe, stop).last).last == last


@given(make_filled(), st.floats(0, 20))
def test_lines_are_as_far_apart_as_the_reader_needs(filled: Filled, needed_mm: float) -> None:
    """Whatever the room, up to 11 mm; over that the close-up comes as wide as it can (SIZE-003 says so)."""
    syringe, fill, direction = filled
    for room_mm in (0.0, 78.0):
        gap_mm = measure_close_up_gap_mm(
            syringe,
            fill.last,
            is_total=len(fill.draws) == 2,
            room=Room(direction, room_mm, room_mm, needed_mm),
            number_pt=18,
        )
        assert gap_mm >= min(needed_mm, 11) - EASE_MM


@given(make_filled(), st.floats(0, 20))
def test_the_told_gap_is_the_drawn_gap(filled: Filled, needed_mm: float) -> None:
    """What the maker's page says is measured on the picture itself."""
    syringe, fill, direction = filled
    is_total = len(fill.draws) == 2
    drawing = draw_close_up(
        syringe,
        fill.last,
        is_total=is_total,
        width_mm=88,
        height_mm=78,
        direction=direction,
        number_pt=18,
        least_gap_mm=needed_mm,
    )
    places_mm = sorted({line.y1_mm for line in find_lines(drawing, direction)})
    told_mm = measure_close_up_gap_mm(
        syringe, fill.last, is_total=is_total, room=Room(direction, 88, 78, needed_mm), number_pt=18
    )
    assert places_mm[1] - places_mm[0] == pytest.approx(told_mm, abs=EASE_MM)


@given(make_filled())
def test_least_size_is_known_before_drawing(filled: Filled) -> None:
    """Asked for no room at all, the close-up takes what ``measure_close_up_mm`` says, and never less."""
    syringe, fill, direction = filled
    is_total = len(fill.draws) == 2
    least = measure_close_up_mm(syringe, fill.last, is_total=is_total, direction=direction, number_pt=18)
    smallest = draw_last(filled, 0, 0)
    assert (smallest.width_mm, smallest.height_mm) == least
    usual = draw_last(filled)
    assert usual.width_mm >= least[0] - EASE_MM
    assert usual.height_mm >= least[1] - EASE_MM


@given(make_filled())
def test_a_draft_is_as_large_as_the_picture(filled: Filled) -> None:
    """A draft takes the very room that the picture will take, and shows nothing."""
    draft, picture = draw_last(filled, is_draft=True), draw_last(filled)
    assert (draft.width_mm, draft.height_mm) == (picture.width_mm, picture.height_mm)
    assert draft.items == ()


@given(make_filled())
def test_close_up_fits_the_room_it_was_given(filled: Filled) -> None:
    """Where the least size fits into the room, so does the picture."""
    least = draw_last(filled, 0, 0)
    usual = draw_last(filled)
    assert usual.width_mm <= max(88, least.width_mm) + EASE_MM
    assert usual.height_mm <= max(78, least.height_mm) + EASE_MM


def test_arrow_points_away_from_the_needle() -> None:
    """The head of the counting arrow is level with the stop, its bar comes from the number counted from."""
    syringe = make_syringe("U-100", "0.5", "1")
    for direction in BarrelDirection:
        drawing = draw_last((syringe, make_fill(syringe, "18"), direction))
        turned = [
            turn_up(item, direction, drawing.width_mm, drawing.height_mm)
            for item in drawing.items
            if not isinstance(item, Text)
        ]
        wall_mm = min(line.x1_mm for line in find_lines(drawing, direction))
        heads = [
            item
            for item in turned
            if isinstance(item, Polygon) and len(item.points_mm) == 3 and max(x for x, _ in item.points_mm) < wall_mm
        ]
        lines_mm = sorted({line.y1_mm for line in find_lines(drawing, direction)})
        tip, *base = sorted((y for _, y in heads[0].points_mm), reverse=True)
        assert tip == pytest.approx(lines_mm[3])
        assert max(base) < tip
