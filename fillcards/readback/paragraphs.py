"""Runs of text put together again: lines of one paragraph stand under each other in one type, a fixed pitch apart.

Knows nothing of what the words mean. Lengths in mm, sizes in pt.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, NamedTuple

from fillcards.quantities import convert_pt_to_mm
from fillcards.readback.conventions import LINE_PITCHES, STOP_LABELS
from fillcards.readback.runs import Run

EASE_MM: Final = 0.05


class Paragraph(NamedTuple):
    """Words that belong together, and where the first line starts and the last one stands."""

    text: str
    x_mm: float
    y_mm: float
    last_y_mm: float
    size_pt: float
    bold: bool


def join_runs(runs: Iterable[Run]) -> tuple[Paragraph, ...]:
    """Paragraphs in the order of their first lines, from top to bottom and from left to right."""
    paragraphs: list[list[Run]] = []
    waiting: list[list[Run]] = []
    for run in sorted(runs, key=lambda run: (round(run.y_mm, 2), run.x_mm)):
        waiting = [lines for lines in waiting if run.y_mm - lines[-1].y_mm <= _measure_pitch_mm(lines[-1]) + EASE_MM]
        before = next((lines for lines in reversed(waiting) if _continues(lines[-1], run)), None)
        if before is not None:
            before.append(run)
            continue
        paragraphs.append([run])
        waiting.append(paragraphs[-1])
    return tuple(_make_paragraph(lines) for lines in paragraphs)


def _measure_pitch_mm(run: Run) -> float:
    """How far below a run its paragraph may go on."""
    return max(LINE_PITCHES) * convert_pt_to_mm(run.size_pt)


def _continues(last: Run, run: Run) -> bool:
    """Whether a run is the next line of the paragraph that ends with ``last``; a stop's label begins one of its own."""
    if run.text.startswith(STOP_LABELS) and not last.text.endswith("·"):
        return False
    if run.bold is not last.bold or run.size_pt != last.size_pt or abs(run.x_mm - last.x_mm) > EASE_MM:
        return False
    size_mm = convert_pt_to_mm(run.size_pt)
    return any(abs(run.y_mm - last.y_mm - pitch * size_mm) <= EASE_MM for pitch in LINE_PITCHES)


def _make_paragraph(lines: list[Run]) -> Paragraph:
    text = lines[0].text
    for line in lines[1:]:
        text += line.text if text.endswith("-") else f" {line.text}"
    first, last = lines[0], lines[-1]
    return Paragraph(text, first.x_mm, first.y_mm, last.y_mm, first.size_pt, first.bold)
