"""Braille read off a page: discs to cells to numbers, by code that has no liblouis and has not drawn them.

Lengths in mm. The spacings are those of ``nls-800`` (3.2), which fit into each other: dots 2.34 apart, cells 6.2. A
larger cell keeps their ratio. Only numbers are understood: they alone must be right to a digit.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

DOT_MM: Final = 2.34
CELL_TO_DOT: Final = 6.2 / 2.34
EASE: Final = 0.03
"""How far a dot may be off its place, in spacings of dots."""

Centre = tuple[float, float]

_NUMBER_SIGN: Final = 0b111100
_POINT: Final = 0b110010
_COMMA: Final = 0b000010
_BETWEEN_DIGITS: Final = frozenset((_POINT, _COMMA, 0b000100))
"""Signs between the digits of a number, in one language or another; after the last, Spanish repeats the number sign."""
_DIGITS: Final = {
    pattern: str(digit)
    for digit, pattern in enumerate((0b011010, 1, 0b11, 0b1001, 0b11001, 0b10001, 0b1011, 0b11011, 0b10011, 0b1010))
}
"""The letters j, a to i behind a number sign (Unified English Braille, section 6); bit 0 is dot 1."""


@dataclass(frozen=True, slots=True)
class CellLine:
    """Cells in a row, as patterns of six bits, 0 for a blank; where they begin, and the height of their middle dots."""

    patterns: tuple[int, ...]
    left_mm: float
    right_mm: float
    middle_mm: float

    def list_numbers(self) -> tuple[Fraction, ...]:
        """Every number, in order."""
        return tuple(number for number, _, _ in _find_numbers(self.patterns))

    def list_digits(self) -> tuple[str, ...]:
        """Every number as its runs of digits with a point between them, whatever sign stands there: ``2.5``."""
        return tuple(_find_digits(self.patterns))


def read_numbers(patterns: tuple[int, ...]) -> tuple[Fraction, ...]:
    """Every number among cells, each a pattern of six bits."""
    return tuple(number for number, _, _ in _find_numbers(patterns))


def read_lines(dots: Iterable[Centre]) -> tuple[CellLine, ...]:
    """Every row of cells whose place is certain, from the top. A row without a number may not be."""
    centres = tuple(dots)
    if len(centres) < 2:
        return ()
    spacing_mm = _measure_spacing_mm(centres)
    if not spacing_mm:  # two dots in one place
        return ()
    lines = (_read_line(cluster, spacing_mm) for cluster in _cluster(centres, spacing_mm))
    return tuple(sorted((line for line in lines if line), key=lambda line: (line.middle_mm, line.left_mm)))


def _measure_spacing_mm(centres: tuple[Centre, ...]) -> float:
    """From dot to dot in a cell: the least distance there is."""
    ordered = sorted(centres)
    least = math.inf
    for number, one in enumerate(ordered):
        for other in ordered[number + 1 :]:
            if other[0] - one[0] >= least:
                break
            least = min(least, math.dist(one, other))
    return least


def _cluster(centres: tuple[Centre, ...], spacing_mm: float) -> Iterator[list[Centre]]:
    """Dots of one row of cells: no further apart across than over a blank, nor up and down than a cell is high."""
    wide_mm, high_mm = 6.8 * spacing_mm, 2.1 * spacing_mm
    boxes: dict[tuple[int, int], list[Centre]] = defaultdict(list)
    for x_mm, y_mm in centres:
        boxes[int(x_mm // wide_mm), int(y_mm // high_mm)].append((x_mm, y_mm))
    waiting = set(centres)
    while waiting:
        frontier = [waiting.pop()]
        cluster = list(frontier)
        while frontier:
            x_mm, y_mm = frontier.pop()
            column, row = int(x_mm // wide_mm), int(y_mm // high_mm)
            near = [
                dot
                for across in (-1, 0, 1)
                for down in (-1, 0, 1)
                for dot in boxes.get((column + across, row + down), ())
                if dot in waiting and abs(dot[0] - x_mm) <= wide_mm and abs(dot[1] - y_mm) <= high_mm
            ]
            waiting.difference_update(near)
            frontier += near
            cluster += near
        yield cluster


def _read_line(cluster: list[Centre], spacing_mm: float) -> CellLine | None:
    """The cells of a cluster; ``None`` where they fit more than one place, or none."""
    left_mm, top_mm = min(x for x, _ in cluster), min(y for _, y in cluster)
    tops = [top_mm - up * spacing_mm for up in (0, 1, 2)]
    rows = [start for start in tops if _fits_rows(cluster, start, spacing_mm)]
    lefts = [left_mm - back * spacing_mm for back in (0, 1)]
    columns = [start for start in lefts if _fits_columns(cluster, start, spacing_mm)]
    if len(rows) != 1 or len(columns) != 1:
        return None
    cell_mm = CELL_TO_DOT * spacing_mm
    patterns: dict[int, int] = defaultdict(int)
    for x_mm, y_mm in cluster:
        cell = int((x_mm - columns[0]) / cell_mm + EASE)
        column = round((x_mm - columns[0] - cell * cell_mm) / spacing_mm)
        patterns[cell] |= 1 << (3 * column + round((y_mm - rows[0]) / spacing_mm))
    return CellLine(
        tuple(patterns.get(cell, 0) for cell in range(max(patterns) + 1)),
        left_mm,
        max(x for x, _ in cluster),
        rows[0] + spacing_mm,
    )


def _fits_rows(cluster: list[Centre], top_mm: float, spacing_mm: float) -> bool:
    steps = ((y_mm - top_mm) / spacing_mm for _, y_mm in cluster)
    return all(abs(step - round(step)) <= EASE and round(step) in {0, 1, 2} for step in steps)


def _fits_columns(cluster: list[Centre], left_mm: float, spacing_mm: float) -> bool:
    for x_mm, _ in cluster:
        step = (x_mm - left_mm) / spacing_mm
        within = step - math.floor(step / CELL_TO_DOT + EASE / CELL_TO_DOT) * CELL_TO_DOT
        if min(abs(within), abs(within - 1)) > EASE:
            return False
    return True


def _find_numbers(patterns: tuple[int, ...]) -> Iterator[tuple[Fraction, int, int]]:
    """Each number, where its sign stands, and where it has ended."""
    position = 0
    while position < len(patterns):
        if patterns[position] != _NUMBER_SIGN:
            position += 1
            continue
        start, text = position, ""
        position += 1
        while position < len(patterns):
            following = patterns[position + 1] if position + 1 < len(patterns) else 0
            if patterns[position] in _DIGITS:
                text += _DIGITS[patterns[position]]
            elif patterns[position] == _POINT and following in _DIGITS and "." not in text:
                text += "."
            elif patterns[position] != _COMMA or following not in _DIGITS:
                break
            position += 1
        if text and text != ".":
            yield Fraction(text), start, position


def _find_digits(patterns: tuple[int, ...]) -> Iterator[str]:
    text = ""
    is_number = False
    for place, pattern in enumerate(patterns):
        rest = patterns[place + 1 : place + 3]
        goes_on = bool(rest) and (rest[0] in _DIGITS or (rest[0] == _NUMBER_SIGN and rest[-1] in _DIGITS))
        if pattern == _NUMBER_SIGN:
            is_number = True
        elif is_number and pattern in _DIGITS:
            text += _DIGITS[pattern]
        elif is_number and text and pattern in _BETWEEN_DIGITS and goes_on:
            text += "."
        else:
            if text:
                yield text
            text, is_number = "", False
    if text:
        yield text
