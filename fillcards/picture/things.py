"""Things in scenes that carry no amount: hand, tap, skin, sharps box, magnifier, eye, mouth, paw.

Every function takes the place of its left upper corner in mm and draws in gaps of the pen from there.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import pairwise

from fillcards.picture.items import Dot, Item, Line
from fillcards.picture.kit import (
    Axes,
    Point,
    Region,
    arc,
    draw_drop,
    draw_round,
    draw_solid_round,
    fill,
    lay_grid,
    make_dash,
)
from fillcards.picture.pen import Pen
from fillcards.picture.scene import VialLook


def draw_tap(pen: Pen, x_mm: float, y_mm: float) -> Iterator[Item]:
    """A tap and drops of water, whose middle is 9 gaps to the right; 13 wide and 20.3 high."""
    grid = lay_grid(pen, x_mm, y_mm)
    bend = [*arc((7.4, 6.6), (3.4, 3.4), -90, 0, 6), (10.8, 9.5), (7.2, 9.5), (7.2, 6.8), (0.0, 6.8), (0.0, 3.2)]
    yield grid.shape(bend, filled=True)
    yield grid.line((4.6, 1.0), (4.6, 3.4), 2 * pen.stroke_mm)
    yield grid.line((1.6, 0.9), (7.6, 0.9), 1.8 * pen.stroke_mm)
    yield from (draw_drop(*grid.place(*place), 2.6 * pen.gap_mm) for place in ((9.0, 11.0), (6.2, 16.4), (11.8, 16.4)))


def draw_hand(pen: Pen, x_mm: float, y_mm: float) -> Iterator[Item]:
    """An open hand, fingers up, 18 wide and 23 high."""
    grid = lay_grid(pen, x_mm, y_mm)
    tops = ((6.2, 2.4), (9.4, 0.75), (12.6, 1.5), (15.8, 4.4))
    points: list[Point] = [(6.2, 22.2), (5.4, 18.6), *arc((2.2, 11.6), (1.5, 1.5), 135, 320, 6), (4.6, 13.6)]
    points += [point for x, top in tops for point in arc((x, top + 1.6), (1.6, 1.6), 180, 360, 6)]
    yield grid.shape([*points, (17.4, 15.6), (15.4, 19.4), (14.8, 22.2)], outline_mm=pen.outline_mm)
    for (_, before), (x, top) in pairwise(tops):
        yield grid.line((x - 1.6, max(top, before) + 1.4), (x - 1.6, 12.4), pen.stroke_mm)


def draw_rolled_vial(look: VialLook, pen: Pen, x_mm: float, y_mm: float) -> Iterator[Item]:
    """A vial seen from its end, rolled between two flat hands; 18 wide and 26 high, the vial's middle at (11.4, 13)."""
    grid = lay_grid(pen, x_mm, y_mm)
    middle, radius = (11.4, 13.0), 6.0
    cuff = [(0.0, -11.6), (2.2, -11.6), (2.2, -6.8), (0.0, -6.8)]
    thumb = [(8.0, -11.0), (10.6, -12.8), (12.6, -13.0), (13.2, -12.0), (11.6, -10.6)]
    hand = [(3.2, -7.2), (3.2, -10.6), *thumb, (16.0, -9.8), (17.6, -8.8), (17.4, -7.6), (16.4, -7.0), (6.4, -7.0)]
    for flip in (1, -1):
        for part in (cuff, hand):
            yield grid.shape([(x, middle[1] + flip * y) for x, y in part], filled=True)
    yield draw_round(grid.place(*middle), 2 * radius * pen.gap_mm - pen.outline_mm, pen.outline_mm, 36)
    inner_mm, axes = radius * pen.gap_mm - pen.outline_mm, Axes(*grid.place(*middle), (0.0, 1.0), (1.0, 0.0))
    level_mm, half_mm = -0.4 * inner_mm, 0.9 * inner_mm
    yield axes.line((level_mm, -half_mm), (level_mm, half_mm), pen.stroke_mm, make_dash(2 * half_mm, pen, 7))
    liquid = Region(level_mm + 1.5 * pen.stroke_mm, inner_mm, -inner_mm, inner_mm)
    yield from _keep_round(fill(axes, look.filling, liquid, pen), grid.place(*middle), inner_mm)


def _keep_round(items: Iterable[Line | Dot], centre: Point, radius_mm: float) -> Iterator[Item]:
    """What of a filling lies in a circle: whole dots, and parts of slants."""
    for item in items:
        reach_mm = radius_mm - (item.diameter_mm if isinstance(item, Dot) else item.width_mm) / 2
        if isinstance(item, Dot):
            yield from (item,) if math.dist(item[:2], centre) <= reach_mm else ()
            continue
        x1, y1, x2, y2 = item[:4]
        points = [(x1 + (x2 - x1) * step / 48, y1 + (y2 - y1) * step / 48) for step in range(49)]
        inside = [point for point in points if math.dist(point, centre) <= reach_mm]
        if inside and math.dist(inside[0], inside[-1]) >= item.width_mm:
            yield Line(*inside[0], *inside[-1], item.width_mm)


def draw_wiping_hand(pen: Pen, x_mm: float, y_mm: float) -> Iterator[Item]:
    """A hand on a folded pad, its fingers down, 13 wide and 13 high; the place is the middle of the pad's underside."""
    grid = lay_grid(pen, x_mm, y_mm)
    yield grid.shape([(-6.0, -0.5), (-6.0, -2.5), (6.0, -2.5), (6.0, -0.5)], outline_mm=pen.stroke_mm)
    points: list[Point] = [(-2.8, -12.0), (-6.6, -8.6), (-6.6, -6.4), (-5.4, -6.0), (-4.7, -7.0)]
    for index, tip in enumerate((-4.6, -3.6, -3.6, -4.4)):
        middle = 2.8 * index - 3.8
        points += [(middle - 0.9, -7.6), *arc((middle, tip - 0.9), (0.9, 0.9), 180, 0, 6), (middle + 0.9, -7.6)]
    yield grid.shape([*points, (5.5, -9.0), (3.2, -12.0)], filled=True)


def draw_cap(pen: Pen, x_mm: float, y_mm: float) -> Iterator[Item]:
    """A needle's cap, 4 wide and 11 high."""
    grid = lay_grid(pen, x_mm, y_mm)
    yield grid.shape(
        [(0.75, 10.3), *arc((2.0, 2.0), (1.25, 1.25), 180, 360, 6), (3.25, 10.3)], outline_mm=pen.outline_mm
    )


def draw_magnifier(pen: Pen, x_mm: float, y_mm: float) -> Iterator[Item]:
    """A lens with magnified writing in it, its handle to the right; 24 wide and 20 high."""
    grid = lay_grid(pen, x_mm, y_mm)
    yield draw_round(grid.place(8.2, 8.2), 14.8 * pen.gap_mm, pen.outline_mm, 32)
    for y, reach in ((4.8, 4.0), (8.2, 5.2), (11.6, 2.6)):
        yield grid.line((8.2 - 4.2, y), (8.2 + reach - 0.6, y), 1.4 * pen.stroke_mm)
    yield grid.line((14.0, 12.6), (22.2, 18.6), 3.2 * pen.stroke_mm)


def draw_eye(pen: Pen, x_mm: float, y_mm: float) -> Iterator[Item]:
    """An open eye, 18 wide and 10 high."""
    grid = lay_grid(pen, x_mm, y_mm)
    yield grid.ribbon(arc((9.0, 12.0), (11.4, 11.2), 222, 318, 16), pen.outline_mm)
    yield grid.ribbon(arc((9.0, -3.9), (11.4, 11.2), 42, 138, 16), pen.outline_mm)
    yield grid.shape(arc((9.0, 4.05), (2.1, 2.1), 0, 345, 23), filled=True)


def draw_skin(pen: Pen, x_mm: float, y_mm: float, width: float) -> Iterator[Item]:
    """A stretch of skin: two long, low curves across the whole scene, its surface and what is under it, 8 gaps high."""
    grid = lay_grid(pen, x_mm, y_mm)
    half = width / 2
    for y in (0.75, 6.0):
        points = [(half + half * step / 12, 1.4 * (step / 12) ** 2 + y) for step in range(-12, 13)]
        yield grid.ribbon(points, pen.outline_mm)


def draw_paw(pen: Pen, x_mm: float, y_mm: float) -> Iterator[Item]:
    """The print of a paw: a pad and four toes, 7.4 gaps wide and 6.8 high."""
    grid = lay_grid(pen, x_mm, y_mm)
    yield grid.shape(arc((3.7, 5.1), (2.0, 1.7), 0, 360 - 15, 23), filled=True)
    for x, y in ((0.8, 3.1), (2.6, 0.8), (4.8, 0.8), (6.6, 3.1)):
        yield draw_solid_round(grid.place(x, y), 1.6 * pen.gap_mm)


def draw_sharps_box(pen: Pen, x_mm: float, y_mm: float) -> Iterator[Item]:
    """A box with a slot in its lid, seen through, and a warning sign at the right, 30.6 wide and 36.5 high."""
    grid = lay_grid(pen, x_mm, y_mm)
    for x in (0.0, 21.2):
        yield grid.shape([(x, 0.0), (x + 9.4, 0.0), (x + 9.4, 3.4), (x, 3.4)], filled=True)
    for ends in (((2.2, 3.4), (2.2, 36.5)), ((28.4, 3.4), (28.4, 36.5)), ((1.45, 35.75), (29.15, 35.75))):
        yield grid.line(*ends, pen.outline_mm)
    yield grid.shape([(21.7, 20.8), (26.1, 28.8), (17.3, 28.8)], outline_mm=pen.outline_mm)
    yield grid.line((21.7, 23.2), (21.7, 25.8), 1.5 * pen.stroke_mm)
    yield draw_solid_round(grid.place(21.7, 27.1), 1.4 * pen.gap_mm)


def draw_mouth(pen: Pen, x_mm: float, y_mm: float) -> Iterator[Item]:
    """An open mouth, nothing but its lips, 33 wide and 18 high, open at its right corner for what enters there."""
    grid = lay_grid(pen, x_mm, y_mm)
    left = [(2.4, 9.6), (1.0, 8.2), (5.0, 5.0), (9.4, 1.9), (12.6, 0.9), (16.0, 2.4), (19.4, 0.9), (22.6, 1.9)]
    right = [(27.0, 4.6), (31.6, 8.6), (24.0, 6.8), (20.0, 6.2), (16.0, 7.0), (12.0, 6.2), (8.0, 6.8)]
    yield grid.shape([*left, *right], outline_mm=pen.outline_mm)
    lower = [(3.2, 11.5), (8.0, 15.4), (12.6, 16.9), (16.6, 16.7), (19.4, 15.4), (21.6, 13.0), (23.6, 10.6)]
    yield grid.shape([*lower, (20.6, 11.0), (16.6, 12.0), (12.0, 11.8), (7.6, 11.4)], outline_mm=pen.outline_mm)
    inside = [(7.0, 8.8), (12.0, 7.9), (16.0, 8.6), (20.0, 7.9), (24.4, 8.6), (20.4, 9.5), (16.4, 10.4), (12.0, 10.1)]
    yield grid.shape(inside, filled=True)
