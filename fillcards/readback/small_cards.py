"""Small cards on a page: which marks belong to which card, and whether each keeps what a small card must keep.

A page is one side of one card, or a sheet of several that begin in its top left corner and are to be cut apart. Lengths
in mm, in the page's own axes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final, NamedTuple

from fillcards.catalogue.papers import load_papers
from fillcards.readback.conventions import (
    CUT_MARK_MM,
    DARKEST_GREY,
    EDGE_EASE_MM,
    LEAST_SMALL_PT,
    LEAST_STROKE_MM,
    SIZE_EASE_PT,
    SMALL_MARGIN_MM,
    STAPLE_MM,
)
from fillcards.readback.marks import PageMarks, Shape, Stroke
from fillcards.readback.model import Fault, PageReading
from fillcards.readback.pages import list_boxes
from fillcards.readback.runs import Run

EDGE_MM: Final = 0.02
"""A cut mark is no further from the edge of a card than this."""
MAKERS_FOOT: Final = "For whoever prints and checks"
FOOT: Final = re.compile(r"page [0-9]+ of [0-9]+")
EMPTY: Final = "This side is left empty."


class CardBox(NamedTuple):
    """Where on its page a card is."""

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float

    @property
    def right_mm(self) -> float:
        """The right edge."""
        return self.left_mm + self.width_mm

    @property
    def bottom_mm(self) -> float:
        """The lower edge."""
        return self.top_mm + self.height_mm

    def holds(self, x_mm: float, y_mm: float) -> bool:
        """Whether a point is on the card."""
        return self.left_mm <= x_mm < self.right_mm and self.top_mm <= y_mm < self.bottom_mm


class Piece(NamedTuple):
    """What is read as one page. ``card`` is ``None`` for a full sheet; ``astray``: marks on no card of it."""

    marks: PageMarks
    card: CardBox | None = None
    astray: int = 0


def find_card_size(marks: PageMarks) -> tuple[float, float] | None:
    """Width and height of the small cards on a page, by its own size or by where their feet stand; ``None``: none are.

    On a sheet each foot ends at the margin of its card.
    """
    feet = [run for run in marks.runs if FOOT.fullmatch(run.text) and not run.bold]
    for paper in load_papers().values():
        size_mm = float(paper.width_mm), float(paper.height_mm)
        if paper.is_small and (_is_single(marks, size_mm) or (feet and all(_is_foot(run, size_mm) for run in feet))):
            return size_mm
    return None


def _is_foot(run: Run, size_mm: tuple[float, float]) -> bool:
    """Whether a run ends in the lower right corner of a card of that size."""
    off_mm = (run.right_mm + SMALL_MARGIN_MM + EDGE_EASE_MM) % size_mm[0]
    return off_mm <= 2 * EDGE_EASE_MM and size_mm[1] - run.y_mm % size_mm[1] <= 2 * SMALL_MARGIN_MM


def cut_page(marks: PageMarks, small_mm: tuple[float, float], first_number: int) -> tuple[Piece, ...]:
    """The cards of a page, in rows; none of an empty back; the whole page if it is the maker's.

    Args:
        marks: of the page.
        small_mm: width and height of a card.
        first_number: the number that the first card is given.
    """
    if is_makers_page(marks):
        return (Piece(marks._replace(number=first_number)),)
    if _is_single(marks, small_mm):
        card = CardBox(0.0, 0.0, marks.width_mm, marks.height_mm)
        return (Piece(marks._replace(number=first_number), card),)
    if is_empty_back(marks):
        return ()
    cards = _list_cards(marks, small_mm)
    edges_mm = (
        {x for card in cards for x in (card.left_mm, card.right_mm)},
        {y for card in cards for y in (card.top_mm, card.bottom_mm)},
    )
    strokes = [stroke for stroke in marks.strokes if not _is_cut_mark(stroke, *edges_mm)]
    rest = marks._replace(strokes=tuple(strokes))
    pieces = [_take_card(rest, card) for card in cards]
    shown = [(piece, card) for piece, card in zip(pieces, cards, strict=True) if piece.runs]
    taken = sum(len(piece.strokes) + len(piece.shapes) + len(piece.runs) for piece, _ in shown)
    left = len(rest.strokes) + len(rest.shapes) + len(rest.runs) - taken
    return tuple(
        Piece(piece._replace(number=first_number + index), card, 0 if index else left)
        for index, (piece, card) in enumerate(shown)
    )


def is_makers_page(marks: PageMarks) -> bool:
    """Whether it is a page for whoever prints and checks."""
    return any(run.text == MAKERS_FOOT and not run.bold for run in marks.runs)


def is_empty_back(marks: PageMarks) -> bool:
    """Whether nothing stands on a side but that it is left empty."""
    return [run.text for run in marks.runs] == [EMPTY] and not marks.strokes and not marks.shapes


def find_card_faults(piece: Piece, position: PageReading) -> Iterator[Fault]:
    """Text too small or too light, strokes too fine, marks in the margin, and marks in the staple's corner."""
    marks, card = piece.marks, piece.card
    if card is None:
        return
    if piece.astray:
        yield Fault(marks.number, f"marks that stand on no card of the sheet: {piece.astray}")
    if small := [run.size_pt for run in marks.runs if run.size_pt < LEAST_SMALL_PT - SIZE_EASE_PT]:
        yield Fault(marks.number, f"text of {min(small):g} pt, where the least is {LEAST_SMALL_PT:g} pt")
    if light := [run.level for run in marks.runs if run.level > DARKEST_GREY]:
        yield Fault(marks.number, f"text in a grey of {max(light)}, where the lightest is {DARKEST_GREY}")
    fine = [width for width in _list_widths(marks) if width < LEAST_STROKE_MM - EDGE_EASE_MM / 10]
    if fine:
        yield Fault(marks.number, f"strokes of {min(fine):.2f} mm, where the least is {LEAST_STROKE_MM} mm")
    boxes = list(list_boxes(marks))
    outside = sum(not _is_inside(box, card) for box in boxes)
    if outside:
        yield Fault(marks.number, f"marks in the margin of a small card: {outside}")
    in_corner = sum(_is_in_corner(box, card, is_front=position.position == 1) for box in boxes)
    if in_corner:
        yield Fault(marks.number, f"marks in the corner that is for the staple: {in_corner}")


def _is_single(marks: PageMarks, small_mm: tuple[float, float]) -> bool:
    return max(abs(marks.width_mm - small_mm[0]), abs(marks.height_mm - small_mm[1])) <= EDGE_EASE_MM


def _list_cards(marks: PageMarks, small_mm: tuple[float, float]) -> tuple[CardBox, ...]:
    width_mm, height_mm = small_mm
    columns = int((marks.width_mm + EDGE_EASE_MM) / width_mm)
    rows = int((marks.height_mm + EDGE_EASE_MM) / height_mm)
    return tuple(
        CardBox(column * width_mm, row * height_mm, width_mm, height_mm)
        for row in range(rows)
        for column in range(columns)
    )


def _is_cut_mark(stroke: Stroke, x_edges_mm: set[float], y_edges_mm: set[float]) -> bool:
    """A short straight stroke on the edge of a card, along it."""
    length_mm = abs(stroke.x1_mm - stroke.x2_mm) + abs(stroke.y1_mm - stroke.y2_mm)
    if length_mm > CUT_MARK_MM + EDGE_EASE_MM:
        return False
    if stroke.is_vertical:
        return any(abs(stroke.x1_mm - edge) <= EDGE_MM for edge in x_edges_mm)
    return stroke.is_horizontal and any(abs(stroke.y1_mm - edge) <= EDGE_MM for edge in y_edges_mm)


def _take_card(marks: PageMarks, card: CardBox) -> PageMarks:
    """The marks whose middle, or whose first letter, is on the card."""
    return marks._replace(
        width_mm=card.width_mm,
        height_mm=card.height_mm,
        strokes=tuple(
            stroke
            for stroke in marks.strokes
            if card.holds((stroke.x1_mm + stroke.x2_mm) / 2, (stroke.y1_mm + stroke.y2_mm) / 2)
        ),
        shapes=tuple(shape for shape in marks.shapes if card.holds(*shape.middle)),
        runs=tuple(run for run in marks.runs if card.holds(run.x_mm, run.y_mm)),
    )


def _list_widths(marks: PageMarks) -> Iterator[float]:
    """The finest ink of every stroke and shape."""
    yield from (stroke.width_mm for stroke in marks.strokes)
    for shape in marks.shapes:
        yield _measure_finest_mm(shape)


def _measure_finest_mm(shape: Shape) -> float:
    if shape.fill is None:
        return shape.outline_mm
    return min(shape.right_mm - shape.left_mm, shape.bottom_mm - shape.top_mm)


def _is_inside(box: tuple[float, float, float, float], card: CardBox) -> bool:
    left, top, right, bottom = box
    room_mm = SMALL_MARGIN_MM - EDGE_EASE_MM
    return (
        left >= card.left_mm + room_mm
        and top >= card.top_mm + room_mm
        and right <= card.right_mm - room_mm
        and bottom <= card.bottom_mm - room_mm
    )


def _is_in_corner(box: tuple[float, float, float, float], card: CardBox, *, is_front: bool) -> bool:
    left, top, right, _ = box
    if top >= card.top_mm + STAPLE_MM - EDGE_EASE_MM:
        return False
    if left < card.left_mm + STAPLE_MM - EDGE_EASE_MM:
        return True
    return not is_front and right > card.right_mm - STAPLE_MM + EDGE_EASE_MM
