"""A finished card of unknown origin: what its words say and what its barrels show, measured; or against a regimen file.

Without the file nothing is known of the syringe, so a barrel is read with each step of the catalogue's scales until
lines and numbers agree. Lengths in mm; values in the scale's own numbers.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from fillcards.catalogue.scales import load_scales
from fillcards.readback.blocks import read_blocks
from fillcards.readback.gate import Making, find_differences, look
from fillcards.readback.marks import PageMarks
from fillcards.readback.model import UnreadableCard
from fillcards.readback.entries import require_plain_entries
from fillcards.readback.parts import Box, Region, box_of, cut_region, is_outline, is_solid
from fillcards.readback.pictures import read_points
from fillcards.readback.regimen_text import NotUnderstood, read_facts
from fillcards.readback.scales import TURNS, Scale, read_scale
from fillcards.readback.sides import ROUNDED
from fillcards.readback.words import DARK

LEAST_FRAME_MM = 40.0


class Barrel(NamedTuple):
    """A whole barrel.

    Attributes:
        last: number of its last line.
        line_every: from one line to the next.
        edge: where the stopper's reading edge stands.
        wedges: where the wedges beside it point, from the needle on.
    """

    last: Fraction
    line_every: Fraction
    edge: float
    wedges: tuple[float, ...]


class MeasuredSide(NamedTuple):
    """One side: its words, block by block in the file's order, and its barrels."""

    words: tuple[str, ...]
    barrels: tuple[Barrel, ...]


class Measured(NamedTuple):
    """A whole file.

    Attributes:
        faults: what does not look as the file says.
        differences: from the regimen file; ``None`` if none was given.
    """

    title: str
    sides: tuple[MeasuredSide, ...]
    faults: tuple[str, ...]
    differences: tuple[str, ...] | None = None


def measure_pdf(data: bytes) -> Measured:
    """Read a card.

    Raises:
        UnreadableCard: it is none, or does what no card does, such as opening an address.
    """
    require_plain_entries(data)
    seen = look(data)
    sides = tuple(MeasuredSide(tuple(_list_words(side)), tuple(_list_barrels(side))) for side in seen.sides)
    if not any(side.barrels for side in sides):
        raise UnreadableCard("no barrel is on it that can be measured")
    return Measured(seen.title[0], sides, tuple(seen.faults))


def compare_pdf(data: bytes, text: str, syringes: str | None) -> tuple[str, ...]:
    """Every difference between a card and a regimen file, in whichever form there are fewest.

    Raises:
        UnreadableCard: it is no card, or the file is no regimen.
    """
    try:
        facts = read_facts(text, syringes)
        fewest: tuple[str, ...] | None = None
        for form in ("fridge", "small", "raised"):
            try:
                found = find_differences(data, facts, Making(form))
            except UnreadableCard:
                if form == "fridge":
                    raise
                continue
            if not found:
                return ()
            fewest = found if fewest is None or len(found) < len(fewest) else fewest
    except NotUnderstood as error:
        raise UnreadableCard(f"the regimen file cannot be read a second time: {error}") from error
    return fewest or ()


def _list_words(side: PageMarks) -> Iterator[str]:
    for block in read_blocks(side.runs):
        yield " ".join(word.text for word in block.words)


def _list_barrels(side: PageMarks) -> Iterator[Barrel]:
    """Of each frame that holds a plate of order words; else of what stands at the right of all plates."""
    light = [run for run in side.runs if run.level > DARK]
    plates = [
        box_of(shape)
        for shape in side.shapes
        if is_solid(shape, ROUNDED) and any(box_of(shape).holds(run.x_mm, run.y_mm) for run in light)
    ]
    frames = [box_of(shape) for shape in side.shapes if is_outline(shape, ROUNDED)]
    large = [each for each in frames if min(each.right - each.left, each.bottom - each.top) > LEAST_FRAME_MM]
    panels = [
        frame._replace(top=plate.bottom)
        for frame in large
        for plate in plates
        if abs(plate.left - frame.left) < 2.0 and abs(plate.top - frame.top) < 2.0
    ]
    if not panels and plates:
        narrow = min(plate.right for plate in plates)
        panels = [Box(narrow, 0.0, side.width_mm, side.height_mm)]
    for box in panels:
        barrel = _measure_barrel(cut_region(box, side.strokes, side.shapes), side)
        if barrel:
            yield barrel


def _measure_barrel(region: Region, side: PageMarks) -> Barrel | None:
    shapes = tuple(s for s in region.shapes if not (is_outline(s, ROUNDED) or is_solid(s, ROUNDED)))
    region = region._replace(shapes=shapes)
    runs = [run for run in side.runs if region.box.holds(run.x_mm, run.y_mm)]
    for line_every in _list_steps():
        for turn in TURNS.values():
            scale = read_scale(region, runs, turn, line_every)
            if scale and scale.edge is not None:
                wedges = sorted(_find_value(scale, turn(point.x, point.y)[0]) for point in read_points(region))
                return Barrel(scale.last, line_every, scale.edge, tuple(wedges))
    return None


def _find_value(scale: Scale, along: float) -> float:
    start, first, _ = scale.lines[0]
    return float(first) + (along - start) / scale.value_mm


@lru_cache(maxsize=1)
def _list_steps() -> tuple[Fraction, ...]:
    return tuple(dict.fromkeys(Fraction(scale.line_every) for scale in load_scales()))
