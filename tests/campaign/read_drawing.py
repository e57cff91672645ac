"""A drawn scale, read from the items of its picture: which strokes are lines, which are stops, where each stands.

Knows strokes, black shapes and numbers only, and nothing of the code that placed them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from campaign.oracle import Scale, write_number

from fillcards.picture.items import Drawing, Ink, Line, Polygon, Text
from fillcards.regimen.model import BarrelDirection

EASE_MM: Final = 1e-6
WIDEST_LINE_MM: Final = 1.0
"""The bar of an arrow is wider."""
CAP_EM: Final = 0.668
"""Height of a digit in the typeface, by its own file (OS/2 table)."""


@dataclass(frozen=True)
class DrawnScale:
    """Places along the barrel in mm, away from the needle.

    Attributes:
        lines_mm: of the scale's own lines, in order.
        stops_mm: of undashed lines that run on across the barrel.
        passed_mm: of dashed ones.
        edge_mm: the near edge of the broadest black bar across the barrel: the stopper's.
        numbers: beside the lines, with the place of their middle.
        labels: the bold ones, at the stops.
    """

    scale: Scale
    lines_mm: list[float]
    stops_mm: list[float]
    passed_mm: list[float]
    edge_mm: float
    numbers: list[tuple[str, float]]
    labels: list[tuple[str, float]]

    def compare(self, lines: list[Fraction], length_mm: float | None = None) -> Iterator[str]:
        """Everything that is not where the linear rule puts it.

        Args:
            lines: the stops in order; all but the last are passed.
            length_mm: of a whole scale; ``None``: only a piece of it is drawn, which its numbers place.
        """
        first, gap_mm = self._find_start(length_mm)
        if first is None:
            yield f"{len(self.lines_mm)} lines, numbers {self.numbers}"
            return

        def locate(value: Fraction) -> float:
            return self.lines_mm[0] + float((value - first) / self.scale.line_every) * gap_mm

        for index, place_mm in enumerate(self.lines_mm):
            value = first + index * self.scale.line_every
            if abs(place_mm - locate(value)) > EASE_MM:
                yield f"line {value} at {place_mm}, not at {locate(value)}"
        meant_mm = [locate(line) for line in lines]
        for what, places_mm, wanted_mm in (
            ("stop", self.stops_mm, meant_mm[-1:]),
            ("passed stop", self.passed_mm, meant_mm[:-1]),
            ("edge of the stopper", [self.edge_mm], meant_mm[-1:]),
        ):
            if len(places_mm) != len(wanted_mm) or any(
                abs(is_mm - wanted) > EASE_MM for is_mm, wanted in zip(places_mm, wanted_mm, strict=True)
            ):
                yield f"{what} at {places_mm}, not at {wanted_mm}"
        if [text for text, _ in self.labels] != [write_number(lines[-1])]:
            yield f"labels {self.labels}, not {write_number(lines[-1])}"

    def _find_start(self, length_mm: float | None) -> tuple[Fraction | None, float]:
        """The value of the first line, and from line to line in mm."""
        gaps = len(self.lines_mm) - 1
        gap_mm = (self.lines_mm[-1] - self.lines_mm[0]) / gaps
        starts = set()
        for text, middle_mm in self.numbers:
            index = round((middle_mm - self.lines_mm[0]) / gap_mm)
            # The middle of a number is known but for the height of its digits.
            if abs(middle_mm - self.lines_mm[index]) < 0.2:
                starts.add(Fraction(text) - index * self.scale.line_every)
        if len(starts) != 1:
            return None, gap_mm
        first = starts.pop()
        is_whole = first == 0 and gaps * self.scale.line_every == self.scale.last
        if length_mm is not None and not (
            is_whole and abs(self.lines_mm[-1] - self.lines_mm[0] - length_mm) <= EASE_MM
        ):
            return None, gap_mm
        return first, gap_mm


def read_drawing(drawing: Drawing, direction: BarrelDirection, scale: Scale) -> DrawnScale:
    """The scale in a picture of a barrel, or of a piece of one."""
    strokes: list[tuple[float, float, float]] = []
    dashed: list[tuple[float, float, float]] = []
    bars: list[tuple[float, float]] = []
    texts: list[Text] = []
    for item in drawing.items:
        match item:
            case Line():
                along, across = _place(drawing, direction, item.x1_mm, item.y1_mm)
                other, far = _place(drawing, direction, item.x2_mm, item.y2_mm)
                if abs(along - other) < EASE_MM and item.width_mm < WIDEST_LINE_MM:
                    (dashed if item.dash_mm else strokes).append((along, min(across, far), max(across, far)))
            case Polygon() if item.fill is Ink.BLACK and len(item.points_mm) == 4:
                points = [_place(drawing, direction, *point) for point in item.points_mm]
                alongs, acrosses = ({round(place, 6) for place in places} for places in zip(*points, strict=True))
                if len(alongs) == len(acrosses) == 2:
                    bars.append((max(acrosses) - min(acrosses), min(along for along, _ in points)))
            case Text():
                texts.append(item)
    wall_mm = max(far for _, _, far in strokes)
    lines = [stroke for stroke in strokes if stroke[2] < wall_mm - EASE_MM]
    numbers = [_place_text(drawing, direction, text) for text in texts if not text.bold]
    inside_mm = min(near for _, near, _ in lines)
    return DrawnScale(
        scale,
        sorted(along for along, _, _ in lines),
        [along for along, _, far in strokes if far >= wall_mm - EASE_MM],
        [along for along, near, _ in dashed if abs(near - inside_mm) < EASE_MM],
        max(bars)[1],
        [(text, along) for text, along, across in numbers if across < inside_mm],
        [_place_text(drawing, direction, text)[:2] for text in texts if text.bold],
    )


def _place(drawing: Drawing, direction: BarrelDirection, x_mm: float, y_mm: float) -> tuple[float, float]:
    """Along the barrel from the needle's end, and across it from the side with the numbers."""
    match direction:
        case BarrelDirection.NEEDLE_UP:
            return y_mm, x_mm
        case BarrelDirection.NEEDLE_LEFT:
            return x_mm, drawing.height_mm - y_mm
        case BarrelDirection.NEEDLE_RIGHT:
            return drawing.width_mm - x_mm, y_mm


def _place_text(drawing: Drawing, direction: BarrelDirection, text: Text) -> tuple[str, float, float]:
    """The number, and its middle along and across."""
    half_mm = text.size_pt * 25.4 / 72 * CAP_EM / 2 if direction is BarrelDirection.NEEDLE_UP else 0.0
    return (text.text, *_place(drawing, direction, text.x_mm, text.y_mm - half_mm))
