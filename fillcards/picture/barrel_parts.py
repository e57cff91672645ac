"""The syringe itself as drawn: walls, hub and needle, flanges, scale, stopper and plunger rod.

Axes and frame as in ``barrel_frame``; mm. Knows nothing of medicines: what is in the barrel and where to stop is drawn
by ``patterns`` and ``stop_marks``.
"""

from __future__ import annotations

from typing import Final

from fillcards.picture.barrel_frame import FLANGE_OVERHANG_MM, NUMBER_GAP_MM, BarrelFrame, choose_numbers
from fillcards.picture.items import Ink, Item
from fillcards.picture.orientation import Point, Side

SHOULDER_MM: Final = 1.2
"""From the inner end of the barrel to the zero line; short, since the space before it reads as one more unit."""
HUB_MM: Final = 3.6
NEEDLE_MM: Final = 1.0
FLANGE_MM: Final = 1.7
WALL_PAST_LAST_MM: Final = 7.0
STOPPER_MM: Final = 5.6
RING_TO_GAP: Final = 0.75
THINNEST_RING_MM: Final = 0.8
THICKEST_RING_MM: Final = 2.2
ROD_TO_BODY: Final = 0.6
CUT_MM: Final = 1.2
ROD_OUTLINE_MM: Final = 0.5


def draw_shell(frame: BarrelFrame) -> tuple[Item, ...]:
    """Walls, closed end and flanges in one shape, and hub and needle before it."""
    low_mm, high_mm, wall_mm = frame.low_outer_mm, frame.high_outer_mm, frame.wall_mm
    inside_mm = frame.zero_mm - SHOULDER_MM
    end_mm = inside_mm - wall_mm
    flange_mm = frame.last_mm + WALL_PAST_LAST_MM
    back_mm = flange_mm + FLANGE_MM
    shell = (
        (back_mm, low_mm - FLANGE_OVERHANG_MM),
        (flange_mm, low_mm - FLANGE_OVERHANG_MM),
        (flange_mm, low_mm),
        (end_mm, low_mm),
        (end_mm, high_mm),
        (flange_mm, high_mm),
        (flange_mm, high_mm + FLANGE_OVERHANG_MM),
        (back_mm, high_mm + FLANGE_OVERHANG_MM),
        (back_mm, high_mm - wall_mm),
        (inside_mm, high_mm - wall_mm),
        (inside_mm, low_mm + wall_mm),
        (back_mm, low_mm + wall_mm),
    )
    return frame.orientation.draw_polygon(shell, Ink.BLACK), *draw_needle(frame, end_mm)


def draw_needle(frame: BarrelFrame, end_mm: float) -> tuple[Item, ...]:
    """Hub and needle from the barrel's end to 0, the point bevelled; a sign of which way up, not to scale."""
    middle_mm = frame.middle_mm
    base_mm, top_mm = min(frame.bore_mm * 0.2, 2.6), min(frame.bore_mm * 0.11, 1.4)
    half_mm = min(NEEDLE_MM, frame.bore_mm * 0.16) / 2
    hub_mm = end_mm - HUB_MM
    hub = ((end_mm, -base_mm), (hub_mm, -top_mm), (hub_mm, top_mm), (end_mm, base_mm))
    needle = ((hub_mm, -half_mm), (3 * half_mm, -half_mm), (0.0, half_mm), (hub_mm, half_mm))
    return tuple(
        frame.orientation.draw_polygon([(along, middle_mm + across) for along, across in shape], Ink.BLACK)
        for shape in (hub, needle)
    )


def draw_scale(frame: BarrelFrame) -> tuple[Item, ...]:
    """Every line of the scale, from the wall inward."""
    return tuple(
        frame.orientation.draw_line(
            (frame.zero_mm + line.distance_mm, frame.inner_mm),
            (frame.zero_mm + line.distance_mm, frame.inner_mm + frame.measure_line_mm(line)),
            frame.line_mm,
        )
        for line in frame.place_lines()
    )


def draw_numbers(frame: BarrelFrame, number_pt: float) -> tuple[Item, ...]:
    """The scale's numbers, upright, outside the wall at which the lines start."""
    direction = frame.orientation.direction
    return tuple(
        frame.orientation.draw_figures(
            figures, frame.zero_mm + line.distance_mm, frame.low_outer_mm - NUMBER_GAP_MM, Side.NUMBERS
        )
        for line, figures in choose_numbers(frame.syringe, frame.scale_length_mm, direction, number_pt)
    )


def draw_plunger(frame: BarrelFrame, edge_mm: float) -> tuple[Item, ...]:
    """Stopper and rod, the edge of the stopper's full-width ring exactly at ``edge_mm``.

    The ring is thinner than the gap between two lines, and the body behind it keeps off the strip with the scale: no
    line of the scale is ever hidden. A real stopper has a second ring; it is left out, since there is one edge to read.
    """
    draw = frame.orientation
    ring_mm = edge_mm + min(max(RING_TO_GAP * frame.line_gap_mm, THINNEST_RING_MM), THICKEST_RING_MM)
    body_mm = edge_mm + STOPPER_MM
    half_mm = frame.middle_mm - frame.strip_mm
    ring = draw.draw_rectangle((edge_mm, frame.inner_mm), (ring_mm, frame.far_inner_mm), Ink.BLACK)
    body = draw.draw_rectangle((edge_mm, frame.middle_mm - half_mm), (body_mm, frame.middle_mm + half_mm), Ink.BLACK)
    return (*_draw_rod(frame, body_mm, ROD_TO_BODY * half_mm), ring, body)


def _draw_rod(frame: BarrelFrame, start_mm: float, half_mm: float) -> tuple[Item, ...]:
    """The rod, cut off at the end of the picture by a zigzag, since it goes on past it."""
    end_mm = frame.orientation.length_mm - ROD_OUTLINE_MM
    middle_mm = frame.middle_mm
    cut: list[Point] = [
        (end_mm, middle_mm - half_mm),
        (end_mm - CUT_MM, middle_mm - half_mm / 3),
        (end_mm, middle_mm + half_mm / 3),
        (end_mm - CUT_MM, middle_mm + half_mm),
    ]
    outline = [(start_mm, middle_mm - half_mm), *cut, (start_mm, middle_mm + half_mm)]
    return (frame.orientation.draw_polygon(outline, Ink.WHITE, ROD_OUTLINE_MM),)
