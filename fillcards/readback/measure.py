"""What the marks of a card mean, without its file: the words of each side, and what each barrel shows."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final, NamedTuple

from fillcards.readback.blocks import read_blocks
from fillcards.readback.gate import look
from fillcards.readback.marks import PageMarks
from fillcards.readback.parts import Box, box_of, cut_region, is_outline
from fillcards.readback.scales import TURNS, read_scale

LEAST_BARREL_MM: Final = 40.0
AROUND_MM: Final = 20.0


class Barrel(NamedTuple):
    """One whole barrel: its scale, where its stopper's edge stands on it, and what is in it.

    ``portions`` are fillings with the values from which and up to which their ink reaches, as an eye reads them.
    """

    first: Fraction
    last: Fraction
    edge: float | None
    portions: tuple[tuple[str, float, float], ...]


class SideMeaning(NamedTuple):
    """One side: its words block by block, its barrels, and what does not look as it reads."""

    number: int
    words: tuple[str, ...]
    barrels: tuple[Barrel, ...]
    faults: tuple[str, ...]


class Meaning(NamedTuple):
    """A whole file."""

    title: str
    language: str
    sides: tuple[SideMeaning, ...]


def measure(data: bytes) -> Meaning:
    """What a finished card says.

    Args:
        data: a whole PDF. Bytes from elsewhere belong into ``foreign.measure_foreign``.

    Raises:
        UnreadableCard: it is no card, or cannot be read for certain.
        OutputError: the typeface is not installed.
    """
    seen = look(data)
    sides = []
    for marks in seen.sides:
        words = tuple(" ".join(word.text for word in block) for block in read_blocks(marks))
        own = f"page {marks.number}: "
        faults = tuple(fault.removeprefix(own) for fault in seen.faults if fault.startswith(own))
        sides.append(SideMeaning(marks.number, words, tuple(_list_barrels(marks)), faults))
    return Meaning(seen.head.title, seen.head.language, tuple(sides))


def _list_barrels(marks: PageMarks) -> Iterator[Barrel]:
    for shape in marks.shapes:
        box = box_of(shape)
        wide, high = box.right - box.left, box.bottom - box.top
        if not is_outline(shape, 4) or max(wide, high) < LEAST_BARREL_MM:
            continue
        near = Box(box.left - AROUND_MM, box.top - AROUND_MM, box.right + AROUND_MM, box.bottom + AROUND_MM)
        region = cut_region(near, marks.strokes, marks.shapes)
        runs = [run for run in marks.runs if near.holds(run.x_mm, run.y_mm)]
        for name, turn in TURNS.items():
            scale = read_scale(region, runs, turn, None) if (name == "needle_up") is (high > wide) else None
            if scale is not None:
                portions = tuple((each.filling, each.start, each.end) for each in scale.stretches)
                yield Barrel(scale.first, scale.last, scale.edge, portions)
                break
