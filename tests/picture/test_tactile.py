"""Pieces of a raised page: line kinds that differ, whole dashes, open digits, the piece of the scale that is shown."""

from __future__ import annotations

import itertools
from fractions import Fraction

import pytest
from support.pictures import make_fill, make_syringe, measure_box
from support.touch import measure_box_gap

from fillcards.picture.items import Dot, Line
from fillcards.picture.tactile_marks import (
    DIGIT_HEIGHT_MM,
    draw_cells,
    draw_digits,
    draw_stop_line,
    draw_texture,
    measure_digits_mm,
)
from fillcards.picture.tactile_pieces import TactileTooSmall, choose_close_up, choose_pieces
from fillcards.picture.tactile_style import Medium, TactileStyle

SWELL = TactileStyle()
EMBOSSER = TactileStyle(Medium.EMBOSSER, 0.0)
HALF_INCH_MM = 12.7
QUARTER_INCH_MM = 6.35


@pytest.mark.parametrize("length_mm", [34.0, 50.0, 72.0])
@pytest.mark.parametrize("style", [SWELL, EMBOSSER])
def test_the_two_kinds_of_stop_line(style: TactileStyle, length_mm: float) -> None:
    """One is a single stroke; the other has dashes that stand whole at both ends, each longer than its gap."""
    (solid,) = draw_stop_line(10.0, 10.0 + length_mm, 5.0, is_final=True, style=style)
    dashes = draw_stop_line(10.0, 10.0 + length_mm, 5.0, is_final=False, style=style)
    assert solid.x1_mm == dashes[0].x1_mm
    assert solid.x2_mm == pytest.approx(dashes[-1].x2_mm)
    assert len(dashes) >= 2
    gaps = [after.x1_mm - before.x2_mm for before, after in itertools.pairwise(dashes)]
    assert min(gaps) >= style.gap_mm - 1e-9
    assert all(dash.x2_mm - dash.x1_mm > max(gaps) for dash in dashes)


@pytest.mark.parametrize("digit", "0123456789")
def test_raised_digits_are_large_and_open(digit: str) -> None:
    """Sides of half an inch (APH 1997), and strokes that do not meet stay 1/4 inch apart even inside a digit."""
    boxes = [measure_box(item) for item in draw_digits(digit, 10.0, 10.0, SWELL)]
    height = max(box[3] for box in boxes) - min(box[1] for box in boxes)
    assert height == pytest.approx(DIGIT_HEIGHT_MM)
    assert height >= HALF_INCH_MM
    if digit != "1":
        assert max(box[2] for box in boxes) - min(box[0] for box in boxes) >= HALF_INCH_MM
    gaps = [measure_box_gap(one, other) for one, other in itertools.combinations(boxes, 2)]
    assert all(gap < 1e-6 or gap >= QUARTER_INCH_MM for gap in gaps)


def test_raised_digits_differ() -> None:
    """No two digits have the same strokes."""
    drawn = {frozenset(map(measure_box, draw_digits(digit, 0.0, 0.0, SWELL))) for digit in "0123456789"}
    assert len(drawn) == 10


def test_raised_digits_take_the_width_they_say() -> None:
    """A number with a decimal point is as wide as measured."""
    boxes = [measure_box(item) for item in draw_digits("12.5", 10.0, 0.0, SWELL)]
    assert max(box[2] for box in boxes) - 10.0 == pytest.approx(measure_digits_mm("12.5", SWELL))


@pytest.mark.parametrize("index", [0, 1])
def test_textures_stay_inside(index: int) -> None:
    """All ink of a texture is inside its rectangle; the two have different kinds of marks."""
    items = draw_texture(index, 10.0, 20.0, 52.0, 47.0, SWELL)
    assert {type(item) for item in items} == {Dot if index == 1 else Line}
    for box in map(measure_box, items):
        assert box[0] >= 10.0 - 1e-6
        assert box[1] >= 20.0 - 1e-6
        assert box[2] <= 52.0 + 1e-6
        assert box[3] <= 47.0 + 1e-6


def test_a_full_cell() -> None:
    """The six dots of a full cell stand 2.34 mm apart in two columns of three, the next cell 6.2 mm on (NLS 800)."""
    dots = draw_cells("⠿⠁", 0.0, 0.0, EMBOSSER)
    radius = 1.44 / 2
    expected = [(radius + 2.34 * column, radius + 2.34 * row) for column in (0, 1) for row in (0, 1, 2)]
    assert [(dot.x_mm, dot.y_mm) for dot in dots[:6]] == [pytest.approx(place) for place in expected]
    assert (dots[6].x_mm, dots[6].y_mm) == pytest.approx((radius + 6.2, radius))


def test_a_swell_dot_is_smaller_by_its_growth() -> None:
    """What grows by a quarter of a millimetre in the heater is printed so much smaller, and its gaps wider."""
    style = TactileStyle(growth_mm=0.4)
    assert style.dot_mm == pytest.approx(1.44 - 0.4)
    assert style.gap_mm == pytest.approx(QUARTER_INCH_MM + 0.4)


def test_fifty_units_fit_one_page_on_swell_paper() -> None:
    """One line a unit, 1/4 inch apart, would take 317.5 mm: a page shows every fifth line, close-ups the rest."""
    syringe = make_syringe("U-100", "0.5", "1")
    (piece,) = choose_pieces(syringe, (Fraction(11), Fraction(34)), SWELL, 200.0)
    assert tuple(map(int, (piece.first, piece.last, piece.every))) == (0, 50, 5)


def test_near_stops_take_several_pages() -> None:
    """A first dose of one unit is told from the zero line only where the whole barrel no longer fits."""
    syringe = make_syringe("U-100", "1", "1")
    pieces = choose_pieces(syringe, (Fraction(1), Fraction(40)), SWELL, 200.0)
    assert len(pieces) > 1
    assert pieces[-1].last >= 40
    assert pieces[0].value_mm >= QUARTER_INCH_MM + 2.2


def test_a_close_up_shows_every_line_to_just_past_the_stop() -> None:
    """From the last number to one line past the stop: 10 to 12 for 11, 13 to 16 for 15 which has a number itself."""
    syringe = make_syringe("U-100", "0.5", "1")
    for stop, first, last in ((11, 10, 12), (15, 13, 16), (50, 48, 50)):
        piece = choose_close_up(syringe, make_fill(syringe, str(stop)).first, SWELL, 150.0)
        assert tuple(map(int, (piece.first, piece.last, piece.every))) == (first, last, 1)


@pytest.mark.parametrize("height_mm", [20.0, 60.0])
def test_too_small_a_page_is_told(height_mm: float) -> None:
    """Where not one numbered step, or not the lines of a close-up, can be told apart, the millimetres are named."""
    syringe = make_syringe("U-100", "1", "1")
    with pytest.raises(TactileTooSmall, match="mm"):
        choose_pieces(syringe, (Fraction(1),), SWELL, height_mm)
    with pytest.raises(TactileTooSmall, match="mm"):
        choose_close_up(syringe, make_fill(syringe, "19").first, SWELL, height_mm)
