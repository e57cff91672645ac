"""What a scale is: lines along a wall with numbers beside some of them. Lengths in mm.

*Along* runs with the barrel, square to its lines; *across* runs with the lines.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final, NamedTuple

from fillcards.readback.runs import Run

CROSSING: Final = 1.5
LYING_MM: Final = 12.0


class Axes(NamedTuple):
    """Which page axis runs along the barrel, and on which side of the wall its inside lies.

    Attributes:
        is_upright: the barrel stands upright, its lines are horizontal.
        inward: 1 if the lines run from the wall to larger x (or y), -1 if to smaller.
    """

    is_upright: bool
    inward: int

    def split(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """A point as (along, across)."""
        return (y_mm, x_mm) if self.is_upright else (x_mm, y_mm)

    def join(self, along_mm: float, across_mm: float) -> tuple[float, float]:
        """A point as (x, y)."""
        return (across_mm, along_mm) if self.is_upright else (along_mm, across_mm)

    def measure_depth(self, across_mm: float, wall_mm: float) -> float:
        """How far inside the wall something is; negative on the numbers' side."""
        return (across_mm - wall_mm) * self.inward


class NumberAt(NamedTuple):
    """A number beside the scale: its value, which of the lines it stands at, how far its middle is from that line."""

    value: Fraction
    line: int
    off_mm: float
    run: Run


class Scale(NamedTuple):
    """Lines and numbers that belong together.

    Attributes:
        wall_mm: across, where the lines start.
        places_mm: along, the lines in ascending order.
        lengths_mm: the graduation line at each place.
        numbers: in the order of their lines.
        width_mm: thickness of the lines.
        reach_mm: along, from where to where marks belong to this scale and not to its neighbour.
        step: what one gap is worth, negative where values fall along the axis; ``None`` with a single number.
        is_consistent: whether every number stands where the others put it.
    """

    axes: Axes
    wall_mm: float
    places_mm: tuple[float, ...]
    lengths_mm: tuple[float, ...]
    numbers: tuple[NumberAt, ...]
    width_mm: float
    reach_mm: tuple[float, float]
    step: Fraction | None
    is_consistent: bool

    @property
    def least_crossing_mm(self) -> float:
        """A stroke from the wall at least so long crosses the barrel: graduation lines reach half way at most."""
        return CROSSING * max(self.lengths_mm)

    @property
    def top_mm(self) -> float:
        """Where on the page it begins; a barrel that lies is as wide as ``LYING_MM`` on either side of its wall."""
        return self.places_mm[0] if self.axes.is_upright else self.wall_mm - LYING_MM

    @property
    def bottom_mm(self) -> float:
        """Where on the page it ends."""
        return self.places_mm[-1] if self.axes.is_upright else self.wall_mm + LYING_MM

    @property
    def left_mm(self) -> float:
        """How far to the left it stands."""
        return self.wall_mm if self.axes.is_upright else self.places_mm[0]

    @property
    def gap_mm(self) -> float:
        """From one line to the next."""
        return (self.places_mm[-1] - self.places_mm[0]) / (len(self.places_mm) - 1)

    def fit_numbers(self) -> tuple[float, float, float] | None:
        """Least squares of place over value: mm for a step of 1 (always positive), place of 0, largest residual.

        ``None`` with fewer than two numbers.
        """
        if len(self.numbers) < 2:
            return None
        values = [float(number.value) for number in self.numbers]
        places = [self.places_mm[number.line] for number in self.numbers]
        mean_v, mean_p = sum(values) / len(values), sum(places) / len(places)
        spread = sum((v - mean_v) ** 2 for v in values)
        if spread == 0:
            return None
        slope = sum((v - mean_v) * (p - mean_p) for v, p in zip(values, places, strict=True)) / spread
        zero_mm = mean_p - slope * mean_v
        residual_mm = max(abs(zero_mm + slope * v - p) for v, p in zip(values, places, strict=True))
        return abs(slope), zero_mm, residual_mm
