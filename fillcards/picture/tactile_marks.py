"""Braille cells as dots. Lengths in mm, y downward."""

from __future__ import annotations

from fillcards.picture.items import Dot
from fillcards.picture.tactile_style import TactileStyle
from fillcards.wording.braille import list_dots


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
