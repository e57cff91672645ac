"""Patterns stay where they are put, whatever the rectangle, and can be told apart."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.pictures import measure_box

from fillcards.picture.items import Dot, Line
from fillcards.picture.orientation import Orientation
from fillcards.picture.patterns import FIRST_PATTERN, MIXTURE_PATTERN, Pattern, Region, draw_pattern
from fillcards.regimen.model import BarrelDirection

UPRIGHT = Orientation(BarrelDirection.NEEDLE_UP, 300, 60)

make_regions = st.builds(
    lambda near, length, low, width: Region(near, near + length, low, low + width),
    st.floats(0, 100),
    st.floats(0, 200),
    st.floats(0, 30),
    st.floats(0, 20),
)


@given(st.sampled_from(Pattern), make_regions)
def test_pattern_stays_inside_its_region(pattern: Pattern, region: Region) -> None:
    """Every stroke and dot lies whole in the rectangle."""
    for item in draw_pattern(pattern, region, UPRIGHT):
        left, top, right, bottom = measure_box(item)
        assert left >= region.low_mm - 1e-6
        assert right <= region.high_mm + 1e-6
        assert top >= region.near_mm - 1e-6
        assert bottom <= region.far_mm + 1e-6


@given(st.sampled_from(Pattern), make_regions)
def test_no_stroke_could_be_read_as_a_line_of_the_scale(pattern: Pattern, region: Region) -> None:
    """No stroke lies square to the barrel."""
    strokes = (item for item in draw_pattern(pattern, region, UPRIGHT) if isinstance(item, Line))
    assert all(abs(stroke.y2_mm - stroke.y1_mm) >= abs(stroke.x2_mm - stroke.x1_mm) - 1e-6 for stroke in strokes)


@pytest.mark.parametrize("pattern", Pattern)
def test_pattern_fills_its_region(pattern: Pattern) -> None:
    """No square of 4 mm in a region is left blank, so that no air seems to stand in the liquid."""
    region = Region(10, 60, 5, 15)
    boxes = [measure_box(item) for item in draw_pattern(pattern, region, UPRIGHT)]
    for top in range(10, 57):
        for left in range(5, 12):
            assert any(box[0] < left + 4 and box[2] > left and box[1] < top + 4 and box[3] > top for box in boxes), (
                left,
                top,
            )


def test_two_draws_differ_in_grey() -> None:
    """Blurred to grey, the mixture has at least 1.5 times the ink of the first liquid (our choice, no source)."""
    region = Region(0, 50, 0, 10)

    def measure_ink_mm2(pattern: Pattern) -> float:
        total = 0.0
        for item in draw_pattern(pattern, region, UPRIGHT):
            if isinstance(item, Line):
                total += ((item.x2_mm - item.x1_mm) ** 2 + (item.y2_mm - item.y1_mm) ** 2) ** 0.5 * item.width_mm
            elif isinstance(item, Dot):
                total += 3.14159 / 4 * item.diameter_mm**2
        return total

    assert measure_ink_mm2(MIXTURE_PATTERN) > 1.5 * measure_ink_mm2(FIRST_PATTERN) > 0
