"""The raised pages of a finished file against the regimen: what a finger would find, measured anew.

A page without print is a raised page. Its scale is read as fingers read it: lines that grow from the left wall, braille
numbers before them, stop lines that pass the right wall, and the number at their end. Its plain copy, for a helper who
sees, must hold the very numbers that stand on it in braille. Imports nothing that drew them.
Lengths in mm; values in the scale's own numbers.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise, zip_longest
from typing import Final

from fillcards.problems import ReadbackFault
from fillcards.quantities import write_number
from fillcards.readback.cells import CellLine, read_lines
from fillcards.readback.expected import expect_fills
from fillcards.readback.marks import PageMarks, Shape, Stroke, read_page_marks
from fillcards.readback.model import UnreadableCard
from fillcards.readback.pdfium import open_document, open_page
from fillcards.readback.plain_copies import RaisedNumbers, compare_plain_copies, read_plain_copies
from fillcards.regimen.model import Regimen, Syringe

MOST_BRAILLE_DOT_MM: Final = 2.1
"""A larger disc belongs to a texture."""
EASE_MM: Final = 0.05


@dataclass(frozen=True, slots=True)
class RaisedStopReading:
    """A line across the barrel: where it stands on the scale, in which of the two kinds, and the number at its end."""

    line: Fraction
    is_solid: bool
    label: Fraction | None


@dataclass(frozen=True, slots=True)
class RaisedPageReading:
    """One raised page.

    Attributes:
        position, count: the page's own number in its fill's set, and of how many.
        numbers: of every row of braille on it.
        stops: from the needle on; empty on a page without a scale.
    """

    page: int
    position: int
    count: int
    numbers: tuple[Fraction, ...]
    stops: tuple[RaisedStopReading, ...]
    has_scale: bool


def read_raised_pages(data: bytes, syringe: Syringe) -> tuple[RaisedPageReading, ...]:
    """Every raised page of a file.

    Args:
        data: the PDF.
        syringe: says what one line is worth where a piece of the scale has a single number on it.

    Raises:
        UnreadableCard: something on a page cannot be read for certain.
    """
    with open_document(data) as (document, count):
        pages = []
        for index in range(count):
            with open_page(document, index) as page:
                marks = read_page_marks(page, index + 1)
            if not marks.runs:
                pages.append(_read_page(marks, syringe))
        return tuple(pages)


def require_same_touch(data: bytes, regimen: Regimen) -> None:
    """The gate of a file of raised pages: its raised lines stand where the regimen's stops are, or nobody gets it.

    Args:
        data: the finished PDF, our own.
        regimen: what it was made from; what it means is worked out anew.

    Raises:
        ReadbackFault: with what was read and what was meant; it names no patient.
        OutputError: the typeface is not installed.
    """
    try:
        pages, copies = read_raised_pages(data, regimen.syringe), read_plain_copies(data)
    except UnreadableCard as error:
        raise ReadbackFault(f"the raised pages cannot be read back: {error}") from error
    faults = (*_compare(pages, regimen), *compare_plain_copies(copies, tuple(_list_numbers(pages, regimen)), regimen))
    if faults:
        raise ReadbackFault("\n".join(faults))


def _compare(pages: tuple[RaisedPageReading, ...], regimen: Regimen) -> Iterator[str]:
    sets = tuple(_split_sets(pages))
    fills = expect_fills(regimen)
    if len(sets) != len(fills):
        yield f"raised pages: read {len(sets)} sets, meant {len(fills)}"
        return
    for number, (own, fill) in enumerate(zip(sets, fills, strict=True), start=1):
        if [page.position for page in own] != list(range(1, own[0].count + 1)):
            yield f"fill {number}: its raised pages do not count 1 to {own[0].count}"
        meant = tuple((draw.stop, index == len(fill.draws) - 1) for index, draw in enumerate(fill.draws))
        read = tuple((stop.line, stop.is_solid) for page in own for stop in page.stops)
        for line, is_solid in set(read) - set(meant):
            yield f"fill {number}: read a {'solid' if is_solid else 'broken'} line at {write_number(line)}"
        for line, is_solid in meant:
            # Once in the picture of the barrel, once up close.
            if read.count((line, is_solid)) < 2:
                yield f"fill {number}: no {'solid' if is_solid else 'broken'} line at {write_number(line)}"
            words = {value for page in own if not page.has_scale for value in page.numbers}
            if line not in words:
                yield f"fill {number}: its words do not say {write_number(line)}"
        for page in own:
            for stop in page.stops:
                if stop.label != stop.line:
                    read_label = "nothing" if stop.label is None else write_number(stop.label)
                    yield f"page {page.page}: {read_label} stands beside the line at {write_number(stop.line)}"


def _list_numbers(pages: tuple[RaisedPageReading, ...], regimen: Regimen) -> Iterator[RaisedNumbers]:
    """The numbers of each page, with those that its fill may be told by."""
    syringe = regimen.syringe
    for own, fill in zip_longest(_split_sets(pages), expect_fills(regimen)):
        stops = {draw.stop for draw in fill.draws} if fill else set()
        for page in own or ():
            may_say = frozenset({*stops, syringe.line_every, syringe.numbered_every})
            yield RaisedNumbers(page.page, page.numbers, may_say)


def _split_sets(pages: tuple[RaisedPageReading, ...]) -> Iterator[tuple[RaisedPageReading, ...]]:
    own: list[RaisedPageReading] = []
    for page in pages:
        if page.position == 1 and own:
            yield tuple(own)
            own = []
        own.append(page)
    if own:
        yield tuple(own)


def _read_page(marks: PageMarks, syringe: Syringe) -> RaisedPageReading:
    _require_raised(marks)
    lines = read_lines(shape.middle for shape in marks.shapes if _is_braille(shape))
    counts = [count for line in lines if (count := line.find_page_count())]
    if not counts:
        raise UnreadableCard(f"page {marks.number} does not say which page it is")
    walls = sorted((s for s in marks.strokes if s.is_vertical), key=lambda stroke: stroke.x1_mm)
    stops = _read_scale(marks, lines, walls, syringe) if walls else ()
    numbers = tuple(number for line in lines for number in line.list_numbers())
    return RaisedPageReading(marks.number, *counts[0], numbers, stops, bool(walls))


def _is_braille(shape: Shape) -> bool:
    return shape.right_mm - shape.left_mm < MOST_BRAILLE_DOT_MM


def _require_raised(marks: PageMarks) -> None:
    """Black all through, and nothing but strokes and discs, so that nothing covers anything."""
    levels = {stroke.level for stroke in marks.strokes} | {shape.fill for shape in marks.shapes}
    if levels - {0} or any(not shape.is_round or shape.outline is not None for shape in marks.shapes):
        raise UnreadableCard(f"page {marks.number} has something that is not plain black strokes and dots")
    if any(stroke.is_dashed for stroke in marks.strokes):
        raise UnreadableCard(f"page {marks.number} has a stroke of unknown pieces")


def _read_scale(
    marks: PageMarks, lines: tuple[CellLine, ...], walls: list[Stroke], syringe: Syringe
) -> tuple[RaisedStopReading, ...]:
    left_mm, wall_mm = walls[0].x1_mm, walls[0].width_mm
    right_mm = max(wall.x1_mm for wall in walls if abs(wall.width_mm - wall_mm) <= EASE_MM)
    rows = _group_rows(marks.strokes, left_mm)
    numbers = {
        line.middle_mm: line.list_numbers()[0]
        for line in lines
        if line.right_mm < left_mm and len(line.list_numbers()) == 1 and _find_row(rows, line.middle_mm) is not None
    }
    locate = _fit_scale(marks.number, numbers, tuple(rows), syringe)
    labels = [line for line in lines if line.left_mm > right_mm and line.middle_mm > min(rows, default=0.0) - 20]
    reaching = sorted(
        y_mm
        for y_mm, strokes in rows.items()
        if any(stroke.x1_mm <= right_mm + EASE_MM < stroke.x2_mm - EASE_MM for stroke in strokes)
    )
    if len(labels) != len(reaching):
        raise UnreadableCard(f"page {marks.number} has {len(reaching)} stops and {len(labels)} marks beside them")
    stops = []
    for y_mm, label in zip(reaching, labels, strict=True):
        value = locate(y_mm)
        nearest = round(value / syringe.line_every) * syringe.line_every
        if abs(float(value - nearest)) > 0.02 * float(syringe.line_every):
            raise UnreadableCard(f"page {marks.number}: a stop stands between two lines, at {float(value):.3f}")
        found = label.list_numbers()
        # Raised digits stand past the end of the line, and their strokes may be at its height.
        pieces = [stroke for stroke in rows[y_mm] if stroke.x1_mm <= right_mm + EASE_MM]
        stops.append(RaisedStopReading(nearest, len(pieces) == 1, found[0] if len(found) == 1 else None))
    return tuple(stops)


def _group_rows(strokes: tuple[Stroke, ...], left_mm: float) -> dict[float, list[Stroke]]:
    """Strokes at one height of which the first begins on the left wall, by that height."""
    rows: dict[float, list[Stroke]] = defaultdict(list)
    for stroke in sorted((s for s in strokes if s.is_horizontal), key=lambda s: s.x1_mm):
        y_mm = _find_row(rows, stroke.y1_mm)
        if y_mm is not None:
            rows[y_mm].append(stroke)
        elif abs(stroke.x1_mm - left_mm) <= EASE_MM:
            rows[stroke.y1_mm].append(stroke)
    return dict(rows)


def _find_row(rows: dict[float, list[Stroke]], y_mm: float) -> float | None:
    return next((row for row in rows if abs(row - y_mm) <= EASE_MM), None)


class _Scale:
    """A straight line through numbers and their heights."""

    def __init__(self, zero_mm: float, value_mm: float) -> None:
        self._zero_mm = zero_mm
        self._value_mm = value_mm

    def __call__(self, y_mm: float) -> Fraction:
        return Fraction((y_mm - self._zero_mm) / self._value_mm).limit_denominator(100_000)


def _fit_scale(page: int, numbers: dict[float, Fraction], rows: tuple[float, ...], syringe: Syringe) -> _Scale:
    """From two numbers and more, else from one number and the distance of its neighbour lines.

    Raises:
        UnreadableCard: the numbers do not stand on one straight line, or there is none.
    """
    if not numbers:
        raise UnreadableCard(f"page {page} has a scale without numbers")
    (first_mm, first), (last_mm, last) = min(numbers.items()), max(numbers.items())
    if len(numbers) == 1:
        heights = sorted(rows)
        gaps = [after - before for before, after in pairwise(heights)]
        if not gaps or max(gaps) - min(gaps) > EASE_MM:
            raise UnreadableCard(f"page {page} has one number and lines at uneven distances")
        value_mm = gaps[0] / float(syringe.line_every)
    elif first == last:
        raise UnreadableCard(f"page {page} has one number twice on its scale")
    else:
        value_mm = (last_mm - first_mm) / float(last - first)
    if value_mm <= 0:
        raise UnreadableCard(f"page {page} has numbers that do not grow away from the needle")
    scale = _Scale(first_mm - float(first) * value_mm, value_mm)
    off = max(abs(float(scale(y_mm) - value)) * value_mm for y_mm, value in numbers.items())
    if off > EASE_MM:
        raise UnreadableCard(f"page {page} has a number {off:.2f} mm off its line")
    return scale
