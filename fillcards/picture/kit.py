"""The kit of parts that every picture is put together from, each true to its pen and told from the others by its form.

Axes lie in a syringe or vial: *along* grows away from the needle (or from a vial's cap), *across* from one side to the
other; ``Axes`` says where they lie on the page. Everything is in mm. What each part is made of, so that a finished page
can be read back:

* stopper: one ``Polygon`` filled black, 4 corners, from inner wall to inner wall, no outline; its side nearest the
  needle is the reading edge. Nothing else that is filled spans the bore.
* rod: one ``Line`` along the barrel from the stopper, as wide as an outline; thumb rest: one ``Line`` across its end.
  Nothing else lies behind the stopper in the barrel, so that nothing there can be read as its edge.
* flanges: one ``Line`` across the barrel's open end, wider than the barrel.
* barrel: one ``Polygon``, 4 corners, outlined, not filled. In a window of a scale: two ``Line``, the walls.
  Before the window of a check, past a break, the needle's end: two short walls and an end wall, each a ``Line``, with
  the first portion's filling between them, hub and needle.
* small syringe of a scene: the zero line, not drawn, lies one gap past the inner face of the barrel's needle end, the
  last line 2.4 gaps before the middle of the flanges. A whole barrel draws both lines.
* needle: one ``Line`` from the hub; hub: one ``Polygon``, 4 corners (a trapezoid), filled. Oral tip: the same trapezoid
  outlined, not filled, and no needle.
* wedge: one ``Polygon``, 3 corners, filled; its tip lies on the stop's line and points at the barrel.
* hollow arrow: one ``Polygon``, outlined, not filled; 7 corners to one side, the first one its tip; 10 to and fro.
  Where the rod is pulled it stands beside it, on the side away from the number; where it is pushed, on the thumb rest,
  in line with it.
  A turning arrow is a bent one: more than 20 corners.
* slanted filling: parallel ``Line`` at 45 degrees to the barrel or vial, rising to the right on the page; dots:
  ``Dot`` of the pen's size, filled. Both end inside the region they fill.
* broken mark between two portions, and a vial's level: one ``Line`` with a dash.
* vial: one ``Polygon``, 8 corners, outlined; cap: one ``Polygon``, 8 corners, filled; a bottle's cap has 4. A bottle
  that is drawn from has a plug instead: a filled ``Polygon`` of 4 corners, lower than a cap, and two ``Line`` in its
  neck.
* band: one ``Line`` across the middle of the vial, half as heavy again as the outline and longer than the vial is wide.
* label: one ``Polygon``, 4 corners, outlined, with ``Line`` in it.
* bubble: one ``Polygon`` of 12 corners, outlined; where there are any, all is pushed back and pulled again, and
  no wedge and no number stand there. Drop: one ``Polygon`` of 13 corners, filled.
* a vial seen from its end, rolled between two filled hands: one ``Polygon`` of 36 corners, outlined, with a level and a
  filling in it.
* wiping pad: one ``Polygon``, 4 corners, outlined, over a cap, and on it a filled hand of more than 20 corners.
* things without an amount (hand, tap, skin, mouth, eye, magnifier, sharps box, paw): shapes and lines of their own,
  none of them a filled triangle, a ``Dot`` or a shape that spans a bore.

The check of a total has two barrels: the window's two walls, and a small whole barrel with a stopper of its own.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Final, NamedTuple, TypeAlias

from fillcards.picture.items import Anchor, Dot, Drawing, Ink, Item, Line, Polygon, Text, move_item, place_drawing
from fillcards.picture.pen import Pen, measure_label_em
from fillcards.picture.scene import Filling, VialLook
from fillcards.quantities import convert_pt_to_mm
from fillcards.typeface import measure_width_mm

Point: TypeAlias = tuple[float, float]
"""(along, across) in axes, (x, y) on the page; mm."""

Box: TypeAlias = tuple[float, float, float, float]
"""Left, top, right, bottom; mm."""


class Axes(NamedTuple):
    """Where along and across lie on the page: an origin and two directions, of length 1 but in ``lay_grid``."""

    x_mm: float
    y_mm: float
    along: Point
    across: Point

    def place(self, along_mm: float, across_mm: float) -> Point:
        """Page x and y of a point."""
        (ax, ay), (cx, cy) = self.along, self.across
        return self.x_mm + along_mm * ax + across_mm * cx, self.y_mm + along_mm * ay + across_mm * cy

    def line(self, start: Point, end: Point, width_mm: float, dash_mm: tuple[float, ...] = ()) -> Line:
        """A stroke between two points."""
        return Line(*self.place(*start), *self.place(*end), width_mm, Ink.BLACK, dash_mm)

    def shape(self, points: Iterable[Point], *, filled: bool = False, outline_mm: float = 0.0) -> Polygon:
        """A closed shape."""
        return Polygon(tuple(self.place(*point) for point in points), Ink.BLACK if filled else None, outline_mm)

    def box(self, near: float, far: float, low: float, high: float, outline_mm: float = 0.0) -> Polygon:
        """A rectangle: filled, or outlined where a width is given."""
        corners = ((near, low), (near, high), (far, high), (far, low))
        return self.shape(corners, filled=not outline_mm, outline_mm=outline_mm)

    def ribbon(self, points: Iterable[Point], width_mm: float) -> Polygon:
        """A curve of even width."""
        return stretch_ribbon([self.place(*point) for point in points], width_mm)

    def dot(self, along_mm: float, across_mm: float, diameter_mm: float) -> Dot:
        """A disc."""
        return Dot(*self.place(along_mm, across_mm), diameter_mm)

    def label(self, label: Drawing, along_mm: float, across_mm: float, side: int) -> tuple[Item, ...]:
        """An upright word centred on ``along_mm``, from ``across_mm`` outward: ``side`` is 1 or -1 across."""
        extent_mm = abs(self.across[0]) * label.width_mm + abs(self.across[1]) * label.height_mm
        x_mm, y_mm = self.place(along_mm, across_mm + side * extent_mm / 2)
        return place_drawing(label, x_mm - label.width_mm / 2, y_mm - label.height_mm / 2)


def point_up(x_mm: float = 0.0, y_mm: float = 0.0) -> Axes:
    """Needle or cap up."""
    return Axes(x_mm, y_mm, (0.0, 1.0), (1.0, 0.0))


def lay_grid(pen: Pen, x_mm: float, y_mm: float) -> Axes:
    """Across and down the page from a corner in mm, in gaps of a pen."""
    return Axes(x_mm, y_mm, (pen.gap_mm, 0.0), (0.0, pen.gap_mm))


def point_down(x_mm: float = 0.0, y_mm: float = 0.0) -> Axes:
    """Needle or cap down."""
    return Axes(x_mm, y_mm, (0.0, -1.0), (1.0, 0.0))


class Region(NamedTuple):
    """A rectangle in axes."""

    near: float
    far: float
    low: float
    high: float

    def grow(self, margin_mm: float) -> Region:
        """With a margin added on every side, or taken off."""
        return Region(self.near - margin_mm, self.far + margin_mm, self.low - margin_mm, self.high + margin_mm)


def fill(
    axes: Axes, filling: Filling, region: Region, pen: Pen, holes: tuple[Region, ...] = ()
) -> Iterator[Line | Dot]:
    """A region filled with slants or dots, holes left white; empty for air."""
    if filling is Filling.FIRST:
        return _fill_with_slants(axes, region.grow(-pen.slant_mm / 2), pen, holes)
    if filling is Filling.SECOND:
        return _fill_with_dots(axes, region.grow(-pen.dot_mm / 2), pen, holes)
    return iter(())


def _fill_with_slants(axes: Axes, inner: Region, pen: Pen, holes: tuple[Region, ...]) -> Iterator[Line]:
    step_mm = min(pen.slant_pitch_mm, pen.slant_mm + pen.gap_mm) * math.sqrt(2)
    # On the page x + y is the same all along a slant: in axes, along + across or along - across.
    if sum(axes.along) * sum(axes.across) < 0:
        axes = axes._replace(across=(-axes.across[0], -axes.across[1]))
        inner = Region(inner.near, inner.far, -inner.high, -inner.low)
        holes = tuple(Region(hole.near, hole.far, -hole.high, -hole.low) for hole in holes)
    # From end to end, so that no white corner at the needle looks like air: the rest of a step is shared out.
    least, most = inner.near + inner.low + 1.2 * pen.slant_mm, inner.far + inner.high - 1.2 * pen.slant_mm
    count = int((most - least) / step_mm + 1 + 1e-9) if most >= least else 0
    start = least if count > 1 else (least + most) / 2
    step_mm = (most - least) / (count - 1) if count > 1 else step_mm
    wide = [hole.grow(pen.slant_mm / 2) for hole in holes]
    for index in range(count):
        total = start + index * step_mm
        cuts = [(max(inner.low, total - inner.far), min(inner.high, total - inner.near))]
        for hole in wide:
            out = max(hole.low, total - hole.far), min(hole.high, total - hole.near)
            if out[0] < out[1]:
                cuts = [cut for low, high in cuts for cut in ((low, min(high, out[0])), (max(low, out[1]), high))]
        for low, high in cuts:
            if high - low >= pen.slant_mm:
                yield axes.line((total - low, low), (total - high, high), pen.slant_mm)


def _fill_with_dots(axes: Axes, inner: Region, pen: Pen, holes: tuple[Region, ...]) -> Iterator[Dot]:
    """Staggered rows, spread so that they are as far from one wall as from the other."""
    half_mm = pen.dot_pitch_mm / 2
    columns = int((inner.high - inner.low) / half_mm + 1e-9)
    rows = int((inner.far - inner.near) / half_mm + 1e-9)
    if inner.far < inner.near or inner.high < inner.low:
        return
    low_mm = (inner.low + inner.high - columns * half_mm) / 2
    near_mm = (inner.near + inner.far - rows * half_mm) / 2
    wide = [hole.grow(pen.dot_mm / 2) for hole in holes]
    for row in range(rows + 1):
        for column in range(row % 2, columns + 1, 2):
            along, across = near_mm + row * half_mm, low_mm + column * half_mm
            if not any(hole.near < along < hole.far and hole.low < across < hole.high for hole in wide):
                yield axes.dot(along, across, pen.dot_mm)


def make_dash(length_mm: float, pen: Pen, most: int) -> tuple[float, float]:
    """Dashes and gaps of one length that begin and end a stroke with a dash, none shorter than the pen's gap."""
    parts = next((parts for parts in range(most, 1, -2) if length_mm / parts >= pen.gap_mm), 1)
    return length_mm / parts, length_mm / parts


def draw_wedge(axes: Axes, tip: Point, side: int, pen: Pen, base_mm: float | None = None) -> Polygon:
    """A solid wedge: its tip on the stop's line, its base at another place along where two would touch."""
    along_mm, across_mm = tip
    base_mm = along_mm if base_mm is None else base_mm
    back_mm = across_mm + side * WEDGE_LENGTH * pen.gap_mm
    half_mm = WEDGE_HALF * pen.gap_mm
    return axes.shape(((along_mm, across_mm), (base_mm - half_mm, back_mm), (base_mm + half_mm, back_mm)), filled=True)


WEDGE_LENGTH: Final = 3.8
WEDGE_HALF: Final = 2.4
"""In gaps of the pen."""

SHAFT_HALF: Final = 1.35
HEAD_HALF: Final = 3.3
HEAD_LENGTH: Final = 4.6
"""Of a hollow arrow, in gaps of the pen, to the middle of its stroke; the white inside the shaft is over a gap wide."""


def draw_hollow_arrow(tail: Point, tip: Point, pen: Pen, *, both_ways: bool = False) -> Polygon:
    """Something moves from tail to tip, or to and fro between them; both on the page."""
    gap_mm, length_mm = pen.gap_mm, math.dist(tail, tip)
    unit = (tail[0] - tip[0]) / length_mm, (tail[1] - tip[1]) / length_mm
    axes, head_mm = Axes(*tip, unit, (-unit[1], unit[0])), HEAD_LENGTH * gap_mm
    half = [(0.0, 0.0), (head_mm, HEAD_HALF * gap_mm), (head_mm, SHAFT_HALF * gap_mm)]
    end = [(length_mm - along, across) for along, across in half[::-1]]
    half += end if both_ways else [(length_mm, SHAFT_HALF * gap_mm)]
    back = [(along, -across) for along, across in half[::-1] if across]
    return axes.shape((*half, *back), outline_mm=pen.stroke_mm)


def draw_turning_arrow(
    centre: Point, radii: Point, degrees: tuple[float, float], pen: Pen, *, both_ways: bool = False
) -> Polygon:
    """A hollow arrow bent round an ellipse, from one angle to another (clockwise from the right on the page)."""
    gap_mm = pen.gap_mm
    start, end = map(math.radians, degrees)
    way = 1 if end > start else -1
    head = HEAD_LENGTH * gap_mm / max(radii)

    def bend(angle: float, out: float) -> Point:
        return (
            centre[0] + (radii[0] + out * gap_mm) * math.cos(angle),
            centre[1] + (radii[1] + out * gap_mm) * math.sin(angle),
        )

    neck, foot = end - way * head, start + way * head if both_ways else start
    angles = [foot + (neck - foot) * step / 12 for step in range(13)]
    outer = [bend(angle, SHAFT_HALF) for angle in angles]
    inner = [bend(angle, -SHAFT_HALF) for angle in reversed(angles)]
    tail = [bend(foot, -HEAD_HALF), bend(start, 0.0), bend(foot, HEAD_HALF)] if both_ways else []
    points = (bend(end, 0.0), bend(neck, -HEAD_HALF), *inner, *tail, *outer, bend(neck, HEAD_HALF))
    return Polygon(points, None, pen.stroke_mm)


CAP_HEIGHT: Final = 3.6
NECK: Final = 1.2
SHOULDER: Final = 1.8
PLUG: Final = 1.4
PLUG_HOLE: Final = 2.0
"""Of a vial, in gaps of the pen; how high a bottle's plug stands out of its neck, and half the width of its hole."""


BAND_TO_OUTLINE: Final = 1.5
BAND_PITCH: Final = 3.7
BAND_REACH: Final = 1.4
"""How much heavier than an outline; from one to the next and past the vial's side, in gaps of the pen."""


class Vial(NamedTuple):
    """A vial's measures in mm, along from the cap's outer face."""

    width_mm: float
    length_mm: float
    neck_mm: float
    inside_mm: float


def measure_vial(look: VialLook, pen: Pen, *, width: float = 13.0, length: float = 20.0) -> Vial:
    """A vial of so many gaps of the pen across and along."""
    gap_mm = pen.gap_mm
    inside_mm = (CAP_HEIGHT + NECK + SHOULDER) * gap_mm
    neck = 0.34 if look.is_bottle else 0.27
    return Vial(width * gap_mm, length * gap_mm, neck * width * gap_mm, inside_mm)


def draw_vial(
    axes: Axes,
    look: VialLook,
    pen: Pen,
    vial: Vial,
    *,
    level_mm: float | None = None,
    holes: tuple[Region, ...] = (),
    bands_mm: float | None = None,
    has_plug: bool = False,
) -> Iterator[Item]:
    """A vial with its liquid on the lower side of the level: away from the cap if it stands, else toward it.

    Args:
        axes: origin in the middle of the cap's outer face.
        look: its liquid and bands.
        pen: draws it.
        vial: its measures.
        level_mm: along; left out: no liquid.
        holes: parts that stay white, such as a label and the needle's surroundings.
        bands_mm: along, the middle of its bands; left out: half the way from shoulder to base.
        has_plug: a bottle without its cap, a plug with a hole in its neck.
    """
    gap_mm, line_mm = pen.gap_mm, pen.outline_mm
    half_mm, neck_mm = vial.width_mm / 2 - line_mm / 2, vial.neck_mm
    base_mm, cap_mm = vial.length_mm - line_mm / 2, CAP_HEIGHT * gap_mm
    side = [(cap_mm, neck_mm), (cap_mm + NECK * gap_mm, neck_mm), (vial.inside_mm, half_mm), (base_mm, half_mm)]
    yield axes.shape((*side, *((along, -across) for along, across in reversed(side))), outline_mm=line_mm)
    if has_plug:
        yield axes.box(cap_mm - PLUG * gap_mm, cap_mm, -neck_mm - gap_mm, neck_mm + gap_mm)
        for across_mm in (-PLUG_HOLE * gap_mm, PLUG_HOLE * gap_mm):
            yield axes.line((cap_mm, across_mm), (vial.inside_mm, across_mm), pen.stroke_mm)
    elif look.is_bottle:
        yield axes.box(0.0, cap_mm, -neck_mm - gap_mm, neck_mm + gap_mm)
    else:
        rim_mm = 0.6 * cap_mm
        cap = [(0.0, neck_mm + 1.2 * gap_mm), (rim_mm, neck_mm + 1.2 * gap_mm), (rim_mm, neck_mm), (cap_mm, neck_mm)]
        yield axes.shape((*cap, *((along, -across) for along, across in reversed(cap))), filled=True)
    middle_mm = (vial.inside_mm + base_mm) / 2 if bands_mm is None else bands_mm
    bands = [middle_mm + (index - (look.bands - 1) / 2) * BAND_PITCH * gap_mm for index in range(look.bands)]
    for band_mm in bands:
        reach_mm = vial.width_mm / 2 + BAND_REACH * gap_mm
        yield axes.line((band_mm, -reach_mm), (band_mm, reach_mm), BAND_TO_OUTLINE * line_mm)
    if level_mm is None:
        return
    inner_mm = half_mm - line_mm / 2
    yield axes.line((level_mm, -inner_mm), (level_mm, inner_mm), pen.stroke_mm, make_dash(2 * inner_mm, pen, 7))
    stands = axes.along[1] >= 0
    clear_mm = pen.stroke_mm / 2 + gap_mm
    liquid = (
        Region(level_mm + clear_mm, base_mm - line_mm / 2, -inner_mm, inner_mm)
        if stands
        else Region(vial.inside_mm, level_mm - clear_mm, -inner_mm, inner_mm)
    )
    around = tuple(Region(band, band, -half_mm, half_mm).grow(gap_mm + BAND_TO_OUTLINE * line_mm / 2) for band in bands)
    yield from fill(axes, look.filling, liquid, pen, holes + around)


def draw_label(axes: Axes, vial: Vial, pen: Pen, near: float, rows: int) -> tuple[Region, list[Item]]:
    """A vial's label with lines of writing, and the place it takes."""
    gap_mm = pen.gap_mm
    half_mm = vial.width_mm / 2 - pen.outline_mm - gap_mm
    near_mm = near * gap_mm
    far_mm = near_mm + (2 * rows + 1.6) * gap_mm + pen.stroke_mm
    items: list[Item] = [axes.box(near_mm, far_mm, -half_mm, half_mm, pen.stroke_mm)]
    reach_mm = half_mm - pen.stroke_mm / 2 - gap_mm
    for row in range(rows):
        along_mm = near_mm + (1.8 + 2 * row) * gap_mm
        end_mm = reach_mm if row % 2 == 0 else 0.3 * reach_mm
        items.append(axes.line((along_mm, -reach_mm), (along_mm, end_mm), pen.stroke_mm))
    return Region(near_mm, far_mm, -half_mm, half_mm).grow(gap_mm), items


def arc(centre: Point, radii: Point, start: float, end: float, steps: int = 8) -> list[Point]:
    """Points on an ellipse, angles in degrees clockwise from the right."""
    turns = (math.radians(start + (end - start) * step / steps) for step in range(steps + 1))
    return [(centre[0] + radii[0] * math.cos(turn), centre[1] + radii[1] * math.sin(turn)) for turn in turns]


def draw_solid(points: Iterable[Point]) -> Polygon:
    """A black shape."""
    return Polygon(tuple(points), Ink.BLACK)


def draw_round(centre: Point, diameter_mm: float, outline_mm: float, corners: int = 12) -> Polygon:
    """A circle of so many corners, outlined; the diameter to the middle of its stroke."""
    return Polygon(tuple(_list_corners(centre, diameter_mm, corners)), None, outline_mm)


def draw_solid_round(centre: Point, diameter_mm: float) -> Polygon:
    """A black disc as a shape, which is never part of a filling."""
    return draw_solid(_list_corners(centre, diameter_mm, 24))


def _list_corners(centre: Point, diameter_mm: float, corners: int) -> list[Point]:
    turns = (2 * math.pi * index / corners for index in range(corners))
    radius_mm = diameter_mm / 2
    return [(centre[0] + radius_mm * math.cos(turn), centre[1] + radius_mm * math.sin(turn)) for turn in turns]


def draw_drop(x_mm: float, y_mm: float, width_mm: float) -> Polygon:
    """A falling drop; (x, y) is the tip, its length one and a half times the width."""
    radius_mm = width_mm / 2
    return draw_solid(
        [(x_mm, y_mm), *arc((x_mm, y_mm + 1.5 * width_mm - radius_mm), (radius_mm, radius_mm), -30, 210, 11)]
    )


def stretch_ribbon(points: list[Point], width_mm: float) -> Polygon:
    """A curve of even width, as one filled shape."""
    sides: tuple[list[Point], list[Point]] = [], []
    for index, (x_mm, y_mm) in enumerate(points):
        before, after = points[max(index - 1, 0)], points[min(index + 1, len(points) - 1)]
        length = math.dist(before, after)
        nx, ny = -(after[1] - before[1]) / length * width_mm / 2, (after[0] - before[0]) / length * width_mm / 2
        sides[0].append((x_mm + nx, y_mm + ny))
        sides[1].append((x_mm - nx, y_mm - ny))
    return draw_solid((*sides[0], *reversed(sides[1])))


def measure_item(item: Item) -> Box:
    """The box of an item's ink."""
    match item:
        case Line(x1, y1, x2, y2, width):
            length = math.dist((x1, y1), (x2, y2))
            dx, dy = abs(y2 - y1) / length * width / 2, abs(x2 - x1) / length * width / 2
            return min(x1, x2) - dx, min(y1, y2) - dy, max(x1, x2) + dx, max(y1, y2) + dy
        case Polygon(points, _, outline):
            corners = (*points, *_list_mitres(points, outline)) if outline else points
            xs, ys = [x for x, _ in corners], [y for _, y in corners]
            return min(xs), min(ys), max(xs), max(ys)
        case Dot(x, y, diameter):
            half = diameter / 2
            return x - half, y - half, x + half, y + half
        case Text(x, y, text, size_pt, bold, anchor):
            em_mm, width_mm = convert_pt_to_mm(size_pt), measure_width_mm(text, size_pt, bold)
            left = x - {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[anchor] * width_mm
            rise_em, depth_em = measure_label_em(text, bold)
            return left, y - rise_em * em_mm, left + width_mm, y + depth_em * em_mm


def _list_mitres(points: tuple[Point, ...], outline_mm: float) -> Iterator[Point]:
    """Where the outer corners of an outline's stroke stand; strokes meet in a mitre (SVG 1.1, 11.4, the default)."""
    half = outline_mm / 2
    edges = [_unit(start, end) for start, end in zip(points, (*points[1:], points[0]), strict=True)]
    for index, (x, y) in enumerate(points):
        one, other = edges[index - 1], edges[index]
        nx, ny = -one[1] - other[1], one[0] + other[0]
        size = nx * nx + ny * ny
        scale = 2 * half / size if size > 1 / 12 else 0.0  # sharper than the limit of every output: cut off
        yield x + nx * scale, y + ny * scale
        yield x - nx * scale, y - ny * scale


def _unit(start: Point, end: Point) -> Point:
    length = math.dist(start, end)
    return (end[0] - start[0]) / length, (end[1] - start[1]) / length


def enclose(items: Iterable[Item]) -> tuple[Drawing, float, float]:
    """Items as a drawing just as large as their ink, and how far they were moved right and down for it."""
    kept = tuple(items)
    boxes = [measure_item(item) for item in kept]
    left, top = min(box[0] for box in boxes), min(box[1] for box in boxes)
    size_mm = max(box[2] for box in boxes) - left, max(box[3] for box in boxes) - top
    return Drawing(*size_mm, tuple(move_item(item, -left, -top) for item in kept)), -left, -top
