"""The setter: sets running text in one column and counts marks.

Every run of text or drawing that is read aloud gets the next mark; what is not (rules, frames, bullets) gets none.
Knows the type sizes, and nothing of pages.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from fillcards.layout.model import Element
from fillcards.layout.parts import Part, place_lines
from fillcards.layout.sizes import LINE_PITCH, TypeSizes, measure_pitch_mm
from fillcards.typeface import LineBreaker


class SetBlock(NamedTuple):
    """A block set in type: its parts from top to bottom, and its elements in reading order."""

    parts: tuple[Part, ...]
    elements: tuple[Element, ...]


@dataclass(slots=True)
class Setter:
    """Sets text. The count of marks is its only state, so one setter serves a whole card.

    Attributes:
        breaker: breaks lines; shared by the setters that lay out one card again in another size.
        barrel_gaps_mm: of each fill placed so far, from line to line on its enlarged barrels; for the maker's page.
    """

    sizes: TypeSizes
    next_mark: int = field(default=0)
    barrel_gaps_mm: tuple[float, ...] = ()
    breaker: LineBreaker = field(default_factory=LineBreaker)

    def take_mark(self) -> int:
        """The next mark."""
        self.next_mark += 1
        return self.next_mark - 1

    def set_text(
        self, text: str, size_pt: float, width_mm: float, *, bold: bool, role: str = "P", pitch: float = LINE_PITCH
    ) -> SetBlock:
        """A paragraph; one taller than a page may break between its lines, so each line is a part of its own."""
        mark = self.take_mark()
        lines = self.breaker.wrap(text, size_pt, bold, width_mm)
        pitch_mm = measure_pitch_mm(size_pt, pitch)
        parts = tuple(
            Part(
                pitch_mm,
                (place_lines((line,), size_pt, bold=bold, mark=mark, pitch=pitch),),
                keep_with_next=number < len(lines),
            )
            for number, line in enumerate(lines, start=1)
        )
        return SetBlock(parts, (Element(role, (mark,)),))


def space_parts(parts: tuple[Part, ...], space_mm: float) -> tuple[Part, ...]:
    """The same parts with white space above the first."""
    return (parts[0]._replace(space_before_mm=space_mm), *parts[1:])
