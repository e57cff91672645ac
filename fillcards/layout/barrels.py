"""The enlarged barrels drawn as large as their place allows.

Never under twice the standard's shortest scale, so that nobody takes them for life size, and both of a fill to one
scale, so that the eye can compare them. Whether this reader can tell their lines apart is measured here, and what
follows from it is the caller's.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import floor
from typing import Final

from fillcards.card.model import Barrels, Figure
from fillcards.picture.barrel import draw_barrel, keeps_numbers_clear, measure_barrel_size_mm, measure_scale_length_mm
from fillcards.plan.print_size import measure_scale_gap_mm
from fillcards.regimen.model import BarrelDirection

LEAST_ENLARGEMENT: Final = 2.0
ENLARGEMENT_STEP: Final = 0.05
LEAST_NUMBER_PT: Final = 14.0
NUMBER_STEP_PT: Final = 2.0


@dataclass(frozen=True, slots=True)
class FittedBarrels:
    """The barrels of a fill as large as their place allows: one figure a draw, without captions.

    Attributes:
        line_gap_mm: from one line of their scale to the next, on paper.
        is_too_fine: whether this reader cannot tell neighbouring lines apart.
    """

    figures: tuple[Figure, ...]
    line_gap_mm: float
    is_too_fine: bool


def fit_barrels(
    barrels: Barrels, width_mm: float, height_mm: float, *, must_serve: bool = False
) -> FittedBarrels | None:
    """The barrels in a place, with the largest numbers beside the scale that it has room for.

    Args:
        barrels: what to draw.
        width_mm: room for each.
        height_mm: room for each.
        must_serve: whether barrels whose lines this reader cannot tell apart are none.

    Returns:
        ``None`` where twice the standard's shortest scale does not fit, or does not serve.
    """
    for lettered in _list_number_sizes(barrels):
        length_mm = choose_scale_length_mm(lettered, width_mm, height_mm)
        if length_mm is None:
            continue
        gap_mm = measure_scale_gap_mm(barrels.syringe, length_mm)
        is_too_fine = gap_mm < barrels.least_gap_mm
        if not (must_serve and is_too_fine):
            return FittedBarrels(draw_barrels(lettered, length_mm), gap_mm, is_too_fine)
    return None


def draw_barrels(barrels: Barrels, scale_length_mm: float) -> tuple[Figure, ...]:
    """One figure a draw, the scale as long as asked."""
    return tuple(
        Figure(
            draw_barrel(
                barrels.fill,
                barrels.syringe,
                index,
                scale_length_mm=scale_length_mm,
                direction=barrels.direction,
                number_pt=barrels.number_pt,
            ),
            alt,
        )
        for index, alt in enumerate(barrels.alts)
    )


def choose_scale_length_mm(barrels: Barrels, width_mm: float, height_mm: float) -> float | None:
    """Length of the enlarged scale on paper: the standard's shortest times the largest factor that fits.

    A picture grows with its scale, so that halving the steps finds the largest; ``None`` if the least does not fit.
    """
    shortest_mm = float(barrels.syringe.shortest_scale_length_mm)

    def measure_length_mm(step: int) -> float:
        return (LEAST_ENLARGEMENT + step * ENLARGEMENT_STEP) * shortest_mm

    def fits(step: int) -> bool:
        own_width_mm, own_height_mm = measure_barrel_size_mm(
            barrels.fill,
            barrels.syringe,
            scale_length_mm=measure_length_mm(step),
            direction=barrels.direction,
            number_pt=barrels.number_pt,
        )
        return own_width_mm <= width_mm and own_height_mm <= height_mm

    along_mm = height_mm if barrels.direction is BarrelDirection.NEEDLE_UP else width_mm
    most = measure_scale_length_mm(along_mm) / shortest_mm
    # A factor that fits exactly must not be lost to the rounding of floats.
    low, high = 0, floor((most - LEAST_ENLARGEMENT) / ENLARGEMENT_STEP + 1e-9)
    if high < 0 or not fits(low):
        return None
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if fits(middle) else (low, middle - 1)
    return measure_length_mm(low)


def _list_number_sizes(barrels: Barrels) -> Iterator[Barrels]:
    """The barrels with numbers as large as asked for, then smaller down to the least."""
    number_pt = barrels.number_pt
    while number_pt > LEAST_NUMBER_PT:
        if keeps_numbers_clear(barrels.syringe, barrels.direction, number_pt):
            yield replace(barrels, number_pt=number_pt)
        number_pt -= NUMBER_STEP_PT
    yield replace(barrels, number_pt=LEAST_NUMBER_PT)
