"""The syringe of small scenes: no lines, but its stopper stands exactly where the scale says.

Measures are in gaps of the pen where their names have no unit. The axes' origin is in the middle of the barrel at the
zero line, along away from the needle.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final, NamedTuple

from fillcards.picture.items import Item
from fillcards.picture.kit import Axes, Point, Region, draw_round, draw_wedge, fill, make_dash
from fillcards.picture.pen import Pen
from fillcards.picture.scale_view import RING, draw_tip
from fillcards.picture.scene import Portion
from fillcards.regimen.model import Syringe

SHOULDER: Final = 1.0
HUB: Final = 3.4
PAST_LAST: Final = 2.4
FLANGE: Final = 1.6
FLANGE_OVERHANG: Final = 1.2
BUBBLE: Final = 2.4
BUBBLES: Final = ((0.8, -3.9), (4.4, -3.5))
ROD_OUT: Final = 2.4
ROD_MORE: Final = 3.2
"""How far the rod stands out past the flanges, all the way in and all the way out: a sign, not to scale."""


class Small(NamedTuple):
    """A small syringe.

    Attributes:
        length: from zero line to last line, in gaps of the pen.
        edge: where the stopper's reading edge stands; 0 is all the way in.
        needle: its length before the hub, in gaps.
    """

    axes: Axes
    syringe: Syringe
    pen: Pen
    length: float
    edge: Fraction = Fraction(0)
    portions: tuple[Portion, ...] = ()
    needle: float = 6.0
    bore: float = 7.0
    has_bubbles: bool = False

    @property
    def end_mm(self) -> float:
        """Along, from the zero line to the outer face of the needle's end of the barrel."""
        return SHOULDER * self.pen.gap_mm + self.pen.outline_mm

    @property
    def outer_mm(self) -> float:
        """Across, from the axis to the outer face of the wall."""
        return self.bore * self.pen.gap_mm / 2 + self.pen.outline_mm

    @property
    def flange_reach_mm(self) -> float:
        """Across, from the axis to the flanges' end."""
        return self.outer_mm + FLANGE_OVERHANG * self.pen.gap_mm

    @property
    def flange_mm(self) -> float:
        """Along, the middle of the flanges."""
        return (self.length + PAST_LAST) * self.pen.gap_mm

    @property
    def thumb_mm(self) -> float:
        """Along, the far side of the thumb rest."""
        out = ROD_OUT + ROD_MORE * float(self.edge / self.syringe.last_line)
        return self.flange_mm + (out + FLANGE) * self.pen.gap_mm

    def locate(self, value: Fraction) -> float:
        """Along, the place of a value of the scale."""
        return float(value / self.syringe.last_line) * self.length * self.pen.gap_mm

    def draw(self) -> Iterator[Item]:
        """The whole syringe with what is in it."""
        axes, pen, gap_mm = self.axes, self.pen, self.pen.gap_mm
        half_mm, edge_mm, line_mm = self.bore * gap_mm / 2, self.locate(self.edge), pen.outline_mm
        inner_ends = {portion.end for portion in self.portions[:-1]}
        round_mm = (BUBBLE / 2 + 1) * gap_mm
        holes = tuple(Region(a, a, c, c).grow(round_mm) for a, c in self.list_bubbles())
        yield from (draw_round(axes.place(*place), BUBBLE * gap_mm, pen.stroke_mm) for place in self.list_bubbles())
        for portion in self.portions:
            near_mm = self.locate(portion.start) if portion.start else -SHOULDER * gap_mm
            near_mm += 1.2 * gap_mm if portion.start in inner_ends else 0.0
            far_mm = self.locate(portion.end) - (1.2 * gap_mm if portion.end in inner_ends else 0.0)
            yield from fill(axes, portion.filling, Region(near_mm, far_mm, -half_mm, half_mm), pen, holes)
        for value in inner_ends:
            along_mm, dash = self.locate(value), make_dash(2 * half_mm, pen, 5)
            yield axes.line((along_mm, -half_mm), (along_mm, half_mm), pen.stroke_mm, dash)
        wall_mm = half_mm + line_mm / 2
        yield axes.box(-self.end_mm + line_mm / 2, self.flange_mm, -wall_mm, wall_mm, line_mm)
        yield from draw_tip(axes, self.syringe, pen, -self.end_mm, 0.0, HUB, self.needle)
        reach_mm = self.flange_reach_mm
        yield axes.line((self.flange_mm, -reach_mm), (self.flange_mm, reach_mm), FLANGE * gap_mm)
        yield axes.box(edge_mm, edge_mm + RING * gap_mm, -half_mm, half_mm)
        rest_mm = self.thumb_mm - FLANGE / 2 * gap_mm
        yield axes.line((edge_mm + RING * gap_mm, 0.0), (rest_mm, 0.0), line_mm)
        reach_mm = 0.42 * self.bore * gap_mm + line_mm
        yield axes.line((rest_mm, -reach_mm), (rest_mm, reach_mm), FLANGE * gap_mm)

    def draw_wedge(self) -> Item:
        """The wedge at the stop, on the side across points to."""
        tip_mm = self.outer_mm + self.pen.gap_mm
        return draw_wedge(self.axes, (self.locate(self.edge), tip_mm), 1, self.pen)

    def list_bubbles(self) -> tuple[Point, ...]:
        """Middles of the bubbles near the needle's end, as many as there is liquid for."""
        if not self.has_bubbles:
            return ()
        places = [(along * self.pen.gap_mm, across * self.pen.gap_mm) for along, across in BUBBLES]
        room_mm = self.locate(self.edge) - (BUBBLE + 1) / 2 * self.pen.gap_mm
        return tuple(place for index, place in enumerate(places) if index == 0 or place[0] <= room_mm)
