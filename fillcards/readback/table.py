"""The maker's table read back: rows end at a hairline across the page, cells stand under the words of the head."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from fillcards.readback.conventions import SIDE_MARGIN_MM
from fillcards.readback.marks import PageMarks
from fillcards.readback.model import TableRow
from fillcards.readback.runs import Run

HEAD: Final = ("Fill and medicine", "Dose", "Strength", "Volume", "Air to", "Stop at")
HAIRLINE_MM: Final = 0.25
HEAD_RULE_MM: Final = 0.5
WIDTH_EASE_MM: Final = 0.05
COLUMN_EASE_MM: Final = 0.5
RULE_EASE_MM: Final = 0.1
FURTHEST_RULE_MM: Final = 80.0


def read_table_rows(pages: Iterable[PageMarks]) -> Iterator[TableRow]:
    """Rows of the table of what was worked out, over as many pages as it takes."""
    columns: list[float] = []
    for page in pages:
        head = _find_head(page)
        above_mm = _find_head_rule(page, head[0].y_mm) if head else 0.0
        columns = [run.x_mm for run in head] or columns
        if not columns:
            continue
        for rule_mm in _list_rules(page):
            if rule_mm <= above_mm:
                continue
            cells = _read_cells(page, columns, above_mm, rule_mm)
            if any(cells):
                yield TableRow(page.number, cells)
            above_mm = rule_mm


def _find_head(page: PageMarks) -> list[Run]:
    """The words of the head, from left to right; the longer ones may break into lines, of which the first counts."""
    for run in page.runs:
        if run.bold and HEAD[0].startswith(run.text) and run.text.startswith(HEAD[0].split()[0]):
            row = sorted((other for other in page.runs if abs(other.y_mm - run.y_mm) < 0.1), key=lambda r: r.x_mm)
            names = [other.text for other in row]
            if len(row) == len(HEAD) and all(title.startswith(name) for title, name in zip(HEAD, names, strict=True)):
                return row
    return []


def _find_head_rule(page: PageMarks, head_mm: float) -> float:
    """The heavier line under the head, whose words may take more than one line."""
    return min((rule for rule in _list_rules(page, HEAD_RULE_MM) if rule > head_mm), default=head_mm)


def _list_rules(page: PageMarks, width_mm: float = HAIRLINE_MM) -> list[float]:
    """Lines of a width across the whole page, from top to bottom."""
    full_mm = page.width_mm - 2 * SIDE_MARGIN_MM
    return sorted(
        stroke.y1_mm
        for stroke in page.strokes
        if stroke.is_horizontal
        and abs(stroke.width_mm - width_mm) <= WIDTH_EASE_MM
        and abs(abs(stroke.x2_mm - stroke.x1_mm) - full_mm) <= RULE_EASE_MM
    )


def _read_cells(page: PageMarks, columns: list[float], above_mm: float, rule_mm: float) -> tuple[str, ...]:
    cells = []
    for x_mm in columns:
        runs = [
            run
            for run in page.runs
            if abs(run.x_mm - x_mm) <= COLUMN_EASE_MM and max(above_mm, rule_mm - FURTHEST_RULE_MM) < run.y_mm < rule_mm
        ]
        cells.append(" ".join(run.text for run in sorted(runs, key=lambda run: run.y_mm)))
    return tuple(cells)
