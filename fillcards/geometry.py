"""The barrel in millimetres: bore, every line's place, which line is long or numbered, and how to count to it.

Conventions: distances run along the barrel from the zero line, growing away from the needle; the bore is constant
over the scale, so distance is proportional to volume. Values on the scale are exact ``Fraction`` in the scale's own
numbers (units, or mL); millimetres are ``float``. Knows nothing of doses, pictures or paper.

Sources: the zero line, graduation lines and nominal-capacity line are named in ISO 8537:2007 (3.1 and figure 1). The
reading edge is the full-width ring of the stopper nearest the needle (see DEVELOPERS.md). That a numbered line is a
long one and that short lines stand between is common practice, no source.
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import lru_cache
from typing import Final, NamedTuple

from fillcards.quantities import write_number
from fillcards.regimen.model import Syringe

MM3_PER_ML: Final = 1000


class ScaleLine(NamedTuple):
    """One graduation line. ``number`` is ``None`` on a line without a number."""

    value: Fraction
    distance_mm: float
    is_long: bool
    number: str | None


class LineCount(NamedTuple):
    """How to find a line on the scale: from the nearest number below it, count lines away from the needle.

    Attributes:
        value: the line meant.
        from_number: the number at or below the line (0 is the zero line).
        lines: how many lines past that number; 0 when the line itself is numbered.
        line_every: what one line is worth.
        all_short: whether every line counted over, the last included, is a short one; ``False`` when none is counted.
        all_long: likewise a long one.
    """

    value: Fraction
    from_number: Fraction
    lines: int
    line_every: Fraction
    all_short: bool
    all_long: bool = False


def measure_bore_mm(capacity_ml: Fraction | float, scale_length_mm: Fraction | float) -> float:
    """Inner diameter of a barrel that holds ``capacity_ml`` over ``scale_length_mm``.

    Args:
        capacity_ml: volume between the zero line and the last line.
        scale_length_mm: distance between the same two lines.

    Raises:
        ValueError: unless both are above 0.

    Source: volume of a cylinder, V = pi d^2 / 4 L; that the bore is constant is our assumption.
    """
    if capacity_ml <= 0 or scale_length_mm <= 0:
        raise ValueError(f"a barrel of {capacity_ml} mL over {scale_length_mm} mm has no bore")
    return math.sqrt(4 * MM3_PER_ML * float(capacity_ml) / (math.pi * float(scale_length_mm)))


def place_lines(syringe: Syringe, scale_length_mm: Fraction | float) -> tuple[ScaleLine, ...]:
    """Every line of the scale, the zero line first, each with its distance from the zero line in mm."""
    length_mm = float(scale_length_mm)
    return tuple(
        [ScaleLine(value, share * length_mm, long, number) for value, share, long, number in _list_lines(syringe)]
    )


def is_on_line(syringe: Syringe, value: Fraction) -> bool:
    """Whether a stop at ``value`` falls on a printed line past the zero line, the last line included."""
    return 0 < value <= syringe.last_line and value % syringe.line_every == 0


def is_numbered(syringe: Syringe, value: Fraction) -> bool:
    """Whether the line at ``value`` carries a number; the zero line counts as numbered."""
    return value % syringe.numbered_every == 0


def is_long(syringe: Syringe, value: Fraction) -> bool:
    """Whether the line at ``value`` is a long one; numbered lines always are."""
    return is_numbered(syringe, value) or value % syringe.long_every == 0


def count_to(syringe: Syringe, value: Fraction) -> LineCount:
    """How to count to a line: from the nearest number at or below it, away from the needle.

    Raises:
        ValueError: if ``value`` is not on a printed line; nothing is rounded to one.
    """
    if not is_on_line(syringe, value):
        raise ValueError(f"{value} is not on a line of this scale: a line every {syringe.line_every}")
    counted = []
    line = value
    while not is_numbered(syringe, line):
        counted.append(line)
        line -= syringe.line_every
    longs = sum(is_long(syringe, passed) for passed in counted)
    all_short, all_long = bool(counted) and not longs, 0 < longs == len(counted)
    return LineCount(value, line, len(counted), syringe.line_every, all_short, all_long)


@lru_cache(maxsize=32)
def _list_lines(syringe: Syringe) -> tuple[tuple[Fraction, float, bool, str | None], ...]:
    """Of each line: value, part of the scale's length, whether it is long, number. Of any length, hence the cache."""
    values = (index * syringe.line_every for index in range(syringe.last_line // syringe.line_every + 1))
    return tuple(
        (
            value,
            float(value / syringe.last_line),
            is_long(syringe, value),
            write_number(value) if is_numbered(syringe, value) else None,
        )
        for value in values
    )
