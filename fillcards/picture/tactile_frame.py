"""Where everything of a raised barrel stands, worked out before anything is drawn.

Across from the left: numbers, wall, lines of the scale, textures, wall, ends of the stops' lines, their marks. Along
from the top: needle, end of the barrel, zero line, the scale, flanges. Lengths in mm from the left upper corner.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from fillcards.picture.items import Item
from fillcards.picture.tactile_marks import measure_digits_mm
from fillcards.picture.tactile_pieces import (
    NEEDLE_MM,
    WALL_PAST_LAST_MM,
    Piece,
    TactileTooSmall,
    measure_lead_mm,
)
from fillcards.picture.tactile_style import OUTLINE_MM, STOP_MM, TactileStyle
from fillcards.quantities import write_number
from fillcards.regimen.model import Syringe
from fillcards.wording.braille import BrailleText, measure_cells

LONG_MM: Final = 15.0
SHORT_MM: Final = 8.5
PAST_WALL_MM: Final = 9.0
FLANGE_MM: Final = 9.0
WIDEST_BORE_MM: Final = 62.0


@dataclass(frozen=True, slots=True)
class Label:
    """Words beside a picture: where the ink of a full first cell begins."""

    x_mm: float
    y_mm: float
    words: BrailleText


@dataclass(frozen=True, slots=True)
class RaisedDrawing:
    """A picture for the finger: strokes and discs, the words that belong to it, and which textures it has."""

    width_mm: float
    height_mm: float
    items: tuple[Item, ...]
    labels: tuple[Label, ...]
    textures: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class RaisedStop:
    """A stop to be marked: ``words`` beside it, such as ``total 34``; ``is_final`` where the plunger stays."""

    value: Fraction
    is_final: bool
    words: BrailleText


@dataclass(frozen=True, slots=True)
class Frame:
    """Where everything stands: across from the left, along from the top."""

    style: TactileStyle
    piece: Piece
    has_needle: bool
    has_flanges: bool
    zero_mm: float
    numbers_mm: float
    left_mm: float
    right_mm: float

    def locate(self, value: Fraction) -> float:
        """Along, the place of a value."""
        return self.zero_mm + self.piece.locate(value)

    @property
    def top_mm(self) -> float:
        """Along, where the walls begin."""
        return NEEDLE_MM + OUTLINE_MM / 2 if self.has_needle else 0.0

    @property
    def foot_mm(self) -> float:
        """Along, where the walls end."""
        return self.locate(self.piece.last) + self.style.gap_mm + STOP_MM / 2 + WALL_PAST_LAST_MM

    @property
    def stop_end_mm(self) -> float:
        """Across, the end of a stop's line."""
        return self.right_mm + PAST_WALL_MM

    @property
    def marks_mm(self) -> float:
        """Across, where the mark beside a stop begins."""
        return self.stop_end_mm + self.style.gap_mm


def build_frame(
    syringe: Syringe,
    piece: Piece,
    drawn: tuple[RaisedStop, ...],
    numbers: dict[Fraction, BrailleText],
    style: TactileStyle,
    width_mm: float,
) -> Frame:
    """Everything in its place.

    Args:
        syringe: whose scale.
        piece: which part of it.
        drawn: the stops on it.
        numbers: of the lines that have one, in braille.
        style: sizes.
        width_mm: room on the page.

    Raises:
        TactileTooSmall: the page is too narrow.
    """
    numbers_mm = max((style.measure_width_mm(measure_cells(words)) for words in numbers.values()), default=0.0)
    marks_mm = max((_measure_mark_mm(stop, style) for stop in drawn), default=0.0)
    left_mm = numbers_mm + style.gap_mm + OUTLINE_MM / 2
    room_mm = width_mm - left_mm - (PAST_WALL_MM + style.gap_mm + marks_mm if drawn else FLANGE_MM)
    least_mm = LONG_MM + style.gap_mm + OUTLINE_MM / 2
    if room_mm < least_mm:
        raise TactileTooSmall(f"{width_mm - room_mm + least_mm:.0f} mm across, on {width_mm:.0f} mm of room")
    return Frame(
        style,
        piece,
        has_needle=piece.first == 0,
        has_flanges=piece.last == syringe.last_line,
        zero_mm=measure_lead_mm(style),
        numbers_mm=numbers_mm,
        left_mm=left_mm,
        right_mm=left_mm + min(room_mm, WIDEST_BORE_MM),
    )


def _measure_mark_mm(stop: RaisedStop, style: TactileStyle) -> float:
    braille_mm = style.measure_width_mm(measure_cells(stop.words))
    if not style.raised_digits:
        return braille_mm
    return measure_digits_mm(write_number(stop.value), style) + style.gap_mm + braille_mm
