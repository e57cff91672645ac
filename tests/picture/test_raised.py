"""Raised barrels keep what a finger needs, by the measures and sources of ``tactile_style``."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.pictures import ALL_SYRINGES, is_inside, measure_box

from fillcards.picture.items import Dot, Line, Polygon, Text
from fillcards.picture.pen import Pen, make_raised_pen
from fillcards.picture.scale_view import BarrelDrawing, Side, StopMark, draw_barrel
from fillcards.picture.scene import Filling, Portion
from fillcards.picture.tactile_style import DEFAULT_STYLE, LEAST_GAP_MM, Medium, TactileStyle, draw_cells
from fillcards.regimen.model import BarrelDirection, Syringe

# Digits 1 to 9 and 0 are the letters a to j after a number sign (Unified English Braille, 6.1 and 6.2).
DIGITS = dict(zip("1234567890.", "⠁⠃⠉⠙⠑⠋⠛⠓⠊⠚⠲", strict=True))


def make_pen(style: TactileStyle = DEFAULT_STYLE) -> Pen:
    """A pen that writes plain numbers in braille."""
    return make_raised_pen(
        style, lambda text: draw_cells("⠼" + "".join(DIGITS[letter] for letter in text), 0, 0, style)
    )


@st.composite
def make_raised(draw: st.DrawFn) -> tuple[Syringe, Fraction, Fraction, BarrelDrawing]:
    """Any scale with two stops at least a fifth of the scale apart, and its raised barrel 200 mm long."""
    syringe = draw(st.sampled_from(ALL_SYRINGES))
    last = int(syringe.last_line / syringe.line_every)
    first = draw(st.integers(-(-last // 5), last * 3 // 5))
    total = draw(st.integers(first + last // 5, last))
    stops = first * syringe.line_every, total * syringe.line_every
    portions = Portion(Fraction(0), stops[0], Filling.FIRST), Portion(*stops, Filling.SECOND)
    marks = StopMark(stops[0], "1", is_passed=True), StopMark(stops[1], "2")
    made = draw_barrel(
        *(syringe, portions, None, BarrelDirection.NEEDLE_UP, make_pen()),
        scale_length_mm=200.0,
        number_pt=24,
        marks=marks,
        numbers=Side.BEFORE,
    )
    return syringe, *stops, made


@given(make_raised())
def test_no_line_is_thinner_than_one_millimetre(raised: tuple[Syringe, Fraction, Fraction, BarrelDrawing]) -> None:
    """Thinner lines do not rise on swell paper (common practice, no source)."""
    assert all(item.width_mm >= 1.0 for item in raised[-1].drawing.items if isinstance(item, Line))
    assert is_inside(raised[-1].drawing)


@given(make_raised())
def test_stops_stand_where_they_should(raised: tuple[Syringe, Fraction, Fraction, BarrelDrawing]) -> None:
    """Solid where the plunger stays, broken where it goes on, each at its share of the scale."""
    syringe, first, total, made = raised
    stops = sorted(
        {round(item.y1_mm, 6) for item in made.drawing.items if isinstance(item, Line) and item.width_mm == 2.2}
    )
    # The needle's line is as thin as the scale's, so only stops are 2.2 mm.
    assert len(stops) == 2
    assert stops[1] - stops[0] == pytest.approx(float((total - first) / syringe.last_line) * 200.0)
    pieces = [
        sum(
            isinstance(item, Line) and item.width_mm == 2.2 and round(item.y1_mm, 6) == stop
            for item in made.drawing.items
        )
        for stop in stops
    ]
    assert pieces[0] > 1
    assert pieces[1] == 1


@given(make_raised())
def test_lines_of_the_scale_are_felt_apart(raised: tuple[Syringe, Fraction, Fraction, BarrelDrawing]) -> None:
    """From one level line to the next there is the swell paper's quarter inch (``hasty-tactile``)."""
    level = sorted(
        {
            (round(item.y1_mm, 6), item.width_mm)
            for item in raised[-1].drawing.items
            if isinstance(item, Line) and item.y1_mm == item.y2_mm
        }
    )
    for (one_mm, one_width), (other_mm, other_width) in pairwise(level):
        assert other_mm - one_mm - (one_width + other_width) / 2 >= 6.35 - 1e-6


@pytest.mark.parametrize("medium", Medium)
def test_texture_is_not_braille(medium: Medium) -> None:
    """Dots of a filling are wider than a cell's and further apart than the least gap of an eighth of an inch."""
    pen = make_pen(TactileStyle(medium=medium))
    assert pen.dot_mm > DEFAULT_STYLE.dot_mm + 0.5
    assert pen.dot_pitch_mm / 2**0.5 - pen.dot_mm >= LEAST_GAP_MM * 0.3


@given(make_raised())
def test_print_stands_beside_the_braille(raised: tuple[Syringe, Fraction, Fraction, BarrelDrawing]) -> None:
    """Every number is there for readers of both, in print of 24 pt, and its braille touches nothing of it."""
    items = raised[-1].drawing.items
    texts = [item for item in items if isinstance(item, Text)]
    assert {item.size_pt for item in texts} == {24.0}
    cells = [measure_box(item) for item in items if isinstance(item, Dot) and item.diameter_mm < 1.5]
    assert cells
    for text in texts:
        left, top, right, bottom = measure_box(text)
        assert not any(left < box[2] and box[0] < right and top < box[3] and box[1] < bottom for box in cells)


def test_a_raised_barrel_has_no_stopper() -> None:
    """What a finger would meet behind the stop is left out; the hub alone is a filled shape."""
    syringe = ALL_SYRINGES[2]
    made = draw_barrel(
        *(syringe, (), Fraction(10), BarrelDirection.NEEDLE_UP, make_pen()), scale_length_mm=200.0, number_pt=24
    )
    assert len([item for item in made.drawing.items if isinstance(item, Polygon)]) == 1
