"""Words on a page as an eye groups them: runs into lines, lines into blocks. Only places and sizes decide.

A block is what stands in one column, in one size, line under line. Messages that follow each other closely share a
block; ``Words`` hands them out word by word. Lengths in mm, y downward; sizes in pt.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final, NamedTuple

from fillcards.readback.runs import Run

BASELINE_EASE_MM: Final = 0.05
LEFT_EASE_MM: Final = 0.25
SAME_LINE_EM: Final = 0.8
"""Further apart than this, runs on one baseline belong to different columns."""
WORD_GAP_EM: Final = 0.08
LINE_GAP_EM: Final = 1.6
"""Further down than this, a line begins a new block. Lines of one sentence stand 1.15 to 1.5 of their size apart."""
MM_PER_PT: Final = 25.4 / 72


class Line(NamedTuple):
    """One line: its runs from left to right."""

    runs: tuple[Run, ...]
    order: int

    @property
    def x_mm(self) -> float:
        """Left end."""
        return self.runs[0].x_mm

    @property
    def right_mm(self) -> float:
        """Right end."""
        return self.runs[-1].right_mm

    @property
    def y_mm(self) -> float:
        """Baseline."""
        return self.runs[0].y_mm

    @property
    def size_pt(self) -> float:
        """Type size."""
        return self.runs[0].size_pt


class Word(NamedTuple):
    """One word with its place; ``line`` counts the lines of its block, ``run`` is what it was read from."""

    text: str
    bold: bool
    x_mm: float
    y_mm: float
    size_pt: float
    level: int
    line: int
    run: Run


class Block(NamedTuple):
    """Lines that stand under each other, as words."""

    words: tuple[Word, ...]
    left_mm: float
    top_mm: float
    right_mm: float
    bottom_mm: float
    order: int


def read_lines(runs: Iterable[Run]) -> tuple[Line, ...]:
    """Runs that share a baseline and stand close, in the file's order of their first run."""
    ordered = sorted(enumerate(runs), key=lambda each: (round(each[1].y_mm / BASELINE_EASE_MM), each[1].x_mm))
    lines: list[list[tuple[int, Run]]] = []
    for index, run in ordered:
        last = lines[-1][-1][1] if lines else None
        gap_mm = SAME_LINE_EM * run.size_pt * MM_PER_PT
        if (
            last is not None
            and abs(last.y_mm - run.y_mm) <= BASELINE_EASE_MM
            and last.size_pt == run.size_pt
            and last.level == run.level
            and 0 <= run.x_mm - last.right_mm + LEFT_EASE_MM <= gap_mm + LEFT_EASE_MM
        ):
            lines[-1].append((index, run))
        else:
            lines.append([(index, run)])
    return tuple(Line(tuple(run for _, run in line), min(index for index, _ in line)) for line in lines)


def read_blocks(runs: Iterable[Run]) -> tuple[Block, ...]:
    """Every block of a page, in the file's order."""
    columns: list[list[Line]] = []
    for line in sorted(read_lines(runs), key=lambda line: (line.y_mm, line.x_mm)):
        above = [column for column in columns if _goes_on(column[-1], line)]
        if above:
            min(above, key=lambda column: line.y_mm - column[-1].y_mm).append(line)
        else:
            columns.append([line])
    return tuple(sorted((_make_block(column) for column in columns), key=lambda block: block.order))


def _goes_on(above: Line, line: Line) -> bool:
    down_mm = line.y_mm - above.y_mm
    return (
        above.size_pt == line.size_pt
        and above.runs[0].level == line.runs[0].level
        and abs(above.x_mm - line.x_mm) <= LEFT_EASE_MM
        and BASELINE_EASE_MM < down_mm <= LINE_GAP_EM * line.size_pt * MM_PER_PT
    )


def _make_block(lines: list[Line]) -> Block:
    words = tuple(word for number, line in enumerate(lines) for word in _list_words(line, number))
    size_mm = lines[0].size_pt * MM_PER_PT
    return Block(
        words,
        min(line.x_mm for line in lines),
        lines[0].y_mm - size_mm,
        max(line.right_mm for line in lines),
        lines[-1].y_mm + size_mm * 0.3,
        min(line.order for line in lines),
    )


def _list_words(line: Line, number: int) -> Iterator[Word]:
    """Words of a line. Runs that touch, such as a bold word before its full stop in regular, are one word."""
    text, first = "", line.runs[0]
    end_mm = first.x_mm
    for run in line.runs:
        is_apart = run.x_mm - end_mm > WORD_GAP_EM * run.size_pt * MM_PER_PT
        if text and is_apart:
            yield Word(text, first.bold, first.x_mm, first.y_mm, first.size_pt, first.level, number, first)
            text = ""
        for index, part in enumerate(run.text.split(" ")):
            if index and text:
                yield Word(text, first.bold, first.x_mm, first.y_mm, first.size_pt, first.level, number, first)
                text = ""
            if not part:
                continue
            if not text:
                first = run
            text += part
        end_mm = run.right_mm
    if text:
        yield Word(text, first.bold, first.x_mm, first.y_mm, first.size_pt, first.level, number, first)
