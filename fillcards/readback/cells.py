"""Braille read off a page: discs to cells to numbers, by code that has no liblouis and has not drawn them.

Lengths in mm. The spacings are those of ``nls-800`` (3.2), which fit into each other: dots 2.34 apart, cells 6.2. A
larger cell keeps their ratio. Only numbers are understood: they alone must be right to a digit.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import Final

CELL_TO_DOT: Final = 6.2 / 2.34
EASE: Final = 0.03
"""How far a dot may be off its place, in spacings of dots."""

Centre = tuple[float, float]

_SIGNS: Final = {
    0b111100: "#",
    0b110010: ".",
    0b000010: ",",
    0b000100: "'",
    **{
        pattern: str(digit)
        for digit, pattern in enumerate((0b011010, 1, 0b11, 0b1001, 0b11001, 0b10001, 0b1011, 0b11011, 0b10011, 0b1010))
    },
}
"""The number sign, the signs between digits in one language or another, and the letters j, a to i, which are digits
behind a number sign (Unified English Braille, section 6); bit 0 is dot 1.
"""
_NUMBER: Final = re.compile(r"#(\d(?:[\d#]|[.,'](?=#?\d))*)")
"""After a sign between digits, Spanish repeats the number sign."""


def read_numbers(patterns: Iterable[int]) -> Iterator[str]:
    """Every number among cells, each a pattern of six bits: its digits with the signs between them, such as ``2.5``."""
    for number in _NUMBER.findall("".join(_SIGNS.get(pattern, " ") for pattern in patterns)):
        yield number.replace("#", "")


def read_lines(dots: Iterable[Centre]) -> Iterator[tuple[int, ...]]:
    """The cells of every row whose place is certain, as patterns of six bits, 0 for a blank. A row without a number may
    not be certain.
    """
    centres = tuple(dots)
    spacing_mm = _measure_spacing_mm(centres) if len(centres) > 1 else 0.0
    if spacing_mm:  # else two dots in one place
        for row in _cut_rows(centres, spacing_mm):
            yield _read_line(row, spacing_mm)


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


def _cut_rows(dots: Sequence[Centre], spacing_mm: float) -> Iterator[list[Centre]]:
    """Dots of one row of cells each: no further apart across than over a blank, nor up and down than a cell is high."""
    for axis, most_mm in ((1, 2.1 * spacing_mm), (0, 6.8 * spacing_mm)):
        ordered = sorted(dots, key=lambda dot: dot[axis])
        cuts = [at for at, (one, other) in enumerate(pairwise(ordered), start=1) if other[axis] - one[axis] > most_mm]
        if cuts:
            for start, end in pairwise((0, *cuts, len(ordered))):
                yield from _cut_rows(ordered[start:end], spacing_mm)
            return
    yield list(dots)


def _read_line(cluster: list[Centre], spacing_mm: float) -> tuple[int, ...]:
    """The cells of a cluster; none where they fit more than one place, or none."""
    left_mm, top_mm = min(x for x, _ in cluster), min(y for _, y in cluster)
    tops = [top_mm - up * spacing_mm for up in (0, 1, 2)]
    rows = [start for start in tops if _fits_rows(cluster, start, spacing_mm)]
    lefts = [left_mm - back * spacing_mm for back in (0, 1)]
    columns = [start for start in lefts if _fits_columns(cluster, start, spacing_mm)]
    if len(rows) != 1 or len(columns) != 1:
        return ()
    cell_mm = CELL_TO_DOT * spacing_mm
    patterns: dict[int, int] = defaultdict(int)
    for x_mm, y_mm in cluster:
        cell = int((x_mm - columns[0]) / cell_mm + EASE)
        column = round((x_mm - columns[0] - cell * cell_mm) / spacing_mm)
        patterns[cell] |= 1 << (3 * column + round((y_mm - rows[0]) / spacing_mm))
    return tuple(patterns.get(cell, 0) for cell in range(max(patterns) + 1))


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
