"""What is painted on a page: strokes, shapes, runs of text. Nothing is interpreted yet.

A run in another face than Fillcards Text is set anew by the readback, from the packaged font and not from the one in
the file: what a file says of such a word is a guess at most. Lengths in mm, x to the right and y downward from the top
left corner of the paper; type sizes in pt; grey levels from 0 (black) to 255.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Final, NamedTuple, TypeAlias

from fillcards.quantities import convert_pt_to_mm
from fillcards.readback.model import UnreadableCard
from fillcards.typeface import CAP_HEIGHT_EM, find_missing_glyphs, measure_width_mm
from fillcards.typeface.faces import FACES, Face

STRAIGHT_EASE_MM: Final = 0.003
CUT_EASE_MM: Final = 0.2
WORD_GAP_EM: Final = 0.08
"""Runs that stand closer than this are of one word."""
MOST_SPACE_EM: Final = 0.45
SAME_BASELINE_MM: Final = 0.01


class Stroke(NamedTuple):
    """A straight stroke between two points."""

    x1_mm: float
    y1_mm: float
    x2_mm: float
    y2_mm: float
    width_mm: float
    level: int
    is_dashed: bool

    @property
    def is_horizontal(self) -> bool:
        """Whether both ends are at one height."""
        return abs(self.y1_mm - self.y2_mm) <= STRAIGHT_EASE_MM < abs(self.x1_mm - self.x2_mm)

    @property
    def is_vertical(self) -> bool:
        """Whether one end is above the other."""
        return abs(self.x1_mm - self.x2_mm) <= STRAIGHT_EASE_MM < abs(self.y1_mm - self.y2_mm)

    @property
    def middle(self) -> tuple[float, float]:
        """Half way between its ends."""
        return (self.x1_mm + self.x2_mm) / 2, (self.y1_mm + self.y2_mm) / 2

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of its ink: as wide as it is drawn, and square at its ends."""
        half_mm = self.width_mm / 2
        dx_mm, dy_mm = abs(self.x2_mm - self.x1_mm), abs(self.y2_mm - self.y1_mm)
        length_mm = math.hypot(dx_mm, dy_mm)
        along_mm, across_mm = (half_mm * side / length_mm for side in (dy_mm, dx_mm)) if length_mm else (half_mm,) * 2
        left_mm, right_mm = (self.x1_mm, self.x2_mm) if self.x1_mm < self.x2_mm else (self.x2_mm, self.x1_mm)
        top_mm, bottom_mm = (self.y1_mm, self.y2_mm) if self.y1_mm < self.y2_mm else (self.y2_mm, self.y1_mm)
        return left_mm - along_mm, top_mm - across_mm, right_mm + along_mm, bottom_mm + across_mm


class Shape(NamedTuple):
    """Anything that is not a single straight stroke. ``fill`` and ``outline`` are grey levels, ``None`` for none.

    ``points`` are the corners without repeats; empty for a circle, of which the box says all.
    """

    points: tuple[tuple[float, float], ...]
    left_mm: float
    top_mm: float
    right_mm: float
    bottom_mm: float
    fill: int | None
    outline: int | None
    outline_mm: float
    is_round: bool

    @property
    def middle(self) -> tuple[float, float]:
        """The middle of the box."""
        return (self.left_mm + self.right_mm) / 2, (self.top_mm + self.bottom_mm) / 2


class Run(NamedTuple):
    """One run of text on one line. ``x_mm`` and ``y_mm`` are where its baseline starts.

    ``mark`` is the number by which the tags name it, -1 for none. ``font`` is all that a file
    of ours says of the font it is in; ``face`` what the font claims to be, ``None`` for Fillcards Text.
    """

    text: str
    x_mm: float
    y_mm: float
    size_pt: float
    bold: bool
    width_mm: float
    level: int
    mark: int = -1
    font: tuple[bytes, ...] | None = None
    face: Face | None = None

    @property
    def runs_back(self) -> bool:
        """Whether its letters run from right to left."""
        return self.face is not None and self.face.is_right_to_left

    @property
    def right_mm(self) -> float:
        """Where the next letter would start."""
        return self.x_mm + self.width_mm

    @property
    def height_mm(self) -> float:
        """How high its capitals and digits stand."""
        return CAP_HEIGHT_EM * convert_pt_to_mm(self.size_pt)


Mark: TypeAlias = Stroke | Shape | Run


class PageMarks(NamedTuple):
    """One page; ``number`` counts from 1. ``painted`` is everything in the order of painting."""

    number: int
    width_mm: float
    height_mm: float
    strokes: tuple[Stroke, ...]
    shapes: tuple[Shape, ...]
    runs: tuple[Run, ...]
    painted: tuple[Mark, ...]


def gather_marks(number: int, width_mm: float, height_mm: float, painted: Iterable[Mark]) -> PageMarks:
    """A page of what is painted on it."""
    painted = tuple(painted)
    return PageMarks(
        *(number, width_mm, height_mm),
        tuple(mark for mark in painted if isinstance(mark, Stroke)),
        tuple(mark for mark in painted if isinstance(mark, Shape)),
        tuple(mark for mark in painted if isinstance(mark, Run)),
        painted,
    )


def make_disc(x_mm: float, y_mm: float, width_mm: float, level: int) -> Shape:
    """What a stroke of no length with round ends paints."""
    half_mm = width_mm / 2
    box = x_mm - half_mm, y_mm - half_mm, x_mm + half_mm, y_mm + half_mm
    return Shape((), *box, level, None, 0.0, is_round=True)


def make_shape(
    points: list[tuple[float, float]], fill: int | None, outline: int | None, width_mm: float, is_curved: bool
) -> Shape:
    """A shape of corners, or of a curve's points, of which only the box says something."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    box = min(xs), min(ys), max(xs), max(ys)
    return Shape(() if is_curved else _drop_repeats(points), *box, fill, outline, width_mm, is_curved)


def _drop_repeats(points: list[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Corners, each once: a closed path may or may not name its first corner again."""
    kept: list[tuple[float, float]] = []
    x, y = float("inf"), 0.0
    for point in points:
        if abs(point[0] - x) >= STRAIGHT_EASE_MM or abs(point[1] - y) >= STRAIGHT_EASE_MM:
            kept.append(point)
            x, y = point
    if len(kept) > 1 and abs(kept[0][0] - x) < STRAIGHT_EASE_MM and abs(kept[0][1] - y) < STRAIGHT_EASE_MM:
        kept.pop()
    return tuple(kept)


def mirror_marks(marks: PageMarks) -> PageMarks:
    """A page as if it were read from left to right: each thing as far from the left as it is from the right."""
    mirrored = (_move(mark, marks.width_mm, 0.0, is_mirrored=True) for mark in marks.painted)
    return gather_marks(marks.number, marks.width_mm, marks.height_mm, mirrored)


def cut_cards(page: PageMarks, size_mm: tuple[float, float], *, is_back: bool) -> list[PageMarks]:
    """The cards of a sheet without its cut marks, row by row; on a back in the order of their fronts."""
    width, height = size_mm
    columns, rows = int((page.width_mm + CUT_EASE_MM) / width), int((page.height_mm + CUT_EASE_MM) / height)
    lefts, tops = [column * width for column in range(columns)], [row * height for row in range(rows)]
    if is_back:
        lefts = [page.width_mm - left - width for left in lefts]
    painted = page.painted
    if (columns, rows) != (1, 1) or page.width_mm > width + 1:
        xs, ys = [*lefts, *(left + width for left in lefts)], [*tops, *(top + height for top in tops)]
        painted = tuple(mark for mark in painted if not (isinstance(mark, Stroke) and _is_cut(mark, xs, ys)))
    cards = [
        gather_marks(page.number, width, height, _cut(painted, left, top, width, height))
        for top in tops
        for left in lefts
    ]
    if sum(len(card.runs) for card in cards) != len(page.runs):
        raise UnreadableCard(f"page {page.number} is no sheet of cards of that size")
    return cards


def _is_cut(stroke: Stroke, xs: list[float], ys: list[float]) -> bool:
    """Whether a stroke stands on an edge of cards."""
    return any(
        abs(one - other) < CUT_EASE_MM and any(abs(one - edge) < CUT_EASE_MM for edge in edges)
        for one, other, edges in ((stroke.x1_mm, stroke.x2_mm, xs), (stroke.y1_mm, stroke.y2_mm, ys))
    )


def _cut(painted: Iterable[Mark], left_mm: float, top_mm: float, width_mm: float, height_mm: float) -> Iterator[Mark]:
    """What stands in a part of a page, as on a page of its own."""
    for mark in painted:
        x, y = (mark.x_mm, mark.y_mm) if isinstance(mark, Run) else mark.middle
        if left_mm <= x <= left_mm + width_mm and top_mm <= y <= top_mm + height_mm:
            yield _move(mark, -left_mm, -top_mm)


def _move(mark: Mark, right_mm: float, down_mm: float, *, is_mirrored: bool = False) -> Mark:
    """A mark elsewhere on a page; of one that is mirrored first, what is left is right."""
    way = -1 if is_mirrored else 1

    def place(x: float, y: float) -> tuple[float, float]:
        return way * x + right_mm, y + down_mm

    match mark:
        case Stroke():
            ends = *place(mark.x1_mm, mark.y1_mm), *place(mark.x2_mm, mark.y2_mm)
            return Stroke(*ends, mark.width_mm, mark.level, mark.is_dashed)
        case Shape():
            (x1, top), (x2, bottom) = place(mark.left_mm, mark.top_mm), place(mark.right_mm, mark.bottom_mm)
            points = tuple(place(*point) for point in mark.points)
            return Shape(points, min(x1, x2), top, max(x1, x2), bottom, *mark[5:])
        case Run():
            x_mm, y_mm = place(mark.right_mm if is_mirrored else mark.x_mm, mark.y_mm)
            return mark._replace(x_mm=x_mm, y_mm=y_mm)


def read_face(font_name: bytes) -> Face | None:
    """The face that a font in a file claims to be; ``None`` for Fillcards Text."""
    family = font_name.rpartition(b"+")[2].partition(b"-")[0]
    return next((face for face in FACES if face.name.encode("ascii") == family), None)


def measure_in_face_mm(text: str, size_pt: float, bold: bool, face: Face | None) -> float:
    """Width of a run."""
    if face is None:
        return measure_width_mm(text, size_pt, bold)
    from fillcards.typeface.shaping import measure_word_em

    return measure_word_em(text, face, bold) * convert_pt_to_mm(size_pt)


def lacks_letters(text: str, bold: bool, face: Face | None) -> bool:
    """Whether a face does not have all of a text."""
    if face is None:
        return bool(find_missing_glyphs(text, bold))
    from fillcards.typeface.shaping import list_signs

    return not list_signs(face).issuperset(text)


def place_glyphs(run: Run) -> Iterator[tuple[int, float, float]]:
    """The glyphs of a run, set anew: each one's number, how far right of its beginning and how far up, in mm; none of
    a run in Fillcards Text.
    """
    from fillcards.typeface.shaping import set_word

    x, em_mm = 0.0, convert_pt_to_mm(run.size_pt)
    for glyph in set_word(run.text, run.face, run.bold) if run.face else ():
        yield glyph.number, (x + glyph.right) * em_mm, glyph.up * em_mm
        x += glyph.advance


def measure_ink_mm(run: Run) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of the ink of those glyphs."""
    from fillcards.typeface.shaping import measure_glyph_box_em

    em_mm = convert_pt_to_mm(run.size_pt)
    xs, ys = [run.x_mm], [run.y_mm]
    for number, right_mm, up_mm in place_glyphs(run):
        left, bottom, right, top = measure_glyph_box_em(run.face, run.bold, number) if run.face else (0.0,) * 4
        x_mm, y_mm = run.x_mm + right_mm, run.y_mm - up_mm
        xs += (x_mm + left * em_mm, x_mm + right * em_mm)
        ys += (y_mm - top * em_mm, y_mm - bottom * em_mm)
    return min(xs), min(ys), max(xs), max(ys)


def join_faces(runs: Iterable[Run]) -> tuple[Run, ...]:
    """Runs of a picture, those of one label as one: a number in one face and its unit in another."""
    joined: list[Run] = []
    for run in runs:
        before = joined[-1] if joined else None
        gap_mm = run.x_mm - before.right_mm if before else 0.0
        if (
            before is None
            or before.face is run.face
            or (before.size_pt, before.bold) != (run.size_pt, run.bold)
            or abs(before.y_mm - run.y_mm) >= SAME_BASELINE_MM
            or not -SAME_BASELINE_MM < gap_mm < MOST_SPACE_EM * convert_pt_to_mm(run.size_pt)
        ):
            joined.append(run)
            continue
        is_near = gap_mm <= WORD_GAP_EM * convert_pt_to_mm(run.size_pt) and before.mark == run.mark
        space = "" if is_near else " "
        width_mm = run.right_mm - before.x_mm
        joined[-1] = before._replace(text=f"{before.text}{space}{run.text}", width_mm=width_mm, face=run.face)
    return tuple(joined)
