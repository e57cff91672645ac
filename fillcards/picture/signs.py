"""Signs beside words: the time of day, so that two cards on one door are told apart unread, and the telephone.

A sun that rises has its rays over the horizon, a high one all round; one that sets has sunk under it, an arrow above.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from enum import Enum

from fillcards.picture.items import Drawing, Item, Line
from fillcards.picture.kit import Point, arc, draw_round, draw_solid, draw_solid_round, enclose
from fillcards.picture.pen import Pen


class Sign(Enum):
    """When a fill is injected."""

    RISING_SUN = "rising sun"
    HIGH_SUN = "high sun"
    SETTING_SUN = "setting sun"
    MOON = "moon"
    CLOCK = "clock"


def draw_sign(sign: Sign, size_mm: float, pen: Pen, clock: tuple[int, int] | None = None) -> Drawing:
    """A sign, as wide as ``size_mm`` and at most as high.

    Args:
        sign: which.
        size_mm: its width.
        pen: how heavy; lines are outlines of the pen, thinner only where the sign is too small for them.
        clock: hour and minute, for the clock's hands.

    Raises:
        ValueError: a clock without a time.
    """
    line_mm = min(pen.outline_mm, size_mm / 10)
    match sign:
        case Sign.MOON:
            items = _draw_moon(size_mm)
        case Sign.CLOCK:
            if clock is None:
                raise ValueError("a clock without a time")
            items = _draw_clock(size_mm, line_mm, *clock)
        case _:
            items = _draw_sun(sign, size_mm, line_mm)
    return enclose(items)[0]


def draw_phone(size_mm: float, pen: Pen) -> Drawing:
    """A telephone's receiver, ``size_mm`` wide and high, its handle no thinner than an outline of the pen."""
    outer_mm = 0.613 * size_mm
    handle_mm, cup_mm = outer_mm - max(0.26 * outer_mm, pen.outline_mm), 0.44 * outer_mm
    bends = ((outer_mm, 57, 213), (cup_mm, 213, 180), (handle_mm, 180, 90), (cup_mm, 90, 57))
    points = [point for radius_mm, start, end in bends for point in arc((0.0, 0.0), (radius_mm,) * 2, start, end, 12)]
    return enclose([draw_solid(points)])[0]


def _draw_sun(sign: Sign, size_mm: float, line_mm: float) -> Iterator[Item]:
    middle_mm, radius_mm = size_mm / 2, 0.22 * size_mm
    level_mm = middle_mm

    def ray(degrees: float) -> Line:
        return _draw_ray((middle_mm, level_mm), degrees, radius_mm + 0.10 * size_mm, 0.5 * size_mm, line_mm)

    if sign is Sign.HIGH_SUN:
        yield draw_solid_round((middle_mm, level_mm), 2 * radius_mm)
        yield from (ray(45.0 * index) for index in range(8))
        return
    side = -1 if sign is Sign.RISING_SUN else 1
    yield draw_solid(arc((middle_mm, level_mm), (radius_mm, radius_mm), 0, side * 180, 24))
    yield from (ray(side * degrees) for degrees in (30.0, 60.0, 90.0, 120.0, 150.0))
    horizon_mm = level_mm - side * line_mm / 2
    yield Line(0.0, horizon_mm, size_mm, horizon_mm, line_mm)
    if sign is Sign.RISING_SUN:
        return
    point_mm, half_mm, top_mm = horizon_mm - 0.08 * size_mm, 0.16 * size_mm, horizon_mm - 0.42 * size_mm
    yield draw_solid(
        [(middle_mm - half_mm, point_mm - half_mm), (middle_mm + half_mm, point_mm - half_mm), (middle_mm, point_mm)]
    )
    yield Line(middle_mm, top_mm, middle_mm, point_mm - half_mm, line_mm)


def _draw_moon(size_mm: float) -> Iterator[Item]:
    """A crescent: two circles through the same horns, which stand 55 degrees to both sides of where it opens to."""
    radius_mm, opens_to, horn, inward = size_mm / 2, -30.0, 55.0, 0.42 * size_mm / 2
    turn = math.radians(horn)
    inner_mm = math.hypot(radius_mm * math.cos(turn) - inward, radius_mm * math.sin(turn))
    from_inside = math.degrees(math.atan2(radius_mm * math.sin(turn), radius_mm * math.cos(turn) - inward))
    middle = (inward * math.cos(math.radians(opens_to)), inward * math.sin(math.radians(opens_to)))
    outer = arc((0.0, 0.0), (radius_mm, radius_mm), opens_to + horn, opens_to + 360 - horn, 40)
    inner = arc(middle, (inner_mm, inner_mm), opens_to + 360 - from_inside, opens_to + from_inside, 30)
    yield draw_solid([*outer, *inner[1:-1]])


def _draw_clock(size_mm: float, line_mm: float, hour: int, minute: int) -> Iterator[Item]:
    middle_mm = size_mm / 2
    # The stroke's mitres reach a little past half its width.
    yield draw_round((middle_mm, middle_mm), size_mm - 1.01 * line_mm, line_mm, 48)

    def hand(turns: float, start: float, end: float, width_mm: float) -> Line:
        return _draw_ray((middle_mm, middle_mm), 360 * turns - 90, start * size_mm, end * size_mm, width_mm)

    for index in range(12):
        start = 0.32 if index % 3 == 0 else 0.37
        yield hand(index / 12, start, 0.5 - line_mm / size_mm, line_mm if index % 3 == 0 else 0.6 * line_mm)
    yield hand((hour % 12 + minute / 60) / 12, -0.04, 0.20, 1.3 * line_mm)
    yield hand(minute / 60, -0.04, 0.29, line_mm)


def _draw_ray(centre: Point, degrees: float, near_mm: float, far_mm: float, width_mm: float) -> Line:
    """A stroke away from a centre, clockwise from the right."""
    x_mm, y_mm = centre
    dx, dy = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return Line(x_mm + near_mm * dx, y_mm + near_mm * dy, x_mm + far_mm * dx, y_mm + far_mm * dy, width_mm)
