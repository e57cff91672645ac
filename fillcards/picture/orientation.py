"""From barrel axes to the page: one drawing code for a needle that points up, left or right.

Two axes lie in the barrel: *along* grows away from the needle, *across* grows from the side with the scale's numbers
to the side with the stop labels. ``Orientation`` maps them to page x and y by a turn, so that all three pictures are
the same but for that turn; only text is set upright in each. Lengths in mm, type sizes in points.

Knows nothing of barrels, scales or doses.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from typing import Final

from fillcards.picture.items import Anchor, Dot, Ink, Line, Polygon, Text
from fillcards.quantities import convert_pt_to_mm
from fillcards.regimen.model import BarrelDirection
from fillcards.typeface import CAP_HEIGHT_EM, DESCENT_EM, measure_width_mm

Point = tuple[float, float]
"""(along, across) in mm."""

UP: Final = BarrelDirection.NEEDLE_UP
LEFT: Final = BarrelDirection.NEEDLE_LEFT


class Side(Enum):
    """The two sides of the barrel: its scale is printed along the one, stops are pointed at from the other."""

    NUMBERS = -1
    LABELS = 1


@dataclass(frozen=True, slots=True)
class Figures:
    """A number as it will be set: its ink is as high as a capital, and a point or a comma may hang below the line."""

    text: str
    size_pt: float
    bold: bool = False

    @property
    def width_mm(self) -> float:
        """Width of the whole number."""
        return measure_width_mm(self.text, self.size_pt, self.bold)

    @property
    def height_mm(self) -> float:
        """Height of a digit above the line it stands on."""
        return CAP_HEIGHT_EM * convert_pt_to_mm(self.size_pt)

    @property
    def descent_mm(self) -> float:
        """Room below the line: none for digits, for anything else what every letter has."""
        return 0.0 if self.text.isdigit() else DESCENT_EM * convert_pt_to_mm(self.size_pt)


@dataclass(frozen=True, slots=True)
class Orientation:
    """How a drawing ``length_mm`` along and ``depth_mm`` across lies on the page."""

    direction: BarrelDirection
    length_mm: float
    depth_mm: float

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height on the page."""
        return (self.depth_mm, self.length_mm) if self.direction is UP else (self.length_mm, self.depth_mm)

    def place_point(self, along_mm: float, across_mm: float) -> tuple[float, float]:
        """Page x and y: the picture with the needle up, turned a quarter to the left or to the right."""
        if self.direction is UP:
            return across_mm, along_mm
        if self.direction is LEFT:
            return along_mm, self.depth_mm - across_mm
        return self.length_mm - along_mm, across_mm

    def draw_line(
        self, start: Point, end: Point, width_mm: float, ink: Ink = Ink.BLACK, dash_mm: tuple[float, ...] = ()
    ) -> Line:
        """A stroke between two (along, across) points."""
        return Line(*self.place_point(*start), *self.place_point(*end), width_mm, ink, dash_mm)

    def draw_polygon(
        self, points: Iterable[Point], fill: Ink | None = None, outline_mm: float = 0.0, ink: Ink = Ink.BLACK
    ) -> Polygon:
        """A closed shape through (along, across) points."""
        return Polygon(tuple(self.place_point(*point) for point in points), fill, outline_mm, ink)

    def draw_rectangle(self, start: Point, end: Point, fill: Ink | None = None, outline_mm: float = 0.0) -> Polygon:
        """A rectangle between two opposite (along, across) corners."""
        (near, low), (far, high) = start, end
        return self.draw_polygon(((near, low), (near, high), (far, high), (far, low)), fill, outline_mm)

    def draw_dot(self, centre: Point, diameter_mm: float, ink: Ink = Ink.BLACK) -> Dot:
        """A disc round an (along, across) point."""
        return Dot(*self.place_point(*centre), diameter_mm, ink)

    def draw_figures(self, figures: Figures, along_mm: float, across_mm: float, side: Side) -> Text:
        """A number, upright, centred on ``along_mm``, its inner edge at ``across_mm``, growing outward on its side."""
        x_mm, y_mm = self.place_point(along_mm, across_mm)
        if self.direction is UP:
            anchor = Anchor.END if side is Side.NUMBERS else Anchor.START
            return Text(x_mm, y_mm + figures.height_mm / 2, figures.text, figures.size_pt, figures.bold, anchor)
        grows_down = (side is Side.NUMBERS) == (self.direction is LEFT)
        baseline_mm = y_mm + figures.height_mm if grows_down else y_mm
        return Text(x_mm, baseline_mm, figures.text, figures.size_pt, figures.bold, Anchor.MIDDLE)


def measure_depth_mm(figures: Figures, direction: BarrelDirection) -> float:
    """How far the ink of a number reaches out across the barrel."""
    return figures.width_mm if direction is UP else figures.height_mm


def measure_room_mm(figures: Figures, direction: BarrelDirection) -> float:
    """The room a number takes across the barrel: its ink, and below the line what type of its size may need."""
    return measure_depth_mm(figures, direction) + (0.0 if direction is UP else figures.descent_mm)


def measure_span_mm(figures: Figures, direction: BarrelDirection) -> float:
    """How much of the barrel's length a number takes."""
    return figures.height_mm if direction is UP else figures.width_mm
