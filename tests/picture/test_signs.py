"""The time of day and the telephone: each sign is itself, at every size."""

from __future__ import annotations

import math

import pytest
from support.pictures import is_inside

from fillcards.picture.items import Line, Polygon
from fillcards.picture.pen import make_ink_pen
from fillcards.picture.signs import Sign, draw_phone, draw_sign

PEN = make_ink_pen(18)


@pytest.mark.parametrize("sign", Sign)
@pytest.mark.parametrize("size_mm", [6.0, 12.0, 24.0])
def test_sign_stays_in_its_size(sign: Sign, size_mm: float) -> None:
    """No sign is wider or higher than it was asked for, and none much smaller."""
    drawing = draw_sign(sign, size_mm, PEN, (7, 30))
    assert is_inside(drawing)
    assert 0.9 * size_mm <= max(drawing.width_mm, drawing.height_mm) <= size_mm + 1e-6


@pytest.mark.parametrize(("hour", "minute"), [(0, 0), (3, 0), (7, 30), (12, 15), (21, 45)])
def test_clock_hands_show_the_time(hour: int, minute: int) -> None:
    """The long hand's angle is the minute's, the short hand's the hour's with its part of the next."""
    drawing = draw_sign(Sign.CLOCK, 20.0, PEN, (hour, minute))
    short, long = [item for item in drawing.items if isinstance(item, Line)][-2:]
    for hand, turns in ((short, (hour % 12 + minute / 60) / 12), (long, minute / 60)):
        angle = math.atan2(hand.x2_mm - hand.x1_mm, hand.y1_mm - hand.y2_mm) / (2 * math.pi) % 1
        assert min(abs(angle - turns), 1 - abs(angle - turns)) < 1e-6
    assert math.dist(short[:2], short[2:4]) < math.dist(long[:2], long[2:4])


def test_morning_and_evening_are_told_apart() -> None:
    """The rising sun and its rays are over the horizon, the setting sun and its rays under it, with an arrow above."""
    for sign, side in ((Sign.RISING_SUN, -1), (Sign.SETTING_SUN, 1)):
        items = draw_sign(sign, 12.0, PEN).items
        horizon, *rays = sorted(
            (item for item in items if isinstance(item, Line)), key=lambda item: -abs(item.x1_mm - item.x2_mm)
        )
        sun, *arrow = sorted((item for item in items if isinstance(item, Polygon)), key=lambda item: -len(item[0]))
        assert all((y - horizon.y1_mm) * side > -PEN.outline_mm for _, y in sun.points_mm)
        assert sum((ray.y1_mm - horizon.y1_mm) * side > 0 for ray in rays) == 5
        assert [len(item.points_mm) for item in arrow] == ([] if sign is Sign.RISING_SUN else [3])
        assert all(y < horizon.y1_mm for item in arrow for _, y in item.points_mm)


def test_a_clock_needs_a_time() -> None:
    """No hand is ever made up."""
    with pytest.raises(ValueError, match="without a time"):
        draw_sign(Sign.CLOCK, 20.0, PEN)


def test_phone_has_the_height_of_its_line() -> None:
    """As high as it was asked for, so that it stands beside a number."""
    drawing = draw_phone(9.0, PEN)
    assert is_inside(drawing)
    assert max(drawing.width_mm, drawing.height_mm) == pytest.approx(9.0, abs=0.6)
