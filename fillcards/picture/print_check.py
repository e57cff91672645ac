"""What whoever prints the card measures, to see that the printer kept the size: a 100 mm bar and a card's outline.

The instruction beside each belongs to the wording; here are only lines, and the numbers on the bar. mm throughout.
"""

from __future__ import annotations

import math
from typing import Final

from fillcards.picture.items import Anchor, Drawing, Item, Line, Polygon, Text

BAR_MM: Final = 100.0
"""Between the centres of the two end ticks."""
TICK_MM: Final = 0.3
END_TICK_HEIGHT_MM: Final = 7.0
TEN_TICK_HEIGHT_MM: Final = 3.5
NUMBER_PT: Final = 12.0
NUMBER_BASELINE_MM: Final = 11.2
SIDE_MM: Final = 6.0

ID1_WIDTH_MM: Final = 85.60
ID1_HEIGHT_MM: Final = 53.98
ID1_RADIUS_MM: Final = 3.18
"""ISO/IEC 7810, ID-1; the radius may be 2.88 mm to 3.48 mm, this is the middle."""
OUTLINE_MM: Final = 0.3
CHORDS_A_CORNER: Final = 16


def draw_hundred_mm_bar() -> Drawing:
    """A bar with a tick every 10 mm, 100 mm long between the centres of its end ticks."""
    baseline_mm = END_TICK_HEIGHT_MM - TICK_MM / 2
    items: list[Item] = [Line(SIDE_MM - TICK_MM / 2, baseline_mm, SIDE_MM + BAR_MM + TICK_MM / 2, baseline_mm, TICK_MM)]
    for index in range(11):
        x_mm = SIDE_MM + index * BAR_MM / 10
        height_mm = END_TICK_HEIGHT_MM if index in (0, 10) else TEN_TICK_HEIGHT_MM
        items.append(Line(x_mm, END_TICK_HEIGHT_MM - height_mm, x_mm, END_TICK_HEIGHT_MM, TICK_MM))
    items.append(Text(SIDE_MM, NUMBER_BASELINE_MM + 0.2, "0", NUMBER_PT, anchor=Anchor.MIDDLE))
    items.append(Text(SIDE_MM + BAR_MM, NUMBER_BASELINE_MM + 0.2, "100", NUMBER_PT, anchor=Anchor.MIDDLE))
    return Drawing(BAR_MM + 2 * SIDE_MM, NUMBER_BASELINE_MM + 0.4, tuple(items))


def draw_id1_outline() -> Drawing:
    """The outline of a bank card; the middle of the stroke is the card's edge."""
    inset_mm = OUTLINE_MM / 2
    centres = (
        (ID1_WIDTH_MM - ID1_RADIUS_MM, ID1_RADIUS_MM),
        (ID1_WIDTH_MM - ID1_RADIUS_MM, ID1_HEIGHT_MM - ID1_RADIUS_MM),
        (ID1_RADIUS_MM, ID1_HEIGHT_MM - ID1_RADIUS_MM),
        (ID1_RADIUS_MM, ID1_RADIUS_MM),
    )
    points = tuple(
        (inset_mm + x_mm + ID1_RADIUS_MM * math.cos(angle), inset_mm + y_mm + ID1_RADIUS_MM * math.sin(angle))
        for corner, (x_mm, y_mm) in enumerate(centres)
        for angle in (math.pi / 2 * (corner - 1 + step / CHORDS_A_CORNER) for step in range(CHORDS_A_CORNER + 1))
    )
    outline = Polygon(points, outline_mm=OUTLINE_MM)
    return Drawing(ID1_WIDTH_MM + OUTLINE_MM, ID1_HEIGHT_MM + OUTLINE_MM, (outline,))
