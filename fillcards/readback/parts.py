"""Parts of pictures found among the marks of a region, by their form alone. Nothing is judged here.

The kit that draws pictures says what each part is made of (``picture/kit.py``); this is the same list seen from the
other side. Lengths in mm, x to the right and y downward. *Along* runs down a barrel away from the needle.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Final, NamedTuple

from fillcards.readback.marks import Shape, Stroke

EASE_MM: Final = 0.05
SLANT_EASE: Final = 0.02
DARKEST: Final = 0x59
"""Grey of 7:1 on white; nothing that means something is lighter."""
ROUNDED: Final = 28
"""Corners of a rounded rectangle: a frame, or a plate behind light words."""


class Box(NamedTuple):
    """A rectangle."""

    left: float
    top: float
    right: float
    bottom: float

    def holds(self, x: float, y: float, ease: float = EASE_MM) -> bool:
        """Whether a point lies in it."""
        return self.left - ease <= x <= self.right + ease and self.top - ease <= y <= self.bottom + ease

    def parts(self, ends_x: tuple[float, float], y: float) -> bool:
        """Whether its left or right side stands between two places on one level."""
        return self.top < y < self.bottom and any(ends_x[0] < x < ends_x[1] for x in (self.left, self.right))

    @property
    def middle(self) -> tuple[float, float]:
        """Its centre."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2


class Region(NamedTuple):
    """Everything drawn in a part of a side."""

    box: Box
    strokes: tuple[Stroke, ...]
    shapes: tuple[Shape, ...]


def box_of(shape: Shape) -> Box:
    """The box of a shape's corners."""
    return Box(shape.left_mm, shape.top_mm, shape.right_mm, shape.bottom_mm)


def cut_region(box: Box, strokes: Iterable[Stroke], shapes: Iterable[Shape]) -> Region:
    """The marks whose middle lies in a box."""
    inside = tuple(stroke for stroke in strokes if box.holds(*stroke.middle))
    return Region(box, inside, tuple(shape for shape in shapes if box.holds(*shape.middle)))


def name_mark(mark: Stroke | Shape) -> str:
    """What a mark is by its form alone: ``line``, ``dashed``, ``slant``, ``dot``, ``solid 4``, ``outline 8`` ..."""
    if isinstance(mark, Stroke):
        if mark.level > DARKEST:
            return "light line"
        return "dashed" if mark.is_dashed else "slant" if is_slant(mark) else "line"
    if max(mark.outline or 0, 0 if mark.outline is not None and mark.fill is not None else mark.fill or 0) > DARKEST:
        return "light shape"
    if mark.is_round:
        return "dot"
    kind = "solid" if mark.outline is None else "outline" if mark.fill is None else "both"
    return f"{kind} {len(mark.points)}"


def describe_mark(mark: Stroke | Shape) -> str:
    """What a mark is, and where."""
    x, y = (mark.x1_mm, mark.y1_mm) if isinstance(mark, Stroke) else mark.middle
    return f"{name_mark(mark)} {x:.0f} mm from the left, {y:.0f} mm from the top"


def list_loose_fillings(region: Region, boxes: Iterable[Box]) -> list[Stroke | Shape]:
    """Slants and dots that lie in none of the boxes."""
    boxes = tuple(boxes)
    slants = [s for s in region.strokes if is_slant(s) and not any(_is_in(s, box) for box in boxes)]
    return [*slants, *(s for s in region.shapes if s.is_round and not any(box.holds(*s.middle) for box in boxes))]


def is_solid(shape: Shape, corners: int) -> bool:
    """Filled, without an outline, with so many corners."""
    return shape.fill is not None and shape.outline is None and len(shape.points) == corners


def is_outline(shape: Shape, corners: int) -> bool:
    """Outlined, not filled, with so many corners."""
    return shape.fill is None and shape.outline is not None and len(shape.points) == corners


def is_upright(shape: Shape) -> bool:
    """Whether a shape of four corners is a rectangle along the page's own axes."""
    box = box_of(shape)
    return all(
        min(abs(x - box.left), abs(x - box.right)) <= EASE_MM and min(abs(y - box.top), abs(y - box.bottom)) <= EASE_MM
        for x, y in shape.points
    )


def is_slant(stroke: Stroke) -> bool:
    """Rising to the right at 45 degrees, as the first filling does."""
    dx, dy = stroke.x2_mm - stroke.x1_mm, stroke.y2_mm - stroke.y1_mm
    return not stroke.is_dashed and abs(dx + dy) <= SLANT_EASE * math.hypot(dx, dy) + EASE_MM


class Filled(NamedTuple):
    """What fills a box, and from where to where along y."""

    filling: str
    top: float
    bottom: float


def read_fillings(region: Region, box: Box) -> tuple[Filled, ...]:
    """Slants and dots in a box, each as one stretch from top to bottom."""
    slants = [s for s in region.strokes if is_slant(s) and _is_in(s, box)]
    dots = [s for s in region.shapes if s.is_round and s.fill is not None and box.holds(*s.middle)]
    ends = {
        "slanted": [y for s in slants for y in (s.y1_mm, s.y2_mm)],
        "dots": [y for s in dots for y in (s.top_mm, s.bottom_mm)],
    }
    found = [Filled(name, min(ys), max(ys)) for name, ys in ends.items() if ys]
    return tuple(sorted(found, key=lambda each: each.top))


def _is_in(stroke: Stroke, box: Box) -> bool:
    return box.holds(stroke.x1_mm, stroke.y1_mm) and box.holds(stroke.x2_mm, stroke.y2_mm)


class Syringe(NamedTuple):
    """A small syringe.

    Attributes:
        barrel: to the middle of its outline, from the needle's end to the flanges.
        needle_up: whether the needle points up.
        edge_part: where the stopper's reading edge stands, as a part of the way from zero line to last line; ``None``
            without exactly one stopper.
        length_mm: that way on paper.
        fillings: from the needle on.
        gap_mm: of the pen that drew it.
        point: where the needle ends; ``None`` without one.
    """

    barrel: Box
    needle_up: bool
    is_oral: bool
    edge_part: float | None
    length_mm: float
    edge_mm: float | None
    fillings: tuple[Filled, ...]
    zero_mm: float
    gap_mm: float
    point: tuple[float, float] | None


SHOULDER: Final = 1.0
PAST_LAST: Final = 2.4
"""Small syringes: zero line from the inner end, last line before the flanges, in gaps."""


def read_syringes(region: Region, bore_gaps: float = 7.0) -> Iterator[Syringe]:
    """Every upright small syringe of a region.

    Args:
        region: what is drawn.
        bore_gaps: width of the bore in gaps of the pen.
    """
    for shape in region.shapes:
        if not is_outline(shape, 4) or not is_upright(shape):
            continue
        box, half = box_of(shape), shape.outline_mm / 2
        inner = Box(box.left + half, box.top, box.right - half, box.bottom)
        tips = [
            tip
            for tip in region.shapes
            if (is_solid(tip, 4) or is_outline(tip, 4)) and not is_upright(tip) and _touches_end(box_of(tip), box, half)
        ]
        if len(tips) != 1:
            continue
        hub = box_of(tips[0])
        needle_up = hub.middle[1] < box.middle[1]
        near, far, way = (box.top, box.bottom, 1) if needle_up else (box.bottom, box.top, -1)
        gap = (inner.right - inner.left) / bore_gaps
        zero, last = near + way * (half + SHOULDER * gap), far - way * PAST_LAST * gap
        stoppers = [box_of(s) for s in region.shapes if is_solid(s, 4) and is_upright(s)]
        edges = [
            stopper.top if needle_up else stopper.bottom
            for stopper in stoppers
            if max(abs(stopper.left - inner.left), abs(stopper.right - inner.right)) <= EASE_MM
        ]
        edge = edges[0] if len(edges) == 1 else None
        yield Syringe(
            barrel=box,
            needle_up=needle_up,
            is_oral=is_outline(tips[0], 4),
            edge_part=None if edge is None else (edge - zero) / (last - zero),
            length_mm=abs(last - zero),
            edge_mm=edge,
            fillings=read_fillings(region, inner),
            zero_mm=zero,
            gap_mm=gap,
            point=_find_point(region, hub, needle_up=needle_up),
        )


def _find_point(region: Region, hub: Box, *, needle_up: bool) -> tuple[float, float] | None:
    """The far end of the one upright stroke that begins where the hub ends."""
    end = hub.top if needle_up else hub.bottom
    found = []
    for stroke in region.strokes:
        near, far = sorted((stroke.y1_mm, stroke.y2_mm), reverse=needle_up)
        if stroke.is_vertical and abs(near - end) <= EASE_MM and abs(stroke.x1_mm - hub.middle[0]) <= EASE_MM:
            found.append((stroke.x1_mm, far))
    return found[0] if len(found) == 1 else None


def _touches_end(tip: Box, barrel: Box, half: float) -> bool:
    is_inside = barrel.left < tip.left and tip.right < barrel.right
    above, below = abs(tip.bottom - (barrel.top - half)), abs(tip.top - (barrel.bottom + half))
    return is_inside and min(above, below) <= EASE_MM


class VialSeen(NamedTuple):
    """A vial or bottle: which way up, what is in it, how many bands."""

    box: Box
    stands: bool
    filling: str
    bands: int
    is_bottle: bool
    level: float | None


def read_vials(region: Region) -> Iterator[VialSeen]:
    """Every upright or upside-down vial of a region, from left to right."""
    outlines = sorted((s for s in region.shapes if is_outline(s, 8)), key=lambda s: s.left_mm)
    likely = [s for s in region.shapes if is_solid(s, 8) or (is_solid(s, 4) and is_upright(s))]
    for shape in outlines:
        box = box_of(shape)
        caps = [
            cap
            for cap in likely
            if abs(cap.middle[0] - box.middle[0]) <= EASE_MM
            and min(abs(cap.bottom_mm - box.top), abs(cap.top_mm - box.bottom)) <= EASE_MM
        ]
        if len(caps) != 1:
            continue
        fillings = read_fillings(region, box)
        bands = [
            s
            for s in region.strokes
            if s.is_horizontal
            and not s.is_dashed
            and min(s.x1_mm, s.x2_mm) < box.left - EASE_MM
            and max(s.x1_mm, s.x2_mm) > box.right + EASE_MM
            and box.top < s.y1_mm < box.bottom
            and s.width_mm > 1.3 * shape.outline_mm
        ]
        filling = fillings[0].filling if len(fillings) == 1 else "both" if fillings else ""
        levels = [s.y1_mm for s in region.strokes if s.is_dashed and s.is_horizontal and _is_in(s, box)]
        yield VialSeen(
            box=box,
            stands=caps[0].middle[1] < box.middle[1],
            filling=filling,
            bands=len(bands),
            is_bottle=len(caps[0].points) == 4,
            level=levels[0] if len(levels) == 1 else None,
        )


class Pointed(NamedTuple):
    """A wedge or an arrow: where its tip is, and where it points."""

    x: float
    y: float
    way: str


def read_arrows(region: Region) -> tuple[Pointed, ...]:
    """Hollow arrows to one side: outlined, seven corners, the tip alone on its side of the head."""
    found = []
    for shape in region.shapes:
        if not is_outline(shape, 7):
            continue
        box = box_of(shape)
        wide = box.right - box.left > box.bottom - box.top
        low, high = (box.left, box.right) if wide else (box.top, box.bottom)
        places = [point[0] if wide else point[1] for point in shape.points]
        at_low, at_high = (sum(abs(p - end) <= EASE_MM for p in places) for end in (low, high))
        if at_low == at_high:
            continue
        end = low if at_low < at_high else high
        tip = shape.points[next(i for i, p in enumerate(places) if abs(p - end) <= EASE_MM)]
        way = ("left" if end == low else "right") if wide else ("up" if end == low else "down")
        found.append(Pointed(*tip, way))
    return tuple(found)
