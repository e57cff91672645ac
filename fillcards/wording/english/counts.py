"""How to count to a line, away from the needle: from the number before it, line by line.

Knows the scale and what it counts for a medicine; knows nothing of the picture beside the words.
"""

from __future__ import annotations

from fillcards.geometry import LineCount
from fillcards.quantities import write_number
from fillcards.regimen.model import Medicine, Syringe
from fillcards.wording.english.amounts import write_line_every
from fillcards.wording.english.labels import tip


def write_count(count: LineCount, medicine: Medicine, syringe: Syringe) -> tuple[str, ...]:
    """One sentence each: ``3 short lines past 15.`` and ``Each line is 1 unit.``; or where the number itself stands."""
    if count.lines == 0:
        return (f"It is the line with the number {write_number(count.value)}.",)
    return (f"{write_place(count).capitalize()}.", write_line_every(medicine, syringe))


def write_place(count: LineCount) -> str:
    """Where a line is, as part of a sentence: ``3 short lines past 15``, ``the line with the number 15``."""
    if count.lines == 0:
        return f"the line with the number {write_number(count.value)}"
    size = "short " if count.all_short else ""
    lines = f"1 {size}line" if count.lines == 1 else f"{count.lines} {size}lines"
    start = write_number(count.from_number) if count.from_number else "the zero line"
    return f"{lines} past {start}" + ("" if count.all_short else ", short and long")


def write_how_to_read(medicine: Medicine) -> tuple[str, ...]:
    """Which way to count, and which edge of the stopper is read."""
    end = tip(medicine)
    return (
        f"Count away from the {end}.",
        f"Read at the edge of the stopper nearest the {end}.",
    )
