"""Claims about the enlarged barrel, over every scale of the catalogue; measured on the drawn items."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from support.pictures import (
    find_scale,
    make_fill,
    make_filled,
    make_syringe,
    measure_box,
    meet,
    turn_all_up,
    turn_up,
)

from fillcards.picture.barrel import draw_barrel, measure_barrel_size_mm, measure_scale_length_mm
from fillcards.picture.items import Dot, Drawing, Ink, Item, Line, Polygon, Text
from fillcards.plan.model import FillPlan
from fillcards.regimen.model import BarrelDirection, Syringe
from fillcards.typeface import measure_width_mm

UP = BarrelDirection.NEEDLE_UP
SCALE_LENGTH_MM = 112.0
EASE_MM = 1e-6

Filled = tuple[Syringe, FillPlan, BarrelDirection]


def draw_last(filled: Filled, number_pt: float = 14) -> Drawing:
    """The picture after the last draw."""
    syringe, fill, direction = filled
    return draw_barrel(
        fill,
        syringe,
        len(fill.draws) - 1,
        scale_length_mm=SCALE_LENGTH_MM,
        direction=direction,
        number_pt=number_pt,
    )


def find_stopper_edge_mm(items: list[Item], wall_mm: float) -> float:
    """Where the first full-width black shape begins that touches the wall inside the barrel below the zero line."""
    rings = [
        item
        for item in items
        if isinstance(item, Polygon)
        and item.fill is Ink.BLACK
        and len(item.points_mm) == 4
        and min(x for x, _ in item.points_mm) == pytest.approx(wall_mm, abs=1e-9)
    ]
    assert len(rings) == 1
    return min(y for _, y in rings[0].points_mm)


@given(make_filled(), st.sampled_from((14, 18, 24)))
def test_nothing_leaves_the_drawing(filled: Filled, number_pt: int) -> None:
    """Every item lies in the drawing's box, with the whole width of its strokes."""
    drawing = draw_last(filled, number_pt)
    for item in drawing.items:
        left, top, right, bottom = measure_box(item)
        assert left >= -EASE_MM, item
        assert top >= -EASE_MM, item
        assert right <= drawing.width_mm + EASE_MM, item
        assert bottom <= drawing.height_mm + EASE_MM, item


@pytest.mark.parametrize("direction", BarrelDirection)
@pytest.mark.parametrize("number_pt", [14, 28])
@pytest.mark.parametrize(
    ("syringe", "stops"),
    [
        (("mL", "1", "0.01"), ("0.01", "0.02")),
        (("mL", "1", "0.01"), ("0.98", "0.99")),
        (("U-100", "0.5", "1"), ("1", "2")),
        (("U-100", "0.5", "1"), ("4", "5")),
        (("U-100", "0.5", "1"), ("49", "50")),
        (("U-100", "0.3", "0.5"), ("0.5", "1")),
        (("U-40", "2", "1"), ("79", "80")),
    ],
)
def test_adjacent_stops_near_an_end_stay_apart_and_inside(
    syringe: tuple[str, str, str], stops: tuple[str, str], number_pt: int, direction: BarrelDirection
) -> None:
    """The hardest places: both stops on neighbouring lines, at the first lines and at the last."""
    made = make_syringe(*syringe)
    drawing = draw_last((made, make_fill(made, *stops), direction), number_pt)
    boxes = [measure_box(item) for item in drawing.items]
    assert min(min(box[:2]) for box in boxes) >= -EASE_MM
    assert max(box[2] for box in boxes) <= drawing.width_mm + EASE_MM
    assert max(box[3] for box in boxes) <= drawing.height_mm + EASE_MM
    texts = [measure_box(item) for item in drawing.items if isinstance(item, Text)]
    assert not any(meet(one, other) for one, other in combinations(texts, 2))


@given(make_filled())
def test_every_line_stands_at_its_value(filled: Filled) -> None:
    """The lines drawn are those of the scale, each as far from the zero line as its value says."""
    syringe, _, direction = filled
    scale = find_scale(turn_all_up(draw_last(filled), direction))
    count = int(syringe.last_line / syringe.line_every)
    assert len(scale) == count + 1
    for index, line in enumerate(scale):
        assert line.y1_mm - scale[0].y1_mm == pytest.approx(index * SCALE_LENGTH_MM / count, abs=EASE_MM)


@given(make_filled())
def test_stopper_edge_is_on_the_stop_line(filled: Filled) -> None:
    """The edge of the stopper's full-width ring lies on the line to stop at."""
    syringe, fill, direction = filled
    items = turn_all_up(draw_last(filled), direction)
    scale = find_scale(items)
    stop = scale[int(fill.last.stop_line / syringe.line_every)]
    assert find_stopper_edge_mm(items, stop.x1_mm) == pytest.approx(stop.y1_mm, abs=EASE_MM)


@given(make_filled())
def test_mark_points_at_the_stop_line(filled: Filled) -> None:
    """The point of arrow or tag touches the barrel's wall level with the stop, and its shape is even about it."""
    syringe, fill, direction = filled
    items = turn_all_up(draw_last(filled), direction)
    stop = find_scale(items)[int(fill.last.stop_line / syringe.line_every)]
    heads = [item for item in items if isinstance(item, Polygon) and len(item.points_mm) == 3]
    assert len(heads) == 1
    (tip_x, tip_y), *base = sorted(heads[0].points_mm)
    across = max(item.x2_mm for item in items if isinstance(item, Line) and item.x1_mm == stop.x1_mm)
    assert (tip_x, tip_y) == pytest.approx((across, stop.y1_mm), abs=EASE_MM)
    assert sum(y for _, y in base) / 2 == pytest.approx(stop.y1_mm, abs=EASE_MM)


@given(make_filled())
def test_stopper_hides_no_line(filled: Filled) -> None:
    """No line but the stop line lies under a black shape: all of them can be counted on paper."""
    syringe, fill, direction = filled
    items = turn_all_up(draw_last(filled), direction)
    scale = find_scale(items)
    solid = [measure_box(item) for item in items if isinstance(item, Polygon) and len(item.points_mm) == 4]
    for index, line in enumerate(scale):
        if index * syringe.line_every == fill.last.stop_line:
            continue
        middle = measure_box(Line(line.x1_mm + 0.1, line.y1_mm, line.x2_mm, line.y1_mm, 0.01))
        assert not any(meet(middle, box) for box in solid)


@given(make_filled())
def test_patterns_keep_off_the_scale(filled: Filled) -> None:
    """Strokes and dots of the liquid lie beyond the longest line and between the needle end and the stopper."""
    _, _, direction = filled
    items = turn_all_up(draw_last(filled), direction)
    scale = find_scale(items)
    longest_mm = max(line.x2_mm for line in scale)
    edge_mm = find_stopper_edge_mm(items, scale[0].x1_mm)
    for item in items:
        is_slanted = (
            isinstance(item, Line) and not item.dash_mm and item.x1_mm != item.x2_mm and item.y1_mm != item.y2_mm
        )
        if isinstance(item, Dot) or is_slanted:
            left, top, _, bottom = measure_box(item)
            assert left > longest_mm
            assert scale[0].y1_mm - 2 <= top
            assert bottom <= edge_mm + EASE_MM


@given(make_filled(), st.sampled_from((14, 18, 24)))
def test_no_number_touches_another(filled: Filled, number_pt: int) -> None:
    """Numbers and labels stand apart, by the widths of the typeface."""
    texts = [item for item in draw_last(filled, number_pt).items if isinstance(item, Text)]
    for one, other in combinations(texts, 2):
        assert not meet(measure_box(one), measure_box(other)), (one.text, other.text)


@given(make_filled())
def test_numbers_stand_outside_the_barrel_beside_their_lines(filled: Filled) -> None:
    """Each number of the scale is level with the line of its value, and lies before the wall the lines start at."""
    syringe, fill, direction = filled
    drawing = draw_last(filled)
    scale = find_scale(turn_all_up(drawing, direction))
    places = []
    for item in drawing.items:
        if isinstance(item, Text) and not item.bold:
            diagonal = turn_up(Line(*measure_box(item), 0.0), direction, drawing.width_mm, drawing.height_mm)
            assert isinstance(diagonal, Line)
            places.append((Fraction(item.text), (diagonal.y1_mm + diagonal.y2_mm) / 2, diagonal))
    numbers = [place for place in places if max(place[2].x1_mm, place[2].x2_mm) < scale[0].x1_mm - 1]
    assert len(numbers) >= 3
    assert len(places) - len(numbers) == len(fill.draws) - 1
    for value, middle_mm, _ in numbers:
        assert middle_mm == pytest.approx(scale[int(value / syringe.line_every)].y1_mm, abs=EASE_MM)


@given(make_filled())
def test_size_is_known_before_drawing(filled: Filled) -> None:
    """Both pictures of a fill have the size that ``measure_barrel_size_mm`` promises, upright as long as asked for."""
    syringe, fill, direction = filled
    length_mm = measure_scale_length_mm(134)
    size_mm = measure_barrel_size_mm(fill, syringe, scale_length_mm=length_mm, direction=direction)
    for index in range(len(fill.draws)):
        drawing = draw_barrel(fill, syringe, index, scale_length_mm=length_mm, direction=direction)
        assert (drawing.width_mm, drawing.height_mm) == size_mm
    if direction is UP:
        assert size_mm[1] == pytest.approx(134)
    else:
        assert size_mm[0] >= 134 - EASE_MM


@given(make_filled())
def test_turned_pictures_are_the_same_picture(filled: Filled) -> None:
    """With the needle left or right all but the text is the upright picture, turned, and moved sideways only."""
    syringe, fill, direction = filled
    assume(len(fill.draws) == 1)
    drawing, drawing_up = draw_last(filled), draw_last((syringe, fill, UP))
    # A wide label at the very end of the scale lengthens a level picture and no upright one.
    assume(max(drawing.width_mm, drawing.height_mm) == pytest.approx(drawing_up.height_mm))
    turned, upright = turn_all_up(drawing, direction), turn_all_up(drawing_up, UP)
    shift_mm = find_scale(turned)[0].x1_mm - find_scale(upright)[0].x1_mm
    assert len(turned) == len(upright)
    for one, other in zip(turned, upright, strict=True):
        assert type(one) is type(other)
        left, top, right, bottom = measure_box(other)
        assert measure_box(one) == pytest.approx((left + shift_mm, top, right + shift_mm, bottom), abs=EASE_MM)


@pytest.mark.parametrize("direction", BarrelDirection)
def test_label_says_the_stop_in_large_bold_type(direction: BarrelDirection) -> None:
    """The only bold number is that of the stop, at least 18 pt; the scale's numbers have at least 14 pt."""
    syringe = make_syringe("U-100", "0.5", "1")
    fill = make_fill(syringe, "8", "26")
    for index, stop in enumerate(("8", "26")):
        drawing = draw_barrel(fill, syringe, index, scale_length_mm=SCALE_LENGTH_MM, direction=direction)
        texts = [item for item in drawing.items if isinstance(item, Text)]
        assert [(item.text, item.size_pt >= 18) for item in texts if item.bold] == [(stop, True)]
        assert all(item.size_pt >= 14 for item in texts)


def test_two_stops_differ_in_form() -> None:
    """A first line has a bare number behind a thick bar; a total line has its number in a frame and no bar."""
    syringe = make_syringe("U-100", "0.5", "1")
    first = draw_barrel(make_fill(syringe, "26"), syringe, 0, scale_length_mm=SCALE_LENGTH_MM, direction=UP)
    total = draw_barrel(make_fill(syringe, "8", "26"), syringe, 1, scale_length_mm=SCALE_LENGTH_MM, direction=UP)

    def count_frames(drawing: Drawing) -> int:
        label = next(measure_box(item) for item in drawing.items if isinstance(item, Text) and item.bold)
        boxes = [measure_box(item) for item in drawing.items if isinstance(item, Polygon) and item.outline_mm > 0.7]
        return sum(box[0] < label[0] and box[2] > label[2] and box[1] < label[1] and box[3] > label[3] for box in boxes)

    def count_bars(drawing: Drawing) -> int:
        return sum(isinstance(item, Line) and item.width_mm > 1 for item in drawing.items)

    assert (count_frames(first), count_bars(first)) == (0, 1)
    assert (count_frames(total), count_bars(total)) == (1, 0)


def test_first_line_stays_as_a_lighter_mark() -> None:
    """In the second picture the first line is dashed, on its own line of the scale, and its number is small."""
    syringe = make_syringe("U-100", "0.5", "1")
    fill = make_fill(syringe, "8", "26")
    items = list(draw_barrel(fill, syringe, 1, scale_length_mm=SCALE_LENGTH_MM, direction=UP).items)
    scale = find_scale(items)
    dashed = [item for item in items if isinstance(item, Line) and item.dash_mm]
    assert dashed[0].y1_mm == dashed[0].y2_mm == pytest.approx(scale[8].y1_mm)
    assert [item.text for item in items if isinstance(item, Text) and not item.bold].count("8") == 1
    first = draw_barrel(fill, syringe, 0, scale_length_mm=SCALE_LENGTH_MM, direction=UP)
    assert not any(isinstance(item, Line) and item.dash_mm for item in first.items)


def test_two_draws_have_two_patterns() -> None:
    """The first draw's liquid is hatched, without dots; the mixture is dotted, without hatching."""
    syringe = make_syringe("U-100", "0.5", "1")
    fill = make_fill(syringe, "8", "26")

    def describe(index: int) -> tuple[bool, bool]:
        drawing = draw_barrel(fill, syringe, index, scale_length_mm=SCALE_LENGTH_MM, direction=UP)
        hatched = any(
            isinstance(item, Line) and item.x1_mm != item.x2_mm and item.y1_mm != item.y2_mm and not item.dash_mm
            for item in drawing.items
        )
        return hatched, any(isinstance(item, Dot) for item in drawing.items)

    assert describe(0) == (True, False)
    assert describe(1) == (False, True)


@pytest.mark.parametrize(("capacity_ml", "line_every", "stops"), [("0.5", "1", ("8", "26")), ("0.3", "0.5", ("4.5",))])
def test_upright_insulin_barrels_are_at_most_40_mm_wide(
    capacity_ml: str, line_every: str, stops: tuple[str, ...]
) -> None:
    """One with its numbers and label leaves most of a letter sheet's 186 mm (design 3.3) to the stops beside it."""
    syringe = make_syringe("U-100", capacity_ml, line_every)
    size_mm = measure_barrel_size_mm(make_fill(syringe, *stops), syringe, scale_length_mm=112, direction=UP)
    assert size_mm[0] <= 40


def test_scale_lines_of_the_enlarged_picture_survive_copying() -> None:
    """Lines are 0.35 mm to 0.5 mm thick, one thickness for all (common practice, no source)."""
    syringe = make_syringe("U-100", "1", "1")
    widths = {line.width_mm for line in find_scale(list(draw_last((syringe, make_fill(syringe, "34"), UP)).items))}
    assert len(widths) == 1
    assert 0.35 <= widths.pop() <= 0.5


def test_meeting_boxes_are_found() -> None:
    """The comparer of these tests sees an overlap, and type that would collide."""
    wide_mm = measure_width_mm("26", 18, True)
    one, other = Text(0, 10, "26", 18, True), Text(wide_mm - 0.1, 10, "8", 14)
    assert meet(measure_box(one), measure_box(other))
    assert not meet(measure_box(one), measure_box(Text(wide_mm + 0.1, 10, "8", 14)))
