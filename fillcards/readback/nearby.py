"""The marks near one scale, in the scale's own axes: along the barrel, and how deep inside the wall. Lengths in mm."""

from __future__ import annotations

from typing import Final, NamedTuple

from fillcards.readback.conventions import DARKEST_GREY
from fillcards.readback.marks import PageMarks, Shape, Stroke
from fillcards.readback.runs import Run
from fillcards.readback.scale_model import Scale

EASE_MM: Final = 0.02
WHITE: Final = 0xFF


class Box(NamedTuple):
    """A rectangle in the axes of a scale: along from near to far, deep inside the wall from low to high."""

    near_mm: float
    far_mm: float
    low_mm: float
    high_mm: float

    @property
    def middle(self) -> tuple[float, float]:
        """(along, across)."""
        return (self.near_mm + self.far_mm) / 2, (self.low_mm + self.high_mm) / 2


class Nearby:
    """One scale with the shapes round it: dark ones, frames (light inside), grey ones that are neither, and dots.

    Attributes:
        first_mm, last_mm: along, the outermost lines.
        strokes: all of the page.
    """

    def __init__(self, scale: Scale, page: PageMarks) -> None:
        self.scale = scale
        self.axes = scale.axes
        self.strokes = page.strokes
        self.runs = page.runs
        self.first_mm, self.last_mm = scale.places_mm[0], scale.places_mm[-1]
        near_mm, far_mm = scale.reach_mm
        self.dark: list[tuple[Box, Shape]] = []
        self.frames: list[tuple[Box, Shape]] = []
        self.grey: list[tuple[Box, Shape]] = []
        self.dots: list[Box] = []
        for shape in page.shapes:
            box = self._box(shape)
            if box.far_mm < near_mm or box.near_mm > far_mm:
                continue
            if shape.fill is not None and shape.fill <= DARKEST_GREY:
                if shape.is_round:
                    self.dots.append(box)
                else:
                    self.dark.append((box, shape))
            elif shape.outline is not None and shape.outline <= DARKEST_GREY and not shape.is_round:
                self.frames.append((box, shape))
            elif shape.fill is not None and shape.fill < WHITE:
                self.grey.append((box, shape))

    def _box(self, shape: Shape) -> Box:
        if self.axes.is_upright:
            near, far, one, other = shape.top_mm, shape.bottom_mm, shape.left_mm, shape.right_mm
        else:
            near, far, one, other = shape.left_mm, shape.right_mm, shape.top_mm, shape.bottom_mm
        wall_mm = self.scale.wall_mm
        if self.axes.inward > 0:
            return Box(near, far, one - wall_mm, other - wall_mm)
        return Box(near, far, wall_mm - other, wall_mm - one)

    def join(self, along_mm: float, depth_mm: float) -> tuple[float, float]:
        """Where on the page a place in the scale's axes is."""
        return self.axes.join(along_mm, self.scale.wall_mm + self.axes.inward * depth_mm)

    def place(self, stroke: Stroke) -> float:
        """Along, where a stroke begins."""
        return stroke.y1_mm if self.axes.is_upright else stroke.x1_mm

    def measure_depths(self, stroke: Stroke) -> tuple[float, float]:
        """How deep a stroke's ends are, the shallower first."""
        ends = (stroke.x1_mm, stroke.x2_mm) if self.axes.is_upright else (stroke.y1_mm, stroke.y2_mm)
        one, other = (self.axes.measure_depth(across_mm, self.scale.wall_mm) for across_mm in ends)
        return (one, other) if one < other else (other, one)

    def measure_length(self, stroke: Stroke) -> float:
        """How far a stroke reaches across the barrel."""
        low, high = self.measure_depths(stroke)
        return high - low

    def crosses(self, stroke: Stroke) -> bool:
        """Whether a stroke starts at the wall, is square to it and crosses the barrel."""
        length_mm = abs(stroke.x1_mm - stroke.x2_mm) + abs(stroke.y1_mm - stroke.y2_mm)
        if length_mm < self.scale.least_crossing_mm or stroke.level > DARKEST_GREY:
            return False
        if not (stroke.is_horizontal if self.axes.is_upright else stroke.is_vertical):
            return False
        if not self.first_mm - EASE_MM <= self.place(stroke) <= self.last_mm + EASE_MM:
            return False
        low, high = self.measure_depths(stroke)
        return abs(low) <= EASE_MM and high >= self.scale.least_crossing_mm

    def place_label(self, run: Run) -> tuple[float, float]:
        """Along, the middle of a number; how deep its edge is that faces the barrel."""
        height_mm = run.height_mm
        if self.axes.is_upright:
            across_mm = run.x_mm if self.axes.inward > 0 else run.right_mm
            along_mm = run.y_mm - height_mm / 2
        else:
            across_mm = run.y_mm - height_mm if self.axes.inward > 0 else run.y_mm
            along_mm = run.x_mm + run.width_mm / 2
        return along_mm, self.axes.measure_depth(across_mm, self.scale.wall_mm)
