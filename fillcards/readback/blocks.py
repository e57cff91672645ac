"""Words on a page as an eye groups them: runs into lines, lines into blocks. Places, sizes, frames and rules decide.

A block is what stands in one column, in one size, line under line. Messages that follow each other closely share a
block; ``Words`` hands them out word by word. Lengths in mm, y downward; sizes in pt.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from enum import Enum
from typing import Final, NamedTuple, TypeVar

from fillcards.readback.marks import WORD_GAP_EM, PageMarks, Run, Stroke
from fillcards.readback.parts import ROUNDED, Box, box_of, is_outline
from fillcards.readback.pdfium import MM_PER_PT

BASELINE_EASE_MM: Final = 0.05
LEFT_EASE_MM: Final = 0.25
SAME_LINE_EM: Final = 0.8
"""Further apart than this, runs on one baseline belong to different columns."""
LINE_GAP_EM: Final = 1.6
"""Further down than this, a line begins a new block. Lines of one sentence stand 1.15 to 1.5 of their size apart."""


class Word(NamedTuple):
    """One word with its place; ``line`` counts the lines of its block, ``run`` is what it was read from."""

    text: str
    x_mm: float
    y_mm: float
    size_pt: float
    level: int
    line: int
    run: Run


_Placed = TypeVar("_Placed", Run, Word)


class Way(Enum):
    """How the lines of a side are read."""

    FROM_LEFT = "from the left"
    FROM_RIGHT = "from the right, of a side that is mirrored"
    BY_LETTERS = "from the right where a line has Arabic letters, of a side that is not"


def read_blocks(marks: PageMarks, way: Way = Way.FROM_LEFT) -> list[list[Word]]:
    """The words of every block of a page, block by block in the file's order."""
    places = {id(run): place for place, run in enumerate(marks.runs)}
    frames = [box_of(shape) for shape in marks.shapes if is_outline(shape, ROUNDED)]
    rules = [stroke for stroke in marks.strokes if stroke.is_horizontal and not stroke.is_dashed]
    columns: list[list[list[Run]]] = []
    for line in sorted(_read_lines(marks.runs, frames), key=lambda line: (line[0].y_mm, line[0].x_mm)):
        above = [
            column for column in columns if _goes_on(column[-1], line, way) and not _is_ruled(column[-1], line, rules)
        ]
        if above:
            min(above, key=lambda column: line[0].y_mm - column[-1][0].y_mm).append(line)
        else:
            columns.append([line])
    columns.sort(key=lambda column: min(places[id(run)] for line in column for run in line))
    return [
        [word for number, line in enumerate(column) for word in _list_words(_cut_stretches(line, way), number)]
        for column in columns
    ]


def _read_lines(runs: Iterable[Run], frames: Sequence[Box]) -> list[list[Run]]:
    """Runs that share a baseline and stand close, with no side of a frame between them."""
    lines: list[list[Run]] = []
    for run in sort_lines(runs):
        last = lines[-1][-1] if lines else None
        gap_mm = SAME_LINE_EM * run.size_pt * MM_PER_PT
        if (
            last is not None
            and abs(last.y_mm - run.y_mm) <= BASELINE_EASE_MM
            and (last.size_pt, last.level) == (run.size_pt, run.level)
            and 0 <= run.x_mm - last.right_mm + LEFT_EASE_MM <= gap_mm + LEFT_EASE_MM
            and not any(frame.parts((last.right_mm, run.x_mm), run.y_mm) for frame in frames)
        ):
            lines[-1].append(run)
        else:
            lines.append([run])
    return lines


def sort_lines(placed: Iterable[_Placed]) -> list[_Placed]:
    """Line by line, from the left: baselines that differ by what writing rounds off are one."""
    rows: list[list[_Placed]] = []
    for each in sorted(placed, key=lambda each: each.y_mm):
        if rows and each.y_mm - rows[-1][-1].y_mm <= BASELINE_EASE_MM:
            rows[-1].append(each)
        else:
            rows.append([each])
    return [each for row in rows for each in sorted(row, key=lambda each: each.x_mm)]


def _goes_on(above: list[Run], line: list[Run], way: Way) -> bool:
    one, other = above[0], line[0]
    is_level = abs(one.x_mm - other.x_mm) <= LEFT_EASE_MM
    if way is Way.BY_LETTERS and any(run.runs_back for run in (*above, *line)):
        is_level = abs(above[-1].right_mm - line[-1].right_mm) <= LEFT_EASE_MM
    return (
        is_level
        and (one.size_pt, one.level) == (other.size_pt, other.level)
        and BASELINE_EASE_MM < other.y_mm - one.y_mm <= LINE_GAP_EM * other.size_pt * MM_PER_PT
    )


def _is_ruled(above: list[Run], line: list[Run], rules: Sequence[Stroke]) -> bool:
    """Whether a rule divides two lines where they begin."""
    x_mm = line[0].x_mm
    return any(
        above[0].y_mm < rule.y1_mm < line[0].y_mm and min(rule.x1_mm, rule.x2_mm) <= x_mm <= max(rule.x1_mm, rule.x2_mm)
        for rule in rules
    )


def _cut_stretches(line: list[Run], way: Way) -> list[list[Run]]:
    """The runs of a line in the order they are read, in stretches of neighbours.

    On a line from right to left, Latin words and numbers that stand side by side are read from the left among
    themselves: those that no Arabic letter or sign parts.
    """
    if way is Way.BY_LETTERS and any(run.runs_back for run in line):
        line = line[::-1]
    elif way is not Way.FROM_RIGHT:
        return [line]
    stretches: list[list[Run]] = []
    for run in line:
        if stretches and not run.runs_back and not stretches[-1][0].runs_back:
            stretches[-1].insert(0, run)
        else:
            stretches.append([run])
    return stretches


def join_runs(runs: Iterable[Run]) -> list[str]:
    """The words of runs in the order in which they are read.

    A stretch that runs from left to right on a line that does not touches what stands before and after it with either
    of its ends.
    """
    stretches: list[list[Run]] = []
    for run in runs:
        last = stretches[-1][-1] if stretches else None
        if last and not run.runs_back and not last.runs_back and abs(last.y_mm - run.y_mm) < BASELINE_EASE_MM:
            stretches[-1].append(run)
        else:
            stretches.append([run])
    return [word.text for word in _list_words(stretches, 0)]


def _list_words(stretches: list[list[Run]], number: int) -> Iterator[Word]:
    """Words of a line. Runs that touch, such as a bold word before its full stop in regular, are one word."""
    parts: list[tuple[str, Run, float]] = []
    before: list[Run] = []
    for stretch in stretches:
        for index, run in enumerate(stretch):
            first, *others = run.text.split(" ")
            # To the stretch before, it is as near as any of it is.
            beside = [stretch[index - 1]] if index else before
            gaps = (measure_gap_mm(one, other) for one in beside for other in ([run] if index else stretch))
            if parts and min(gaps, default=0.0) <= WORD_GAP_EM * run.size_pt * MM_PER_PT:
                text, run_before, left_mm = parts.pop()
                parts.append((text + first, run_before if text else run, min(left_mm, run.x_mm)))
            else:
                parts.append((first, run, run.x_mm))
            parts += [(part, run, run.x_mm) for part in others]
        before = stretch
    return (Word(text, x_mm, run.y_mm, run.size_pt, run.level, number, run) for text, run, x_mm in parts if text)


def measure_gap_mm(one: Run, other: Run) -> float:
    """Between two runs; without end where they are not on one line."""
    if abs(one.y_mm - other.y_mm) > BASELINE_EASE_MM:
        return math.inf
    return max(one.x_mm - other.right_mm, other.x_mm - one.right_mm)
