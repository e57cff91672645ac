"""The words of a page as statements: which sentence each is, and the numbers and names in it. Judges nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from fillcards.readback.model import Statement
from fillcards.readback.paragraphs import EASE_MM, Paragraph, join_runs
from fillcards.readback.phrases import find_phrases
from fillcards.readback.runs import Run

Phrase = tuple[str, str, Mapping[str, str]]


class PhraseBook:
    """Remembers what the paragraphs of one card say, since many stand on every page. Dropped with the card."""

    def __init__(self) -> None:
        self._known: dict[tuple[str, bool], tuple[Phrase, ...]] = {}

    def find(self, paragraph: Paragraph) -> tuple[Phrase, ...]:
        """The phrases of a paragraph."""
        key = paragraph.text, paragraph.bold
        if key not in self._known:
            self._known[key] = tuple(find_phrases(paragraph.text, bold=paragraph.bold))
        return self._known[key]


def read_statements(runs: Iterable[Run], page: int, book: PhraseBook) -> tuple[Statement, ...]:
    """Everything a page says, from top to bottom.

    Args:
        runs: the text of the page, without the numbers that belong to pictures.
        page: its number.
        book: of the card.
    """
    found = [(paragraph, *phrase) for paragraph in join_runs(runs) for phrase in book.find(paragraph)]
    steps = [(p.y_mm, p.x_mm, int(parts["step"])) for p, kind, _, parts in found if kind == "step number"]
    return tuple(
        Statement(page, kind, text, parts, paragraph.size_pt, paragraph.bold, _find_step(paragraph, steps))
        for paragraph, kind, text, parts in found
    )


def _find_step(paragraph: Paragraph, steps: list[tuple[float, float, int]]) -> int | None:
    """The number that hangs before a paragraph."""
    for y_mm, x_mm, step in steps:
        if abs(y_mm - paragraph.y_mm) <= EASE_MM and x_mm < paragraph.x_mm:
            return step
    return None
