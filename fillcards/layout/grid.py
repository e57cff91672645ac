"""Pieces and how they are put together: one below the other, side by side, in a frame. Millimetres.

A piece is measured and never broken; what must stay together is one piece. Coordinates inside a piece begin at its own
left upper corner. Its elements are in reading order, whatever the order of paint. Many pieces are tried for every one
that is printed: what is in a piece is drawn, and moved to its place, when somebody asks what stands there.

A page that is read from right to left is put together in the same way, and mirrored when it is placed: each part of a
piece then stands as far from its right edge as it did from its left one, itself unchanged. A piece that is fixed, such
as a barrel with what points at it, keeps its parts where they are.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple, TypeAlias

from fillcards.layout.model import Box, Element, Placed
from fillcards.layout.proof import measure_item_box
from fillcards.layout.search import NoRoom
from fillcards.picture.items import Ink, Item, Line, Polygon, move_item

EASE_MM = 0.01


class Late(NamedTuple):
    """What is to be placed, its items drawn when they are wanted."""

    box: Box
    draw: Callable[[], tuple[Item, ...]]
    mark: int | None
    may_overlap: bool = False


class Piece(NamedTuple):
    """Things of stated size that stay together.

    Attributes:
        parts: what it is put together of, in reading order.
        own_elements: instead of those of its parts.
        is_fixed: whether its parts stay where they are on a page that is mirrored; what is in them does not.
    """

    width_mm: float
    height_mm: float
    parts: tuple[Part, ...] = ()
    own_elements: tuple[Element, ...] | None = None
    is_fixed: bool = False

    @property
    def placed(self) -> tuple[Placed, ...]:
        """What stands in it and where, drawn anew each time."""
        return self.place()

    def place(self, *, is_mirrored: bool = False) -> tuple[Placed, ...]:
        """The same, on a page that may be mirrored."""
        return tuple(self._list_placed(0.0, 0.0, is_mirrored))

    def _list_placed(self, left_mm: float, top_mm: float, is_mirrored: bool) -> Iterator[Placed]:
        """Each moved once, to where it stands on the page."""
        for part in self.parts:
            match part:
                case At(piece, x_mm, y_mm):
                    x_mm = self._mirror(x_mm, piece.width_mm) if is_mirrored else x_mm
                    yield from piece._list_placed(left_mm + x_mm, top_mm + y_mm, is_mirrored)
                    continue
                case Late(box, draw):
                    placed = Placed(box, draw(), *part[2:])
                case Placed():
                    placed = part
            dx_mm = self._mirror(placed.box.x_mm, placed.box.width_mm) - placed.box.x_mm if is_mirrored else 0.0
            yield move_placed(placed, left_mm + dx_mm, top_mm)

    def _mirror(self, x_mm: float, width_mm: float) -> float:
        """Where what stands so far from its left edge stands on a page that is mirrored."""
        return x_mm if self.is_fixed else self.width_mm - x_mm - width_mm

    @property
    def elements(self) -> tuple[Element, ...]:
        """What is read aloud of it, in order."""
        if self.own_elements is not None:
            return self.own_elements
        return tuple(element for part in self.parts if isinstance(part, At) for element in part.piece.elements)


class At(NamedTuple):
    """A piece, and where its left upper corner stands."""

    piece: Piece
    x_mm: float = 0.0
    y_mm: float = 0.0


Part: TypeAlias = At | Late | Placed


def move_placed(placed: Placed, dx_mm: float, dy_mm: float) -> Placed:
    """The same thing elsewhere on the page."""
    if not dx_mm and not dy_mm:
        return placed
    box = Box(placed.box.x_mm + dx_mm, placed.box.y_mm + dy_mm, *placed.box[2:])
    return Placed(box, tuple([move_item(item, dx_mm, dy_mm) for item in placed.items]), *placed[2:])


def put(width_mm: float, height_mm: float, parts: Iterable[At]) -> Piece:
    """Pieces at places of one's own choice, in reading order."""
    return Piece(width_mm, height_mm, tuple(parts))


def stack(pieces: Sequence[Piece], gap_mm: float = 0.0) -> Piece:
    """One below the other, left edges in line; pieces without height take no gap."""
    parts: list[At] = []
    y_mm = 0.0
    for piece in pieces:
        if not piece.height_mm and not piece.parts:
            continue
        y_mm += gap_mm if parts else 0.0
        parts.append(At(piece, 0.0, y_mm))
        y_mm += piece.height_mm
    return put(max((piece.width_mm for piece in pieces), default=0.0), y_mm, parts)


def beside(pieces: Sequence[Piece], gap_mm: float, share_down: float = 0.0) -> Piece:
    """Side by side: upper edges in line; or each so far down, in parts of what the highest leaves it."""
    parts: list[At] = []
    x_mm, height_mm = 0.0, max((piece.height_mm for piece in pieces), default=0.0)
    for piece in pieces:
        parts.append(At(piece, x_mm, share_down * (height_mm - piece.height_mm)))
        x_mm += piece.width_mm + gap_mm
    return put(max(x_mm - gap_mm, 0.0), height_mm, parts)


def spread(pieces: Sequence[Piece], width_mm: float, share_down: float = 0.0) -> Piece:
    """Side by side over the whole width, as much apart as there is room."""
    spare_mm = width_mm - sum(piece.width_mm for piece in pieces)
    return beside(pieces, spare_mm / (len(pieces) - 1), share_down)


def fill_rows(pieces: Sequence[Piece], width_mm: float, gap_mm: float) -> Piece:
    """Side by side as long as a row holds them, then on the next."""
    rows: list[Piece] = []
    for piece in pieces:
        if rows and rows[-1].width_mm + gap_mm + piece.width_mm <= width_mm:
            rows[-1] = beside((rows[-1], piece), gap_mm)
        else:
            rows.append(piece)
    return stack(rows)


def flow(pieces: Sequence[Piece], rooms_mm: Sequence[float], gap_mm: float) -> list[list[Piece]]:
    """Share pieces out over sides, each as full as it gets, in order.

    Args:
        pieces: in order.
        rooms_mm: the height each side has; the last one's is that of every further side.
        gap_mm: least space between two pieces.

    Raises:
        NoRoom: one of them is taller than a side.
    """
    sides: list[list[Piece]] = [[]]
    used_mm = 0.0
    for piece in pieces:
        room_mm = rooms_mm[min(len(sides), len(rooms_mm)) - 1]
        needed_mm = piece.height_mm + (gap_mm if sides[-1] else 0.0)
        if used_mm + needed_mm > room_mm + EASE_MM:
            sides.append([])
            used_mm, needed_mm = 0.0, piece.height_mm
            if needed_mm > rooms_mm[min(len(sides), len(rooms_mm)) - 1] + EASE_MM:
                raise NoRoom
        sides[-1].append(piece)
        used_mm += needed_mm
    return sides


def group(piece: Piece, role: str, title: str | None = None) -> Piece:
    """The piece as one element that holds its elements."""
    return piece._replace(own_elements=(Element(role, piece.elements, title=title),))


def silence(piece: Piece) -> Piece:
    """The piece as a repeat that is not read aloud again."""
    return piece._replace(parts=tuple(each._replace(mark=None) for each in piece.placed), own_elements=())


def paint(items: tuple[Item, ...], *, may_overlap: bool = False) -> Piece:
    """What is not read aloud, where it stands already, in a box that holds it; the piece itself takes no room."""
    boxes = [measure_item_box(item) for item in items]
    left_mm, top_mm = min(box.x_mm for box in boxes), min(box.y_mm for box in boxes)
    right_mm, bottom_mm = max(box.right_mm for box in boxes), max(box.bottom_mm for box in boxes)
    box = Box(left_mm, top_mm, right_mm - left_mm, bottom_mm - top_mm)
    return Piece(0.0, 0.0, (Placed(box, items, None, may_overlap),))


def make_plate(width_mm: float, height_mm: float, radius_mm: float = 0.0) -> Piece:
    """A black area for white words."""
    box = Box(0.0, 0.0, width_mm, height_mm)
    plate = Late(box, lambda: (Polygon(_round_corners(box, radius_mm), Ink.BLACK),), None, may_overlap=True)
    return Piece(width_mm, height_mm, (plate,))


def make_frame(width_mm: float, height_mm: float, stroke_mm: float, radius_mm: float = 0.0) -> Piece:
    """An outline whose outer edge is the piece's."""
    half_mm = stroke_mm / 2
    inner = Box(half_mm, half_mm, width_mm - stroke_mm, height_mm - stroke_mm)
    box = Box(0.0, 0.0, width_mm, height_mm)

    def draw() -> tuple[Item, ...]:
        return (Polygon(_round_corners(inner, max(radius_mm - half_mm, 0.0)), None, stroke_mm),)

    return Piece(width_mm, height_mm, (Late(box, draw, None, may_overlap=True),))


def make_rule(length_mm: float, stroke_mm: float, *, is_upright: bool = False) -> Piece:
    """A level line across, or an upright one down."""
    half_mm = stroke_mm / 2
    ends = (half_mm, 0.0, half_mm, length_mm) if is_upright else (0.0, half_mm, length_mm, half_mm)
    size_mm = (stroke_mm, length_mm) if is_upright else (length_mm, stroke_mm)
    return Piece(*size_mm, (Placed(Box(0.0, 0.0, *size_mm), (Line(*ends, stroke_mm),), None),))


def _round_corners(box: Box, radius_mm: float) -> tuple[tuple[float, float], ...]:
    """Corners of a rectangle, each rounded by six short chords."""
    if radius_mm <= 0:
        return (
            (box.x_mm, box.y_mm), (box.right_mm, box.y_mm), (box.right_mm, box.bottom_mm), (box.x_mm, box.bottom_mm)
        )  # fmt: skip
    left_mm, right_mm = box.x_mm + radius_mm, box.right_mm - radius_mm
    top_mm, bottom_mm = box.y_mm + radius_mm, box.bottom_mm - radius_mm
    centres = ((left_mm, top_mm), (right_mm, top_mm), (right_mm, bottom_mm), (left_mm, bottom_mm))
    return tuple(
        (x_mm + radius_mm * math.cos(angle), y_mm + radius_mm * math.sin(angle))
        for quarter, (x_mm, y_mm) in enumerate(centres, start=2)
        for angle in (math.pi / 2 * (quarter + step / 6) for step in range(7))
    )
