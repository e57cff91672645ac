"""Where everything of an enlarged barrel stands, worked out before anything is drawn.

Axes as in ``orientation``: along grows away from the needle, across from the scale's numbers to the stop labels; mm.
Only lengths along the barrel carry a dose and are to scale. The width follows the bore between two limits, so that
the lines have room in a thin barrel and a wide one does not fill the page.

Knows the syringe; nothing of medicines, fills or cards.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import Final

from fillcards.geometry import ScaleLine, measure_bore_mm, measure_distance_mm, place_lines
from fillcards.picture.orientation import Figures, Orientation, measure_room_mm, measure_span_mm
from fillcards.regimen.model import BarrelDirection, Syringe

NEEDLE_PART_MM: Final = 11.0
"""Length of the picture from the needle's tip to the zero line; more only where a stop's label needs it."""
PLUNGER_PART_MM: Final = 11.0
"""Length of the picture from the last line to where the plunger rod is cut off; more likewise."""

NARROWEST_BORE_MM: Final = 13.0
WIDEST_BORE_MM: Final = 18.0
WALL_MM: Final = 0.9
STRIP_MARGIN_MM: Final = 0.6
LINE_MM: Final = 0.45
LONG_TO_BORE: Final = 0.26
UNNUMBERED_TO_LONG: Final = 0.82
SHORT_TO_LONG: Final = 0.6
"""Short lines about half as long as long ones (ISO 7886-1:1993, from memory)."""
FLANGE_OVERHANG_MM: Final = 4.0
NUMBER_GAP_MM: Final = 1.4
BETWEEN_NUMBERS_MM: Final = 1.2


@dataclass(frozen=True, slots=True)
class BarrelFrame:
    """The fixed lines of one barrel picture.

    Attributes:
        zero_mm: along, the zero line.
        inner_mm: across, the inner face of the wall at which the scale's lines start.
        bore_mm: between the inner faces of the walls.
        long_mm: length of a numbered line.
        line_mm: their thickness.
    """

    syringe: Syringe
    orientation: Orientation
    zero_mm: float
    scale_length_mm: float
    inner_mm: float
    bore_mm: float
    long_mm: float
    line_mm: float
    wall_mm: float = WALL_MM

    @property
    def last_mm(self) -> float:
        """Along, the last line."""
        return self.zero_mm + self.scale_length_mm

    @property
    def far_inner_mm(self) -> float:
        """Across, the inner face of the wall away from the numbers."""
        return self.inner_mm + self.bore_mm

    @property
    def low_outer_mm(self) -> float:
        """Across, the outer face of the wall at which the scale's lines start."""
        return self.inner_mm - self.wall_mm

    @property
    def high_outer_mm(self) -> float:
        """Across, the outer face of the wall that stop marks point at."""
        return self.far_inner_mm + self.wall_mm

    @property
    def middle_mm(self) -> float:
        """Across, the barrel's axis."""
        return self.inner_mm + self.bore_mm / 2

    @property
    def strip_mm(self) -> float:
        """Across, where the white strip ends on which the scale's lines stand; patterns begin beyond it."""
        return self.inner_mm + self.long_mm + STRIP_MARGIN_MM

    @property
    def line_gap_mm(self) -> float:
        """From one line to the next."""
        return self.scale_length_mm * float(self.syringe.line_every / self.syringe.last_line)

    def locate(self, value: Fraction) -> float:
        """Along, the place of a value of the scale."""
        return self.zero_mm + measure_distance_mm(self.syringe, value, self.scale_length_mm)

    def measure_line_mm(self, line: ScaleLine) -> float:
        """Length of a line: the numbered ones reach a little further than other long ones."""
        if line.number:
            return self.long_mm
        return self.long_mm * (UNNUMBERED_TO_LONG if line.is_long else SHORT_TO_LONG)

    def place_lines(self) -> tuple[ScaleLine, ...]:
        """Every line of the scale, with its distance from the zero line on paper."""
        return place_lines(self.syringe, self.scale_length_mm)


def build_frame(
    syringe: Syringe,
    scale_length_mm: float,
    direction: BarrelDirection,
    number_pt: float,
    label_depth_mm: float,
    ends_mm: tuple[float, float],
) -> BarrelFrame:
    """The frame of an enlarged barrel.

    Args:
        syringe: whose scale is drawn.
        scale_length_mm: from zero line to last line, on paper.
        direction: where the needle points.
        number_pt: size of the scale's numbers.
        label_depth_mm: room for stop marks beyond the far wall.
        ends_mm: length of the picture before the zero line, and after the last line.
    """
    bore_mm = measure_drawn_bore_mm(syringe, scale_length_mm)
    depth_mm = max(measure_number_depth_mm(syringe, direction, number_pt) + NUMBER_GAP_MM, FLANGE_OVERHANG_MM)
    inner_mm = depth_mm + WALL_MM
    orientation = Orientation(
        direction,
        ends_mm[0] + scale_length_mm + ends_mm[1],
        inner_mm + bore_mm + WALL_MM + max(label_depth_mm, FLANGE_OVERHANG_MM),
    )
    return BarrelFrame(
        syringe=syringe,
        orientation=orientation,
        zero_mm=ends_mm[0],
        scale_length_mm=scale_length_mm,
        inner_mm=inner_mm,
        bore_mm=bore_mm,
        long_mm=bore_mm * LONG_TO_BORE,
        line_mm=LINE_MM,
    )


def measure_drawn_bore_mm(syringe: Syringe, scale_length_mm: float) -> float:
    """Width of the bore on paper: enlarged as the scale is, within the limits of this module."""
    real_length_mm = syringe.scale_length_mm or syringe.shortest_scale_length_mm
    enlarged_mm = measure_bore_mm(syringe.capacity_ml, real_length_mm) * scale_length_mm / float(real_length_mm)
    return min(max(enlarged_mm, NARROWEST_BORE_MM), WIDEST_BORE_MM)


@lru_cache(maxsize=64)
def measure_number_depth_mm(syringe: Syringe, direction: BarrelDirection, number_pt: float) -> float:
    """How far the scale's largest number reaches out beside the barrel."""
    numbers = (line.number for line in place_lines(syringe, 1) if line.number)
    return max(measure_room_mm(Figures(number, number_pt), direction) for number in numbers)


def choose_numbers(
    syringe: Syringe, scale_length_mm: float, direction: BarrelDirection, number_pt: float
) -> tuple[tuple[ScaleLine, Figures], ...]:
    """The numbers that can stand beside the scale without touching: all of them, or every 2nd, 5th, 10th ...

    A left-out number is left out of the picture only; its line stays a long one.
    """
    numbered = [
        (line, Figures(line.number, number_pt)) for line in place_lines(syringe, scale_length_mm) if line.number
    ]
    for every in (1, 2, 5, 10, 20, 50):
        kept = numbered[::every]
        if all(_stand_apart(one, other, direction) for one, other in pairwise(kept)):
            return tuple(kept)
    return tuple(numbered[:1])


def _stand_apart(one: tuple[ScaleLine, Figures], other: tuple[ScaleLine, Figures], direction: BarrelDirection) -> bool:
    room_mm = other[0].distance_mm - one[0].distance_mm
    taken_mm = (measure_span_mm(one[1], direction) + measure_span_mm(other[1], direction)) / 2
    return room_mm >= taken_mm + BETWEEN_NUMBERS_MM
