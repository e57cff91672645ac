"""Which piece of the scale a raised picture shows, and how many times enlarged, so that fingers can tell lines apart.

The picture of the barrel shows the numbered lines and the stops; where one page cannot hold them far enough apart, it
goes on over several pages. A close-up shows every line from the last number to just past its stop. What is enlarged is
the syringe's own scale where somebody has measured it, else the standard's shortest. Values are in the scale's own
numbers; lengths in mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import Final

from fillcards.picture.tactile_marks import DIGIT_HEIGHT_MM
from fillcards.picture.tactile_style import OUTLINE_MM, SCALE_LINE_MM, STOP_MM, TactileStyle
from fillcards.plan.model import Draw
from fillcards.problems import FillcardsError
from fillcards.regimen.model import Syringe

NEEDLE_MM: Final = 12.0
WALL_PAST_LAST_MM: Final = 8.0
MOST_PITCH_MM: Final = 16.0
"""Wider apart, one finger no longer meets a line and the next."""

LINES_AROUND: Final = 2
"""Lines shown before a stop that is itself numbered."""


class TactileTooSmall(FillcardsError):
    """The paper cannot hold the scale enlarged enough; the message says what was needed and what there is."""


@dataclass(frozen=True, slots=True)
class Piece:
    """Part of a scale on one page.

    Attributes:
        first, last: values at its ends.
        every: from one line that is shown to the next.
        numbered_every: from one number that is shown to the next.
        magnification: of the real scale, to a tenth.
        value_mm: millimetres that 1 of the scale's own numbers takes.
    """

    first: Fraction
    last: Fraction
    every: Fraction
    numbered_every: Fraction
    magnification: Fraction
    value_mm: float

    def locate(self, value: Fraction) -> float:
        """Distance from the piece's first line."""
        return float(value - self.first) * self.value_mm

    @property
    def length_mm(self) -> float:
        """First line to last line."""
        return self.locate(self.last)

    @property
    def values(self) -> tuple[Fraction, ...]:
        """Of the lines it shows, but for stops between them."""
        start = math.ceil(self.first / self.every)
        return tuple(self.every * number for number in range(start, math.floor(self.last / self.every) + 1))


def choose_pieces(
    syringe: Syringe, stops: tuple[Fraction, ...], style: TactileStyle, height_mm: float
) -> tuple[Piece, ...]:
    """The barrel on one page if its stops come far enough apart, else in pieces up to the last stop.

    Args:
        syringe: whose scale.
        stops: the lines where the plunger stops, in order.
        style: says how far apart lines must stand.
        height_mm: of the picture on each page.

    Raises:
        TactileTooSmall: not even one numbered step fits on a page.
    """
    room_mm = height_mm - measure_lead_mm(style) - measure_tail_mm(style)
    apart_mm = style.gap_mm + STOP_MM
    needed_mm = max(apart_mm / float(stop - before) for before, stop in pairwise((Fraction(0), *stops)))
    whole = _floor_magnification(room_mm / float(syringe.last_line), syringe)
    if whole >= 1 and _measure_value_mm(whole, syringe) >= needed_mm:
        return (_make_piece(syringe, Fraction(0), syringe.last_line, whole, style),)
    magnification = Fraction(math.ceil(10 * _measure_magnification(needed_mm, syringe)), 10)
    value_mm = _measure_value_mm(magnification, syringe)
    step = syringe.numbered_every * math.floor(room_mm / (value_mm * float(syringe.numbered_every)))
    if step <= 0:
        needed = float(syringe.numbered_every) * value_mm
        raise TactileTooSmall(f"{needed:.0f} mm from one number of the scale to the next, on {room_mm:.0f} mm of room")
    pieces: list[Piece] = []
    first = Fraction(0)
    while not pieces or first < stops[-1]:
        last = min(first + step, syringe.last_line)
        # The last piece reaches back over the one before: a short one would have too few numbers to count from.
        piece = _make_piece(syringe, max(last - step, Fraction(0)), last, magnification, style)
        every = syringe.line_every if _holds_every_line(syringe, value_mm, style) else piece.every
        pieces.append(replace(piece, every=every))
        first = last
    return tuple(pieces)


def choose_close_up(syringe: Syringe, draw: Draw, style: TactileStyle, height_mm: float) -> Piece:
    """Every line from the last number before a stop to just past it, as far apart as the page allows, up to 16 mm.

    Raises:
        TactileTooSmall: the lines would stand nearer than fingers can tell apart.
    """
    every, stop = syringe.line_every, draw.stop_line
    first = draw.count.from_number if draw.count.lines else max(stop - LINES_AROUND * every, Fraction(0))
    last = min(stop + every, syringe.last_line)
    gaps = int((last - first) / every)
    room_mm = height_mm - measure_lead_mm(style) - measure_tail_mm(style)
    least_mm = style.gap_mm + (STOP_MM + SCALE_LINE_MM) / 2
    pitch_mm = min(room_mm / gaps, MOST_PITCH_MM)
    magnification = _floor_magnification(pitch_mm / float(every), syringe)
    value_mm = _measure_value_mm(magnification, syringe)
    if value_mm * float(every) < least_mm:
        raise TactileTooSmall(f"{gaps * least_mm:.0f} mm for {gaps + 1} lines up close, on {room_mm:.0f} mm of room")
    numbered = _choose_numbered(syringe.numbered_every, value_mm, style)
    return Piece(first, last, every, numbered, magnification, value_mm)


def measure_lead_mm(style: TactileStyle) -> float:
    """From the top of the picture to the first line: needle, end of the barrel and the gap to its zero line."""
    return max(NEEDLE_MM + OUTLINE_MM + style.gap_mm + STOP_MM / 2, measure_label_mm(style))


def measure_tail_mm(style: TactileStyle) -> float:
    """From the last line to the foot of the picture."""
    return max(style.gap_mm + STOP_MM / 2 + WALL_PAST_LAST_MM + OUTLINE_MM / 2, measure_label_mm(style))


def measure_label_mm(style: TactileStyle) -> float:
    """Height of what stands beside a stop."""
    return DIGIT_HEIGHT_MM if style.raised_digits else style.cell_height_mm


def _make_piece(
    syringe: Syringe, first: Fraction, last: Fraction, magnification: Fraction, style: TactileStyle
) -> Piece:
    value_mm = _measure_value_mm(magnification, syringe)
    every = _choose_numbered(syringe.numbered_every, value_mm, style)
    return Piece(first, last, every, every, magnification, value_mm)


def _holds_every_line(syringe: Syringe, value_mm: float, style: TactileStyle) -> bool:
    return float(syringe.line_every) * value_mm >= style.gap_mm + (STOP_MM + SCALE_LINE_MM) / 2


def _choose_numbered(numbered_every: Fraction, value_mm: float, style: TactileStyle) -> Fraction:
    """The scale's numbered step, or every 2nd, 5th ... number where braille numbers would stand too near each other."""
    least_mm = style.cell_height_mm + style.label_gap_mm
    steps = (numbered_every * many for many in (1, 2, 5, 10, 20, 50))
    return next((step for step in steps if float(step) * value_mm >= least_mm), numbered_every * 100)


def _get_real_mm(syringe: Syringe) -> Fraction:
    return syringe.scale_length_mm or syringe.shortest_scale_length_mm


def _measure_value_mm(magnification: Fraction, syringe: Syringe) -> float:
    return float(magnification * _get_real_mm(syringe) / syringe.last_line)


def _measure_magnification(value_mm: float, syringe: Syringe) -> float:
    return value_mm * float(syringe.last_line / _get_real_mm(syringe))


def _floor_magnification(value_mm: float, syringe: Syringe) -> Fraction:
    """To a tenth, so that what is said of it is exact."""
    return Fraction(math.floor(10 * _measure_magnification(value_mm, syringe) + 1e-9), 10)
