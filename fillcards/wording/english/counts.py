"""How to count to a line, away from the needle: from the number before it, line by line.

Knows the scale and what it counts for a medicine; knows nothing of the picture beside the words.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from fillcards.geometry import LineCount
from fillcards.quantities import write_number
from fillcards.regimen.model import Medicine, Syringe
from fillcards.wording.english.amounts import write_line_every
from fillcards.wording.english.labels import tip

HALF: Final = Fraction(1, 2)


def write_count(count: LineCount, medicine: Medicine, syringe: Syringe) -> tuple[str, ...]:
    """One sentence each: ``3 short lines past 15.`` and ``Each line is 1 unit.``; or where the number itself stands."""
    if count.lines == 0:
        return (f"It is the line with the number {write_number(count.value)}.",)
    return (f"{write_place(count).capitalize()}.", write_line_every(medicine, syringe))


def write_place(count: LineCount) -> str:
    """Where a line is, as part of a sentence: ``3 short lines past 15``, ``the line with the number 15``.

    Barrels with half-unit lines differ in which of them they make longer, so that no length is named there.
    """
    if count.lines == 0:
        return f"the line with the number {write_number(count.value)}"
    if count.line_every == HALF:
        return f"{'1 line' if count.lines == 1 else f'{count.lines} lines'} past {_write_start(count)}"
    size = "short " if count.all_short else "long " if count.all_long else ""
    lines = f"1 {size}line" if count.lines == 1 else f"{count.lines} {size}lines"
    return f"{lines} past {_write_start(count)}" + ("" if size else ", short and long")


def _write_start(count: LineCount) -> str:
    return write_number(count.from_number) if count.from_number else "the zero line"


def write_how_to_read(medicine: Medicine, syringe: Syringe) -> tuple[str, ...]:
    """Which way to count, which lines, where their lengths may mislead, and which edge of the stopper is read."""
    end = tip(medicine)
    return (
        f"Count away from the {end}.",
        *(("Count every line, short or long.",) if syringe.line_every == HALF else ()),
        f"Read at the edge of the stopper nearest the {end}.",
    )
