"""Patterns that stand for what is in the barrel, as strokes and dots cut to a rectangle by arithmetic.

No clip paths and no fills: every stroke ends inside its rectangle, so that each output draws the same and a page read
back shows exactly what was meant. Rectangles are in barrel axes (along, across), see ``orientation``; mm throughout.
Patterns of strokes square to the barrel do not occur: they would read as scale lines.

Nothing here knows which medicine a pattern stands for.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from typing import Final

from fillcards.picture.items import Item
from fillcards.picture.orientation import Orientation, Point


class Pattern(Enum):
    """The kinds of pattern."""

    DIAGONAL = "diagonal"
    CROSSED = "crossed diagonals"
    DOTS = "dots"
    LENGTHWISE = "lengthwise"


@dataclass(frozen=True, slots=True)
class Texture:
    """How a kind of pattern is drawn.

    Attributes:
        ink_mm: width of its strokes, or diameter of its dots.
        spacing_mm: from stroke to stroke, square to them, or from dot to dot in a row.
    """

    ink_mm: float
    spacing_mm: float


TEXTURES: Final = {
    Pattern.DIAGONAL: Texture(0.45, 1.9),
    Pattern.CROSSED: Texture(0.45, 2.6),
    Pattern.DOTS: Texture(1.2, 2.2),
    Pattern.LENGTHWISE: Texture(0.45, 1.5),
}
"""Strokes are as heavy as a line of the scale: thinner ones are lost by a copier (by trial, no source), heavier ones
look like lines. Larger dots would touch on a copy that comes out dark, and hide the stopper's edge."""

FIRST_PATTERN: Final = Pattern.DIAGONAL
MIXTURE_PATTERN: Final = Pattern.DOTS
"""Chosen by measurement (``tests/vision/patterns.txt``): an eye of 20/200 sees of a pattern only its share of ink, so
empty, first and mixture are a quarter of it apart; better eyes tell strokes from dots as well."""


@dataclass(frozen=True, slots=True)
class Region:
    """A rectangle in barrel axes."""

    near_mm: float
    far_mm: float
    low_mm: float
    high_mm: float

    @property
    def is_empty(self) -> bool:
        """Whether no ink fits in."""
        return self.far_mm <= self.near_mm or self.high_mm <= self.low_mm

    def shrink(self, margin_mm: float) -> Region:
        """The rectangle with a margin taken off on every side."""
        return Region(
            self.near_mm + margin_mm, self.far_mm - margin_mm, self.low_mm + margin_mm, self.high_mm - margin_mm
        )


def draw_pattern(
    pattern: Pattern, region: Region, orientation: Orientation, texture: Texture | None = None
) -> tuple[Item, ...]:
    """Strokes or dots that fill a region; strokes with their full width, and dots whole, stay inside it.

    Args:
        pattern: the kind.
        region: the rectangle.
        orientation: how the barrel lies.
        texture: its measures; left out: those in ``TEXTURES``.
    """
    texture = texture or TEXTURES[pattern]
    if pattern is Pattern.DOTS:
        return _draw_dots(region, orientation, texture)
    # A stroke at 45 degrees with butt ends reaches half its width past its end along each axis, less a little.
    inner = region.shrink(texture.ink_mm / 2)
    if inner.is_empty:
        return ()
    spacing_mm = texture.spacing_mm
    if pattern is Pattern.LENGTHWISE:
        strokes = list(_place_lengthwise(inner, spacing_mm))
    else:
        strokes = list(_place_diagonals(inner, spacing_mm, rising=True))
        if pattern is Pattern.CROSSED:
            strokes += _place_diagonals(inner, spacing_mm, rising=False)
    return tuple(orientation.draw_line(start, end, texture.ink_mm) for start, end in strokes)


def _draw_dots(region: Region, orientation: Orientation, texture: Texture) -> tuple[Item, ...]:
    """Whole dots in staggered rows, centred across the region so that both edges look alike."""
    inner = region.shrink(texture.ink_mm / 2)
    if inner.is_empty:
        return ()
    pitch_mm = texture.spacing_mm
    across = int((inner.high_mm - inner.low_mm) // (pitch_mm / 2))
    left_mm = (inner.low_mm + inner.high_mm - across * pitch_mm / 2) / 2
    rows = int((inner.far_mm - inner.near_mm) // (pitch_mm / 2)) + 1
    return tuple(
        orientation.draw_dot((inner.near_mm + row * pitch_mm / 2, left_mm + column * pitch_mm / 2), texture.ink_mm)
        for row in range(rows)
        for column in range(row % 2, across + 1, 2)
    )


def _place_lengthwise(region: Region, spacing_mm: float) -> Iterator[tuple[Point, Point]]:
    gaps = int((region.high_mm - region.low_mm) // spacing_mm)
    first_mm = (region.low_mm + region.high_mm - gaps * spacing_mm) / 2
    for index in range(gaps + 1):
        across_mm = first_mm + index * spacing_mm
        yield (region.near_mm, across_mm), (region.far_mm, across_mm)


def _place_diagonals(region: Region, spacing_mm: float, *, rising: bool) -> Iterator[tuple[Point, Point]]:
    """Strokes along + across = constant (rising) or along - across = constant, cut where they leave the region."""
    step_mm = spacing_mm * math.sqrt(2)
    slope = -1.0 if rising else 1.0
    low_mm, high_mm = region.low_mm, region.high_mm
    crossings = sorted((region.near_mm - slope * low_mm, region.near_mm - slope * high_mm))
    reach_mm = crossings[1] - crossings[0] + region.far_mm - region.near_mm
    for index in range(1, int(reach_mm / step_mm) + 1):
        offset_mm = crossings[0] + index * step_mm  # along = offset + slope * across
        ends = []
        for across_mm in (low_mm, high_mm):
            along_mm = min(max(offset_mm + slope * across_mm, region.near_mm), region.far_mm)
            ends.append((along_mm, (along_mm - offset_mm) / slope))
        start, end = ends
        if math.dist(start, end) > spacing_mm / 4:
            yield start, end
