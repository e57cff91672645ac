"""The life-size barrel is the real one's size, to the line; and what is measured on the print."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.pictures import ALL_SYRINGES, make_syringe, measure_box, meet

from fillcards.geometry import measure_bore_mm
from fillcards.picture.items import Dot, Drawing, Line, Polygon, Text
from fillcards.picture.print_check import draw_hundred_mm_bar, draw_id1_outline, draw_life_size
from fillcards.regimen.model import BarrelDirection, Syringe

UP = BarrelDirection.NEEDLE_UP


def find_level_lines(drawing: Drawing) -> list[Line]:
    """Lines of the scale with the needle up: thinner than the flanges."""
    level = [item for item in drawing.items if isinstance(item, Line) and item.y1_mm == item.y2_mm]
    return [item for item in level if item.width_mm < 0.5]


@given(st.sampled_from(ALL_SYRINGES), st.integers(41, 120))
def test_scale_is_as_long_as_measured(syringe: Syringe, length_mm: int) -> None:
    """Zero line to last line, centre to centre, is the length somebody measured."""
    measured = make_syringe(syringe.scale.value, str(syringe.capacity_ml), str(syringe.line_every), length_mm)
    places_mm = [line.y1_mm for line in find_level_lines(draw_life_size(measured, UP))]
    assert max(places_mm) - min(places_mm) == pytest.approx(length_mm, abs=1e-6)


def test_lines_are_as_thick_as_the_standard_allows() -> None:
    """0.2 mm to 0.4 mm (ISO 8537:2007, 9.1)."""
    widths = {line.width_mm for line in find_level_lines(draw_life_size(make_syringe("U-100", "0.5", "1", 48), UP))}
    assert widths
    assert all(0.2 <= width <= 0.4 for width in widths)


def test_bore_is_true_too() -> None:
    """The walls' inner faces are the bore apart that volume and length ask for."""
    syringe = make_syringe("U-100", "0.5", "1", 43)
    drawing = draw_life_size(syringe, UP)
    barrel = next(item for item in drawing.items if isinstance(item, Polygon) and item.outline_mm)
    across = [x for x, _ in barrel.points_mm]
    assert max(across) - min(across) - barrel.outline_mm == pytest.approx(measure_bore_mm(0.5, 43), abs=1e-6)
    assert measure_bore_mm(0.5, 43) == pytest.approx(3.85, abs=0.005)


def test_an_unmeasured_syringe_has_no_life_size_picture() -> None:
    """A standard's shortest length is never passed off as this barrel's."""
    with pytest.raises(ValueError, match="measured"):
        draw_life_size(make_syringe("U-100", "0.5", "1"), UP)


@given(st.sampled_from(ALL_SYRINGES), st.sampled_from(BarrelDirection))
def test_life_size_barrel_is_empty_and_clear_to_read(syringe: Syringe, direction: BarrelDirection) -> None:
    """No liquid and no stop; numbers of 10 pt or more that touch neither each other nor the edge of the picture."""
    length_mm = int(syringe.shortest_scale_length_mm)
    measured = make_syringe(syringe.scale.value, str(syringe.capacity_ml), str(syringe.line_every), length_mm)
    drawing = draw_life_size(measured, direction)
    texts = [item for item in drawing.items if isinstance(item, Text)]
    assert len(texts) >= 3
    assert all(item.size_pt >= 10 and not item.bold for item in texts)
    assert not any(meet(measure_box(one), measure_box(other)) for one in texts for other in texts if one is not other)
    assert not any(isinstance(item, Dot) for item in drawing.items)
    for item in drawing.items:
        left, top, right, bottom = measure_box(item)
        assert min(left, top) >= -1e-6
        assert right <= drawing.width_mm + 1e-6
        assert bottom <= drawing.height_mm + 1e-6


def test_bar_is_100_mm_between_its_end_ticks() -> None:
    """The two long ticks are exactly 100 mm apart, centre to centre, and the nine between are 10 mm apart."""
    drawing = draw_hundred_mm_bar()
    ticks = sorted(
        (item for item in drawing.items if isinstance(item, Line) and item.x1_mm == item.x2_mm), key=lambda t: t.x1_mm
    )
    assert [tick.x1_mm - ticks[0].x1_mm for tick in ticks] == pytest.approx([10 * index for index in range(11)])
    long_mm = abs(ticks[0].y2_mm - ticks[0].y1_mm)
    assert abs(ticks[-1].y2_mm - ticks[-1].y1_mm) == long_mm
    assert all(abs(tick.y2_mm - tick.y1_mm) < long_mm for tick in ticks[1:-1])


def test_card_outline_has_the_size_of_the_standard() -> None:
    """85.60 mm by 53.98 mm with corners of 2.88 mm to 3.48 mm radius (ISO/IEC 7810, ID-1)."""
    outline = draw_id1_outline().items[0]
    assert isinstance(outline, Polygon)
    xs, ys = zip(*outline.points_mm, strict=True)
    assert (max(xs) - min(xs), max(ys) - min(ys)) == pytest.approx((85.60, 53.98), abs=1e-9)
    straight_top = [x for x, y in outline.points_mm if y == pytest.approx(min(ys))]
    assert 2.88 <= min(straight_top) - min(xs) <= 3.48


@pytest.mark.parametrize("drawing", [draw_hundred_mm_bar(), draw_id1_outline()], ids=["bar", "outline"])
def test_print_check_stays_in_its_box(drawing: Drawing) -> None:
    """Nothing of it can be cut off by what stands beside it."""
    for item in drawing.items:
        left, top, right, bottom = measure_box(item)
        assert min(left, top) >= -1e-6
        assert right <= drawing.width_mm + 1e-6
        assert bottom <= drawing.height_mm + 1e-6
