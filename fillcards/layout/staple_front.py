"""The front of a small card: the stops in large figures, with the enlarged barrel beside them where both have room.

The figures grow only as far as they take no room from the words that follow. What the front cannot hold goes on
overleaf, from the end; the stops never do.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from fillcards.card.model import Block, FillSheets, Heading, Paragraph, Stop
from fillcards.layout.flow import measure_parts_mm
from fillcards.layout.parts import Part
from fillcards.layout.staple_picture import fit_last_barrel, join_columns, measure_barrel_mm, set_above_words
from fillcards.layout.staple_sides import SmallSides, set_facts
from fillcards.layout.stops import fits_beside, measure_figure_mm, set_stop
from fillcards.regimen.model import BarrelDirection

FIGURE_SIZES_PT: Final = (42.0, 48.0, 54.0, 60.0, 66.0, 72.0, 84.0, 96.0)
"""The first is more than three times the least type, so that nothing else on the card looks like a figure."""

WANTED_FIGURE_PT: Final = 60.0
"""Up to this size the figures may take room from the words that follow, where the front has it."""

LEAST_STOPS_MM: Final = 62.0
"""Narrower than this a column of stops breaks its words into too many lines: the barrel goes on the next side."""

WIDER_MM: Final = 5.0
"""A barrel that grows to the height of the words beside it may become so much wider than it must be."""


@dataclass(frozen=True, slots=True)
class Front:
    """What stands under the fill's name on the first side.

    Attributes:
        rest: blocks that found no room there, to begin overleaf.
    """

    parts: list[Part]
    has_barrel: bool = False
    rest: tuple[Block, ...] = ()


def set_front(fill: FillSheets, sides: SmallSides) -> Front | None:
    """The first side; ``None`` if it cannot hold the stops.

    Raises:
        TextTooWide: a number does not fit on one line.
    """
    is_upright = fill.barrels.direction is BarrelDirection.NEEDLE_UP
    for set_whole in (_set_beside_barrel if is_upright else _set_over_barrel, _set_without_barrel):
        before = sides.mark_place()
        parts = set_whole(fill, sides)
        if parts is not None:
            return Front(parts, set_whole is not _set_without_barrel)
        sides.go_back(before)
    return _set_stops_first(fill, sides)


def _set_stops_first(fill: FillSheets, sides: SmallSides) -> Front | None:
    """The stops in the least figures, and below them as much as there is room for."""
    above, stops, below = split_front(fill)
    _choose_figure(sides, FIGURE_SIZES_PT[0])
    parts = [*set_facts(above, sides), *_set_stops(stops, sides, sides.width_mm)]
    if measure_parts_mm(parts) > sides.room_mm:
        return None
    for count in range(len(below), 0, -1):
        before = sides.mark_place()
        more = set_facts(below[:count], sides)
        if measure_parts_mm([*parts, *more]) <= sides.room_mm:
            return Front([*parts, *more], rest=below[count:])
        sides.go_back(before)
    return Front(parts, rest=below)


def split_front(fill: FillSheets) -> tuple[tuple[Block, ...], tuple[Stop, ...], tuple[Block, ...]]:
    """What stands above the stops, the stops, and what stands below them; without the fill's name."""
    blocks = tuple(block for block in fill.front if not (isinstance(block, Heading) and block.level == 1))
    stops = tuple(block for block in blocks if isinstance(block, Stop))
    position = blocks.index(stops[0])
    return blocks[:position], stops, blocks[position + len(stops) :]


def _set_without_barrel(fill: FillSheets, sides: SmallSides) -> list[Part] | None:
    """The whole front, its figures as large as its room allows."""
    return _set_across(fill, sides, sides.room_mm)


def _set_over_barrel(fill: FillSheets, sides: SmallSides) -> list[Part] | None:
    """The whole front with the barrel lying below it."""
    barrels = fill.barrels
    width_mm, height_mm = measure_barrel_mm(barrels)
    if width_mm > sides.width_mm:
        return None
    words_mm = _measure_scratch_mm((Paragraph(barrels.captions[-1]),), sides)
    parts = _set_across(fill, sides, sides.room_mm - height_mm - WIDER_MM - words_mm - 3 * sides.sizes.gap_mm)
    room_mm = sides.width_mm, height_mm + WIDER_MM
    figure = None if parts is None else fit_last_barrel(barrels, *room_mm, is_draft=sides.is_draft)
    if parts is None or figure is None:
        return None
    return [*parts, *set_above_words(figure, barrels.captions[-1], sides)]


def _set_beside_barrel(fill: FillSheets, sides: SmallSides) -> list[Part] | None:
    """Stops and what follows them in the left column, the barrel in the right, as tall as the taller of both."""
    barrels, words = fill.barrels, Paragraph(fill.barrels.captions[-1])
    least_width_mm, least_height_mm = measure_barrel_mm(barrels)
    above, stops, below = split_front(fill)
    column_mm = sides.width_mm - 2.5 * sides.sizes.gap_mm - least_width_mm - WIDER_MM
    if column_mm < LEAST_STOPS_MM:
        return None
    words_mm = _measure_scratch_mm((words,), sides)
    above_parts = set_facts(above, sides)
    room_mm = sides.room_mm - measure_parts_mm(above_parts) - words_mm - 2 * sides.sizes.group_gap_mm
    if least_height_mm > room_mm:
        return None
    before = sides.mark_place()
    column = _set_stops_and_below(stops, below, sides, column_mm, least_height_mm)
    if column is None or sides.sizes.figure_pt < WANTED_FIGURE_PT:
        sides.go_back(before)
        column = _set_stops_and_below(stops, below, sides, column_mm, room_mm, WANTED_FIGURE_PT)
    if column is None:
        return None
    room = least_width_mm + WIDER_MM, max(least_height_mm, measure_parts_mm(column))
    figure = fit_last_barrel(barrels, *room, is_draft=sides.is_draft)
    return None if figure is None else [*above_parts, join_columns(column, figure, sides), *sides.set(words)]


def _set_across(fill: FillSheets, sides: SmallSides, room_mm: float) -> list[Part] | None:
    """All of the front across the whole width."""
    above, stops, below = split_front(fill)
    above_parts = set_facts(above, sides)
    left_mm = room_mm - measure_parts_mm(above_parts) - sides.sizes.group_gap_mm
    rest = _set_stops_and_below(stops, below, sides, sides.width_mm, left_mm)
    return None if rest is None else [*above_parts, *rest]


def _set_stops_and_below(
    stops: tuple[Stop, ...],
    below: tuple[Block, ...],
    sides: SmallSides,
    width_mm: float,
    room_mm: float,
    most_pt: float = FIGURE_SIZES_PT[-1],
) -> list[Part] | None:
    """Stops with the largest figures, up to ``most_pt``, that fit the room together with what stands below them.

    ``None`` if not even the least do. Stops grow with their figures, so that halving the choices finds the largest.
    """
    before = sides.mark_place()
    below_mm = _measure_scratch_mm(below, sides, width_mm)

    def try_figure(index: int) -> list[Part] | None:
        sides.go_back(before)
        _choose_figure(sides, FIGURE_SIZES_PT[index])
        if any(measure_figure_mm(sides.setter, stop) > width_mm for stop in stops):
            return None
        parts = _set_stops(stops, sides, width_mm)
        return parts if measure_parts_mm(parts) + below_mm <= room_mm else None

    low, high, tried = 0, FIGURE_SIZES_PT.index(most_pt), 0
    best = try_figure(low)
    if best is None:
        sides.go_back(before)
        return None
    while low < high:
        tried = (low + high + 1) // 2
        parts = try_figure(tried)
        low, high, best = (low, tried - 1, best) if parts is None else (tried, high, parts)
    if tried != low:
        best = try_figure(low) or best
    return [*best, *set_facts(below, sides, width_mm)]


def _choose_figure(sides: SmallSides, figure_pt: float) -> None:
    sides.setter.sizes = replace(sides.sizes, figure_pt=figure_pt)


def _measure_scratch_mm(blocks: tuple[Block, ...], sides: SmallSides, width_mm: float | None = None) -> float:
    """Height of blocks that are to be set later, with the space above them."""
    before = sides.mark_place()
    parts = set_facts(blocks, sides, width_mm)
    sides.go_back(before)
    return measure_parts_mm(parts) + parts[0].space_before_mm if parts else 0.0


def _set_stops(stops: tuple[Stop, ...], sides: SmallSides, width_mm: float) -> list[Part]:
    """All with their words beside the figures, or all with them below."""
    words_beside = all(fits_beside(sides.setter, stop, width_mm) for stop in stops)
    parts: list[Part] = []
    for stop in stops:
        done = set_stop(sides.setter, stop, width_mm, words_beside=words_beside)
        sides.elements += done.elements
        parts += done.parts
    return parts
