"""The enlarged barrels drawn as large as their place allows.

Never under twice the standard's shortest scale, so that nobody takes them for life size, and both of a fill to one
scale, so that the eye can compare them.
"""

from __future__ import annotations

from math import floor
from typing import Final

from fillcards.card.model import Barrels, Figure
from fillcards.picture.barrel import draw_barrel, measure_barrel_size_mm, measure_scale_length_mm
from fillcards.regimen.model import BarrelDirection

LEAST_ENLARGEMENT: Final = 2.0
ENLARGEMENT_STEP: Final = 0.05


def fit_barrels(barrels: Barrels, width_mm: float, height_mm: float) -> tuple[Figure, ...] | None:
    """One figure a draw, without captions.

    Args:
        barrels: what to draw.
        width_mm: room for each.
        height_mm: room for each.

    Returns:
        ``None`` where twice the standard's shortest scale does not fit.
    """
    length_mm = choose_scale_length_mm(barrels, width_mm, height_mm)
    return None if length_mm is None else draw_barrels(barrels, length_mm)


def draw_barrels(barrels: Barrels, scale_length_mm: float) -> tuple[Figure, ...]:
    """One figure a draw, the scale as long as asked."""
    return tuple(
        Figure(
            draw_barrel(
                barrels.fill, barrels.syringe, index, scale_length_mm=scale_length_mm, direction=barrels.direction
            ),
            alt,
        )
        for index, alt in enumerate(barrels.alts)
    )


def choose_scale_length_mm(barrels: Barrels, width_mm: float, height_mm: float) -> float | None:
    """Length of the enlarged scale on paper: the standard's shortest times the largest factor that fits."""
    shortest_mm = float(barrels.syringe.shortest_scale_length_mm)
    along_mm = height_mm if barrels.direction is BarrelDirection.NEEDLE_UP else width_mm
    most = measure_scale_length_mm(along_mm) / shortest_mm
    for step in range(floor((most - LEAST_ENLARGEMENT) / ENLARGEMENT_STEP), -1, -1):
        length_mm = (LEAST_ENLARGEMENT + step * ENLARGEMENT_STEP) * shortest_mm
        size_mm = measure_barrel_size_mm(
            barrels.fill, barrels.syringe, scale_length_mm=length_mm, direction=barrels.direction
        )
        if size_mm[0] <= width_mm and size_mm[1] <= height_mm:
            return length_mm
    return None
