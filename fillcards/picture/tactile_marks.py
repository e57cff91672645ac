"""Pieces of a raised page: braille dots, stop lines of two kinds, textures, raised digits, the cut corner.

Every stroke is a line of its own and every dot a disc, black, so that a page read back shows exactly what a finger
meets. Lengths in mm, y downward. Knows nothing of scales, doses or pages.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from fillcards.picture.items import Dot, Item, Line
from fillcards.picture.tactile_style import (
    OUTLINE_MM,
    STOP_MM,
    TEXTURE_DOT_MM,
    TEXTURE_LINE_MM,
    TactileStyle,
)
from fillcards.wording.braille import list_dots

DASH_MM: Final = 9.0
DIGIT_HEIGHT_MM: Final = 20.0
DIGIT_WIDTH_MM: Final = 13.0
"""Shapes with sides under 1/2 inch may not be recognised (``aph-tactile-1997``); the height keeps the holes open."""
POINT_MM: Final = 3.0
SHORTEST_STROKE_MM: Final = 5.0
CORNER_MM: Final = 11.0
CORNER_FROM_EDGE_MM: Final = 5.0

# The strokes of each digit, between the corners of two squares one upon the other: a b on top, c d in the middle, e f
# at the foot.
_STROKES: Final = {
    "0": (("a", "b"), ("b", "f"), ("f", "e"), ("e", "a")),
    "1": (("b", "f"),),
    "2": (("a", "b"), ("b", "d"), ("d", "c"), ("c", "e"), ("e", "f")),
    "3": (("a", "b"), ("b", "f"), ("c", "d"), ("e", "f")),
    "4": (("a", "c"), ("c", "d"), ("b", "f")),
    "5": (("b", "a"), ("a", "c"), ("c", "d"), ("d", "f"), ("f", "e")),
    "6": (("b", "a"), ("a", "e"), ("e", "f"), ("f", "d"), ("d", "c")),
    "7": (("a", "b"), ("b", "f")),
    "8": (("a", "b"), ("b", "f"), ("f", "e"), ("e", "a"), ("c", "d")),
    "9": (("d", "c"), ("c", "a"), ("a", "b"), ("b", "f"), ("f", "e")),
}
_CORNERS: Final = {"a": (0, 0), "b": (1, 0), "c": (0, 1), "d": (1, 1), "e": (0, 2), "f": (1, 2)}


def draw_cells(cells: str, x_mm: float, y_mm: float, style: TactileStyle) -> tuple[Dot, ...]:
    """Braille from its left upper corner: a full first cell's ink would begin exactly there."""
    radius_mm = style.dot_mm / 2
    return tuple(
        Dot(
            x_mm + radius_mm + number * style.cell_mm + (dot > 3) * style.dot_spacing_mm,
            y_mm + radius_mm + (dot - 1) % 3 * style.dot_spacing_mm,
            style.dot_mm,
        )
        for number, cell in enumerate(cells)
        for dot in list_dots(cell)
    )


def draw_stop_line(x1_mm: float, x2_mm: float, y_mm: float, *, is_final: bool, style: TactileStyle) -> tuple[Line, ...]:
    """The line of a stop: solid where the plunger stays, broken where it goes on. Dashes stand whole at both ends.

    Dashes are at least 9 mm, longer than their gaps; no source for the length was found.
    """
    if is_final:
        return (Line(x1_mm, y_mm, x2_mm, y_mm, STOP_MM),)
    count = max(2, int((x2_mm - x1_mm + style.gap_mm) / (DASH_MM + style.gap_mm)))
    dash_mm = (x2_mm - x1_mm - (count - 1) * style.gap_mm) / count
    starts = (x1_mm + number * (dash_mm + style.gap_mm) for number in range(count))
    return tuple(Line(start, y_mm, start + dash_mm, y_mm, STOP_MM) for start in starts)


def draw_texture(
    index: int, left_mm: float, top_mm: float, right_mm: float, bottom_mm: float, style: TactileStyle
) -> tuple[Item, ...]:
    """One of the two textures: 0 slanted lines, 1 dots, as in print. All ink stays inside the rectangle."""
    place = _place_dots if index else _place_slants
    return tuple(place(left_mm, top_mm, right_mm, bottom_mm, style))


def draw_digits(text: str, x_mm: float, y_mm: float, style: TactileStyle) -> tuple[Item, ...]:
    """A number in ordinary digits, raised, from its left upper corner.

    Raises:
        KeyError: it is no plain number.
    """
    items: list[Item] = []
    for character in text:
        if character == ".":
            items.append(Dot(x_mm + POINT_MM / 2, y_mm + DIGIT_HEIGHT_MM - POINT_MM / 2, POINT_MM))
            x_mm += POINT_MM + style.gap_mm
            continue
        items += _draw_digit(character, x_mm, y_mm)
        x_mm += _measure_digit_mm(character) + style.gap_mm
    return tuple(items)


def measure_digits_mm(text: str, style: TactileStyle) -> float:
    """Width of a number in raised digits."""
    widths = [POINT_MM if character == "." else _measure_digit_mm(character) for character in text]
    return sum(widths) + (len(widths) - 1) * style.gap_mm


def draw_cut_corner(page_width_mm: float) -> Line:
    """A stroke across the right upper corner, in the margin: this way up."""
    right_mm = page_width_mm - CORNER_FROM_EDGE_MM
    return Line(right_mm - CORNER_MM, CORNER_FROM_EDGE_MM, right_mm, CORNER_FROM_EDGE_MM + CORNER_MM, OUTLINE_MM)


def _measure_digit_mm(digit: str) -> float:
    return STOP_MM if digit == "1" else DIGIT_WIDTH_MM


def _draw_digit(digit: str, x_mm: float, y_mm: float) -> Iterator[Line]:
    """Strokes reach half their width past the corners, so that the corners are full."""
    half_mm = STOP_MM / 2
    wide_mm = 0.0 if digit == "1" else DIGIT_WIDTH_MM - STOP_MM
    high_mm = (DIGIT_HEIGHT_MM - STOP_MM) / 2
    for start, end in _STROKES[digit]:
        (x1, y1), (x2, y2) = sorted((_CORNERS[start], _CORNERS[end]))
        dx_mm, dy_mm = (half_mm, 0.0) if y1 == y2 else (0.0, half_mm)
        yield Line(
            x_mm + half_mm + x1 * wide_mm - dx_mm,
            y_mm + half_mm + y1 * high_mm - dy_mm,
            x_mm + half_mm + x2 * wide_mm + dx_mm,
            y_mm + half_mm + y2 * high_mm + dy_mm,
            STOP_MM,
        )


def _place_dots(left_mm: float, top_mm: float, right_mm: float, bottom_mm: float, style: TactileStyle) -> Iterator[Dot]:
    """Rows of dots, spread over the whole rectangle."""
    pitch_mm = TEXTURE_DOT_MM + style.texture_gap_mm
    radius_mm = TEXTURE_DOT_MM / 2
    for y_mm in _spread(top_mm + radius_mm, bottom_mm - radius_mm, pitch_mm):
        for x_mm in _spread(left_mm + radius_mm, right_mm - radius_mm, pitch_mm):
            yield Dot(x_mm, y_mm, TEXTURE_DOT_MM)


def _spread(start_mm: float, end_mm: float, least_pitch_mm: float) -> tuple[float, ...]:
    count = int((end_mm - start_mm) / least_pitch_mm + 1e-9)
    if count == 0:
        return ((start_mm + end_mm) / 2,)
    return tuple(start_mm + number * (end_mm - start_mm) / count for number in range(count + 1))


def _place_slants(
    left_mm: float, top_mm: float, right_mm: float, bottom_mm: float, style: TactileStyle
) -> Iterator[Line]:
    """Strokes at 45 degrees, rising to the right, cut where they leave the rectangle; none shorter than 5 mm."""
    margin_mm = TEXTURE_LINE_MM / 2 * math.sqrt(0.5)
    x1, y1, x2, y2 = left_mm + margin_mm, top_mm + margin_mm, right_mm - margin_mm, bottom_mm - margin_mm
    pitch_mm = (TEXTURE_LINE_MM + style.texture_gap_mm) * math.sqrt(2)
    sums = _spread(x1 + y1 + SHORTEST_STROKE_MM, x2 + y2 - SHORTEST_STROKE_MM, pitch_mm)
    for total in sums:
        start = max(x1, total - y2)
        end = min(x2, total - y1)
        if (end - start) * math.sqrt(2) >= SHORTEST_STROKE_MM:
            yield Line(start, total - start, end, total - end, TEXTURE_LINE_MM)
