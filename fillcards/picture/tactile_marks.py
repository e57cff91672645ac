"""Marks of raised pages: braille cells as dots, and the cut corner. Lengths in mm, y downward."""

from __future__ import annotations

from typing import Final

from fillcards.picture.items import Dot, Line
from fillcards.picture.tactile_style import OUTLINE_MM, TactileStyle
from fillcards.wording.braille import list_dots

CORNER_MM: Final = 11.0
CORNER_FROM_EDGE_MM: Final = 5.0


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


def draw_cut_corner(page_width_mm: float) -> Line:
    """A stroke across the right upper corner, in the margin: this way up."""
    right_mm = page_width_mm - CORNER_FROM_EDGE_MM
    return Line(right_mm - CORNER_MM, CORNER_FROM_EDGE_MM, right_mm, CORNER_FROM_EDGE_MM + CORNER_MM, OUTLINE_MM)
