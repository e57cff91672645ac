"""The life-size barrel of the maker's page: an empty syringe to lay the real one beside, line against line.

Drawn only from a scale length that somebody measured with a ruler; a standard's shortest length would look as exact
and be wrong. Both directions are to scale: the bore follows from capacity and length. Axes and frame as in
``barrel_frame``; mm.
"""

from __future__ import annotations

from typing import Final

from fillcards.geometry import measure_bore_mm, place_lines
from fillcards.picture.barrel_frame import (
    FLANGE_OVERHANG_MM,
    NEEDLE_PART_MM,
    NUMBER_GAP_MM,
    PLUNGER_PART_MM,
    BarrelFrame,
    choose_numbers,
    measure_number_depth_mm,
)
from fillcards.picture.barrel_parts import draw_numbers, draw_scale, draw_shell
from fillcards.picture.items import Drawing
from fillcards.picture.orientation import Orientation
from fillcards.regimen.model import BarrelDirection, Syringe

LIFE_SIZE_LINE_MM: Final = 0.3
"""Middle of the 0.2 mm to 0.4 mm that ISO 8537:2007, 9.1, allows a graduation line."""
LIFE_SIZE_WALL_MM: Final = 0.5
LONG_TO_BORE: Final = 0.5
NUMBER_SIZES_PT: Final = (12.0, 11.0, 10.0)
"""Largest first; nothing on the maker's page is under 10 pt."""


def draw_life_size(syringe: Syringe, direction: BarrelDirection) -> Drawing:
    """The empty barrel, zero line to last line exactly ``syringe.scale_length_mm`` apart (centre to centre).

    Raises:
        ValueError: if nobody measured the scale length.
    """
    if syringe.scale_length_mm is None:
        raise ValueError("a life-size barrel needs a measured scale length")
    number_pt = _choose_number_pt(syringe, float(syringe.scale_length_mm), direction)
    frame = _build_life_size_frame(syringe, float(syringe.scale_length_mm), direction, number_pt)
    return Drawing(
        *frame.orientation.size_mm, (*draw_scale(frame), *draw_shell(frame), *draw_numbers(frame, number_pt))
    )


def _choose_number_pt(syringe: Syringe, scale_length_mm: float, direction: BarrelDirection) -> float:
    """The largest size at which every number has room; the smallest where none has, some numbers then left out."""
    wanted = sum(line.number is not None for line in place_lines(syringe, scale_length_mm))
    for size_pt in NUMBER_SIZES_PT:
        if len(choose_numbers(syringe, scale_length_mm, direction, size_pt)) == wanted:
            return size_pt
    return NUMBER_SIZES_PT[-1]


def _build_life_size_frame(
    syringe: Syringe, scale_length_mm: float, direction: BarrelDirection, number_pt: float
) -> BarrelFrame:
    bore_mm = measure_bore_mm(syringe.capacity_ml, scale_length_mm)
    number_depth_mm = measure_number_depth_mm(syringe, direction, number_pt) + NUMBER_GAP_MM
    inner_mm = max(number_depth_mm, FLANGE_OVERHANG_MM) + LIFE_SIZE_WALL_MM
    return BarrelFrame(
        syringe=syringe,
        orientation=Orientation(
            direction,
            NEEDLE_PART_MM + scale_length_mm + PLUNGER_PART_MM,
            inner_mm + bore_mm + LIFE_SIZE_WALL_MM + FLANGE_OVERHANG_MM,
        ),
        zero_mm=NEEDLE_PART_MM,
        scale_length_mm=scale_length_mm,
        inner_mm=inner_mm,
        bore_mm=bore_mm,
        long_mm=bore_mm * LONG_TO_BORE,
        line_mm=LIFE_SIZE_LINE_MM,
        wall_mm=LIFE_SIZE_WALL_MM,
    )
