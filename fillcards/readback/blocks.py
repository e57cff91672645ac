"""Words on a page as an eye groups them: runs into lines, lines into blocks. Only places and sizes decide.

A block is what stands in one column, in one size, line under line. Messages that follow each other closely share a
block; ``Words`` hands them out word by word. Lengths in mm, y downward; sizes in pt.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final, NamedTuple

from fillcards.readback.pdfium import MM_PER_PT
from fillcards.readback.runs import WORD_GAP_EM, Run

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


def read_blocks(runs: Iterable[Run]) -> list[list[Word]]:
    """The words of every block of a page, block by block in the file's order."""
    runs = list(runs)
    places = {id(run): place for place, run in enumerate(runs)}
    columns: list[list[list[Run]]] = []
    for line in sorted(_read_lines(runs), key=lambda line: (line[0].y_mm, line[0].x_mm)):
        above = [column for column in columns if _goes_on(column[-1][0], line[0])]
        if above:
            min(above, key=lambda column: line[0].y_mm - column[-1][0].y_mm).append(line)
        else:
            columns.append([line])
    columns.sort(key=lambda column: min(places[id(run)] for line in column for run in line))
    return [[word for number, line in enumerate(column) for word in _list_words(line, number)] for column in columns]


def _read_lines(runs: Iterable[Run]) -> list[list[Run]]:
    """Runs that share a baseline and stand close."""
    lines: list[list[Run]] = []
    for run in sorted(runs, key=lambda run: (round(run.y_mm / BASELINE_EASE_MM), run.x_mm)):
        last = lines[-1][-1] if lines else None
        gap_mm = SAME_LINE_EM * run.size_pt * MM_PER_PT
        if (
            last is not None
            and abs(last.y_mm - run.y_mm) <= BASELINE_EASE_MM
            and (last.size_pt, last.level) == (run.size_pt, run.level)
            and 0 <= run.x_mm - last.right_mm + LEFT_EASE_MM <= gap_mm + LEFT_EASE_MM
        ):
            lines[-1].append(run)
        else:
            lines.append([run])
    return lines


def _goes_on(above: Run, run: Run) -> bool:
    return (
        abs(above.x_mm - run.x_mm) <= LEFT_EASE_MM
        and (above.size_pt, above.level) == (run.size_pt, run.level)
        and BASELINE_EASE_MM < run.y_mm - above.y_mm <= LINE_GAP_EM * run.size_pt * MM_PER_PT
    )


def _list_words(line: list[Run], number: int) -> Iterator[Word]:
    """Words of a line. Runs that touch, such as a bold word before its full stop in regular, are one word."""
    parts: list[tuple[str, Run]] = []
    end_mm = line[0].x_mm
    for run in line:
        first, *others = run.text.split(" ")
        if parts and run.x_mm - end_mm <= WORD_GAP_EM * run.size_pt * MM_PER_PT:
            text, run_before = parts.pop()
            parts.append((text + first, run_before if text else run))
        else:
            parts.append((first, run))
        parts += [(part, run) for part in others]
        end_mm = run.right_mm
    return (Word(text, run.x_mm, run.y_mm, run.size_pt, run.level, number, run) for text, run in parts if text)
