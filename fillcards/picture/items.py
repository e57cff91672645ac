"""The drawing language: device-independent items in millimetres that every output understands.

Coordinates: x grows to the right, y grows downward, origin at the top left of the drawing; all lengths in mm except
type sizes, which are in points. Drawings are frozen; an output never alters one. There is no scaling: an item is
already as large as it will be on paper.
"""

from __future__ import annotations

from enum import Enum
from typing import NamedTuple, TypeAlias


class Ink(Enum):
    """sRGB level of the only inks there are. ``GREY`` has 7:1 contrast on white (WCAG 2.1, SC 1.4.6)."""

    BLACK = 0.0
    GREY = 0x59 / 255
    WHITE = 1.0


class Anchor(Enum):
    """Which point of a text run stands at its x."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


class Line(NamedTuple):
    """A straight stroke with square (butt) ends. ``dash`` alternates ink and gap lengths in mm."""

    x1_mm: float
    y1_mm: float
    x2_mm: float
    y2_mm: float
    width_mm: float
    ink: Ink = Ink.BLACK
    dash_mm: tuple[float, ...] = ()


class Polygon(NamedTuple):
    """A closed shape: filled, outlined, or both."""

    points_mm: tuple[tuple[float, float], ...]
    fill: Ink | None = None
    outline_mm: float = 0.0
    ink: Ink = Ink.BLACK


class Dot(NamedTuple):
    """A filled disc."""

    x_mm: float
    y_mm: float
    diameter_mm: float
    ink: Ink = Ink.BLACK


class Text(NamedTuple):
    """One run of text on one line; y is the baseline. Its width is what ``typeface.measure_width_mm`` says. Its
    language chooses the face of words that several have.
    """

    x_mm: float
    y_mm: float
    text: str
    size_pt: float
    bold: bool = False
    anchor: Anchor = Anchor.START
    ink: Ink = Ink.BLACK
    language: str = "en"


Item: TypeAlias = Line | Polygon | Dot | Text


class Drawing(NamedTuple):
    """Items in a box of stated size, in paint order. Nothing reaches outside the box."""

    width_mm: float
    height_mm: float
    items: tuple[Item, ...]


def move_item(item: Item, dx_mm: float, dy_mm: float) -> Item:
    """The same item elsewhere."""
    match item:
        case Text():
            return Text(item.x_mm + dx_mm, item.y_mm + dy_mm, *item[2:])
        case Line():
            ends_mm = item.x1_mm + dx_mm, item.y1_mm + dy_mm, item.x2_mm + dx_mm, item.y2_mm + dy_mm
            return Line(*ends_mm, *item[4:])
        case Polygon():
            return Polygon(tuple([(x + dx_mm, y + dy_mm) for x, y in item.points_mm]), *item[1:])
        case Dot():
            return Dot(item.x_mm + dx_mm, item.y_mm + dy_mm, *item[2:])


def place_drawing(drawing: Drawing, x_mm: float, y_mm: float) -> tuple[Item, ...]:
    """The drawing's items with its top left corner at (x, y)."""
    return tuple(move_item(item, x_mm, y_mm) for item in drawing.items)
