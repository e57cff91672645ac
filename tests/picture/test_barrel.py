"""Claims about the whole barrel and the window of a scale, over every scale of the catalogue, measured on the items."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.pictures import ALL_SYRINGES, EASE_MM, is_inside, make_syringe, measure_box, meet, name_syringe, pick_lines

from fillcards.picture.items import Dot, Drawing, Ink, Item, Line, Polygon, Text
from fillcards.picture.pen import make_ink_pen
from fillcards.picture.scale_view import BarrelDrawing, Side, StopMark, choose_window, draw_barrel, draw_close_up
from fillcards.picture.scene import Filling, Portion
from fillcards.quantities import write_number
from fillcards.regimen.model import BarrelDirection, Syringe

UP = BarrelDirection.NEEDLE_UP
SCALE_LENGTH_MM = 120.0
SIZES_PT = (18, 24, 36)

Stops = tuple[Syringe, tuple[Fraction, ...]]


@st.composite
def make_stops(draw: st.DrawFn, least: int = 1) -> Stops:
    """Any scale of the catalogue, and one or two of its lines."""
    syringe = draw(st.sampled_from(ALL_SYRINGES))
    last = int(syringe.last_line / syringe.line_every)
    lines = draw(st.lists(st.integers(1, last), min_size=least, max_size=2, unique=True))
    return syringe, tuple(line * syringe.line_every for line in sorted(lines))


def fill_up(stops: tuple[Fraction, ...]) -> tuple[Portion, ...]:
    """First portion to the first stop, second from there to the next."""
    starts = (Fraction(0), *stops)
    return tuple(
        Portion(start, end, filling)
        for (start, end), filling in zip(pairwise(starts), (Filling.FIRST, Filling.SECOND), strict=False)
    )


def draw_last(
    stops: Stops,
    direction: BarrelDirection = UP,
    size_pt: float = 18,
    numbers: Side = Side.AFTER,
    *,
    marked: bool = True,
) -> BarrelDrawing:
    """The barrel after the last draw, a wedge at every stop."""
    syringe, values = stops
    return draw_barrel(
        syringe,
        fill_up(values),
        values[-1],
        direction,
        make_ink_pen(size_pt),
        scale_length_mm=SCALE_LENGTH_MM,
        number_pt=size_pt,
        marks=tuple(StopMark(value, write_number(value)) for value in values) if marked else (),
        numbers=numbers,
    )


def measure_along(points: tuple[tuple[float, float], ...], direction: BarrelDirection) -> list[float]:
    """How far each point is from the needle's side of the page."""
    return {
        UP: [y for _, y in points],
        BarrelDirection.NEEDLE_LEFT: [x for x, _ in points],
        BarrelDirection.NEEDLE_RIGHT: [-x for x, _ in points],
    }[direction]


def measure_across(points: tuple[tuple[float, float], ...], direction: BarrelDirection) -> list[float]:
    """Place of each point across the barrel."""
    return [x if direction is UP else y for x, y in points]


def find_stopper(items: tuple[Item, ...], direction: BarrelDirection) -> Polygon:
    """The only filled shape of 4 corners that spans the bore from inner wall to inner wall."""
    barrel = next(item for item in items if isinstance(item, Polygon) and item.outline_mm and len(item.points_mm) == 4)
    across = measure_across(barrel.points_mm, direction)
    inner = min(across) + barrel.outline_mm / 2, max(across) - barrel.outline_mm / 2
    found = [
        item
        for item in items
        if isinstance(item, Polygon)
        and item.fill is Ink.BLACK
        and len(item.points_mm) == 4
        and min(measure_across(item.points_mm, direction)) == pytest.approx(inner[0], abs=EASE_MM)
        and max(measure_across(item.points_mm, direction)) == pytest.approx(inner[1], abs=EASE_MM)
    ]
    assert len(found) == 1
    return found[0]


def find_scale(drawing: Drawing, direction: BarrelDirection, pitch_mm: float, size_pt: float) -> list[float]:
    """Along, where the lines of the scale stand: solid level lines no thicker than the pen's stroke, from one wall."""
    thin_mm = min(0.035 * size_pt, pitch_mm / 2)
    lines = [
        ((line.x1_mm, line.y1_mm), (line.x2_mm, line.y2_mm))
        for line in drawing.items
        if isinstance(line, Line) and not line.dash_mm and line.width_mm == pytest.approx(thin_mm)
    ]
    level = [ends for ends in lines if math.isclose(*measure_along(ends, direction), abs_tol=1e-9)]
    walls = [measure_across(ends, direction)[0] for ends in level]
    wall = max(set(walls), key=lambda place: sum(abs(other - place) < EASE_MM for other in walls))
    return sorted(
        measure_along(ends, direction)[0] for ends in level if abs(measure_across(ends, direction)[0] - wall) < EASE_MM
    )


@pytest.mark.parametrize("direction", BarrelDirection)
@pytest.mark.parametrize("syringe", ALL_SYRINGES, ids=name_syringe)
def test_stopper_edge_stands_on_every_line(syringe: Syringe, direction: BarrelDirection) -> None:
    """Nearest the needle, the stopper's edge is as far down the scale as the stop's share of the last line."""
    every = syringe.line_every
    for stop in pick_lines(syringe):
        made = draw_last((syringe, (stop,)), direction)
        scale = find_scale(made.drawing, direction, made.pitch_mm, 18)
        assert len(scale) == int(syringe.last_line / every) + 1
        edge = min(measure_along(find_stopper(made.drawing.items, direction).points_mm, direction))
        share = (edge - scale[0]) / (scale[-1] - scale[0])
        assert share == pytest.approx(float(stop / syringe.last_line), abs=1e-9)
        assert edge == pytest.approx(scale[int(stop / every)], abs=EASE_MM)


@given(make_stops(), st.sampled_from(BarrelDirection), st.sampled_from(Side))
def test_tie_point_is_the_edge_at_the_outer_wall(stops: Stops, direction: BarrelDirection, numbers: Side) -> None:
    """What the layout ties a figure to lies at the reading edge, on the wall away from the numbers."""
    made = draw_last(stops, direction, numbers=numbers)
    place = ((made.edge_x_mm, made.edge_y_mm),)
    stopper = find_stopper(made.drawing.items, direction)
    assert measure_along(place, direction)[0] == pytest.approx(min(measure_along(stopper.points_mm, direction)))
    barrel = next(item for item in made.drawing.items if isinstance(item, Polygon) and item.outline_mm)
    across = [
        value + side * barrel.outline_mm / 2
        for value, side in zip(sorted(set(measure_across(barrel.points_mm, direction))), (-1, 1), strict=True)
    ]
    assert measure_across(place, direction)[0] == pytest.approx(across[0 if numbers is Side.AFTER else 1])


@given(make_stops(), st.sampled_from(BarrelDirection), st.sampled_from(SIZES_PT), st.sampled_from(Side))
def test_nothing_leaves_the_drawing(stops: Stops, direction: BarrelDirection, size_pt: int, numbers: Side) -> None:
    """Every item lies in the drawing's box, with the whole width of its strokes."""
    assert is_inside(draw_last(stops, direction, size_pt, numbers).drawing)


@given(make_stops(), st.sampled_from(BarrelDirection), st.sampled_from(SIZES_PT))
def test_words_and_wedges_never_touch(stops: Stops, direction: BarrelDirection, size_pt: int) -> None:
    """Scale numbers and the numbers at stops keep apart, however near the stops."""
    items = draw_last(stops, direction, size_pt).drawing.items
    texts = [measure_box(item) for item in items if isinstance(item, Text)]
    assert not any(meet(one, other) for one, other in combinations(texts, 2))


@given(make_stops(), st.sampled_from(BarrelDirection), st.sampled_from(SIZES_PT))
def test_wedge_points_at_its_stop(stops: Stops, direction: BarrelDirection, size_pt: int) -> None:
    """Each wedge is a filled triangle; its tip, the corner nearest the barrel, lies on its stop's line."""
    made = draw_last(stops, direction, size_pt)
    wedges = [item for item in made.drawing.items if isinstance(item, Polygon) and len(item.points_mm) == 3]
    assert len(wedges) == len(stops[1])
    scale = find_scale(made.drawing, direction, made.pitch_mm, size_pt)
    for wedge, stop in zip(wedges, stops[1], strict=True):
        assert wedge.fill is Ink.BLACK
        tip = max(wedge.points_mm, key=lambda point: measure_across((point,), direction)[0])
        share = (measure_along((tip,), direction)[0] - scale[0]) / (scale[-1] - scale[0])
        assert share == pytest.approx(float(stop / stops[0].last_line), abs=1e-9)


@given(make_stops(least=2), st.sampled_from(BarrelDirection))
def test_total_shows_both_portions(stops: Stops, direction: BarrelDirection) -> None:
    """Slants lie before the first stop, dots after it, a broken mark between, and no number at that mark."""
    made = draw_last(stops, direction, marked=False)
    scale = find_scale(made.drawing, direction, made.pitch_mm, 18)
    first, total = (scale[int(stop / stops[0].line_every)] for stop in stops[1])
    broken = [item for item in made.drawing.items if isinstance(item, Line) and item.dash_mm]
    assert len(broken) == 1
    ends = ((broken[0].x1_mm, broken[0].y1_mm), (broken[0].x2_mm, broken[0].y2_mm))
    assert measure_along(ends, direction) == pytest.approx([first, first])
    dots = [item for item in made.drawing.items if isinstance(item, Dot)]
    for dot in dots:
        place = measure_along(((dot.x_mm, dot.y_mm),), direction)[0]
        assert first < place - dot.diameter_mm / 2
        assert place + dot.diameter_mm / 2 <= total + EASE_MM
    slants = [
        ((item.x1_mm, item.y1_mm), (item.x2_mm, item.y2_mm))
        for item in made.drawing.items
        if isinstance(item, Line)
        and not math.isclose(item.x1_mm, item.x2_mm)
        and not math.isclose(item.y1_mm, item.y2_mm)
    ]
    assert all(max(measure_along(slant, direction)) < first for slant in slants)
    if made.pitch_mm * float((stops[1][0]) / stops[0].line_every) > 4:
        assert slants
    bold = [item.text for item in made.drawing.items if isinstance(item, Text) and item.bold]
    assert bold == []


@given(make_stops())
def test_slants_rise_to_the_right(stops: Stops) -> None:
    """In every picture the first filling leans the same way."""
    for direction in BarrelDirection:
        for numbers in Side:
            for item in draw_last(stops, direction, numbers=numbers).drawing.items:
                if (
                    isinstance(item, Line)
                    and abs(item.x1_mm - item.x2_mm) > 1e-3
                    and abs(item.y1_mm - item.y2_mm) > 1e-3
                ):
                    assert (item.x1_mm - item.x2_mm) * (item.y1_mm - item.y2_mm) < 0


@given(make_stops(), st.sampled_from(BarrelDirection))
def test_nothing_gets_smaller_as_type_grows(stops: Stops, direction: BarrelDirection) -> None:
    """Same scale length, larger reader: no stroke, no number and no wedge is smaller than before."""
    before: dict[str, float] = {}
    for size_pt in range(18, 64, 3):
        items = draw_last(stops, direction, size_pt).drawing.items
        now = {
            "thinnest stroke": min(item.width_mm for item in items if isinstance(item, Line)),
            "outline": max(item.outline_mm for item in items if isinstance(item, Polygon)),
            "number": min(item.size_pt for item in items if isinstance(item, Text)),
            "bore": max(
                max(measure_across(item.points_mm, direction)) - min(measure_across(item.points_mm, direction))
                for item in items
                if isinstance(item, Polygon) and item.outline_mm
            ),
        }
        assert all(now[key] >= before.get(key, 0.0) - EASE_MM for key in now)
        before = now


@given(make_stops())
def test_stopper_is_thinner_than_half_a_line(stops: Stops) -> None:
    """Its other end never comes near the next line, so that nobody reads it there."""
    made = draw_last(stops)
    along = measure_along(find_stopper(made.drawing.items, UP).points_mm, UP)
    assert max(along) - min(along) <= made.pitch_mm / 2 + EASE_MM


@given(make_stops(), st.sampled_from(BarrelDirection), st.sampled_from(Side))
def test_measured_is_what_is_drawn(stops: Stops, direction: BarrelDirection, numbers: Side) -> None:
    """The size told beforehand is the drawing's."""
    syringe, values = stops
    portions, pen = fill_up(values), make_ink_pen(18)
    draft, made = (
        draw_barrel(
            syringe,
            portions,
            values[-1],
            direction,
            pen,
            scale_length_mm=120.0,
            number_pt=18,
            numbers=numbers,
            is_draft=is_draft,
        ).drawing
        for is_draft in (True, False)
    )
    assert (draft.width_mm, draft.height_mm) == pytest.approx((made.width_mm, made.height_mm))


@pytest.mark.parametrize("value", [Fraction(-1), Fraction(51)])
def test_a_stop_off_the_scale_is_refused(value: Fraction) -> None:
    """Nothing is drawn at a place the barrel does not have."""
    syringe = make_syringe("U-100", "0.5", "1")
    with pytest.raises(ValueError, match="not on a scale"):
        draw_barrel(syringe, (), value, UP, make_ink_pen(18), scale_length_mm=120.0, number_pt=18)


@given(make_stops(), st.sampled_from(SIZES_PT))
def test_window_shows_every_line_at_the_pitch(stops: Stops, size_pt: int) -> None:
    """Neighbouring lines are the wanted pitch apart, which leaves the reader's least stroke and least gap."""
    syringe, values = stops
    window = choose_window(syringe, values[-1], 8, 14)
    pitch_mm = 1.2 * 0.07 * size_pt  # one least stroke and one least gap, and a fifth more
    made = draw_close_up(
        syringe,
        window,
        fill_up(values),
        values[-1],
        UP,
        make_ink_pen(size_pt),
        pitch_mm=pitch_mm,
        number_pt=size_pt,
        bore_mm=0.63 * size_pt,
        marks=(StopMark(values[-1], write_number(values[-1])),),
    )
    assert is_inside(made.drawing)
    scale = find_scale(made.drawing, UP, pitch_mm, size_pt)
    assert len(scale) == int((window.last - window.first) / syringe.line_every) + 1
    assert [after - before for before, after in pairwise(scale)] == pytest.approx([pitch_mm] * (len(scale) - 1))
    stop_mm = scale[int((values[-1] - window.first) / syringe.line_every)]
    assert made.edge_y_mm == pytest.approx(stop_mm)
    wedge = next(item for item in made.drawing.items if isinstance(item, Polygon) and len(item.points_mm) == 3)
    assert max(wedge.points_mm)[1] == pytest.approx(stop_mm)


@given(make_stops())
def test_window_holds_the_stop_and_the_number_counted_from(stops: Stops) -> None:
    """A window without the number before its stop could not be counted in."""
    syringe, values = stops
    for stop in values:
        window = choose_window(syringe, stop, 8, 14)
        assert 0 <= window.first <= stop // syringe.numbered_every * syringe.numbered_every
        assert stop <= window.last <= syringe.last_line
