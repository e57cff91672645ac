"""The one picture of a small card: the enlarged barrel of the last draw, which shows both stops.

Where twice the standard's shortest scale fits on no side of the card, the lines round each stop are shown instead.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from fillcards.card.model import Barrels, Block, Figure, FigurePair, FillSheets, Paragraph
from fillcards.layout.barrels import LEAST_ENLARGEMENT, choose_scale_length_mm
from fillcards.layout.blocks import make_band, set_block
from fillcards.layout.flow import measure_parts_mm
from fillcards.layout.parts import Part, move_placed, stack_parts
from fillcards.layout.staple_sides import SmallSides, set_facts
from fillcards.picture.barrel import draw_barrel, measure_barrel_size_mm
from fillcards.picture.close_up import draw_close_up
from fillcards.picture.items import Drawing
from fillcards.regimen.model import BarrelDirection
from fillcards.wording.english import alt

MOST_ENLARGEMENT: Final = 3.0
"""Of a barrel that stands alone: a larger one takes the room of the words."""

LEAST_WORDS_MM: Final = 38.0
"""Narrower than this a column of words beside the picture breaks after every other word."""

CLOSE_UP_HEIGHT_MM: Final = 52.0
CLOSE_UP_WIDTH_MM: Final = 62.0


def measure_barrel_mm(barrels: Barrels, enlargement: float = LEAST_ENLARGEMENT) -> tuple[float, float]:
    """Width and height of the barrel so many times as large as the standard's shortest."""
    return measure_barrel_size_mm(
        barrels.fill,
        barrels.syringe,
        scale_length_mm=enlargement * float(barrels.syringe.shortest_scale_length_mm),
        direction=barrels.direction,
        number_pt=barrels.number_pt,
    )


def fit_last_barrel(barrels: Barrels, width_mm: float, height_mm: float, *, is_draft: bool) -> Figure | None:
    """The last draw's barrel as large as the place allows; ``None`` where twice its size does not fit."""
    length_mm = choose_scale_length_mm(barrels, width_mm, height_mm)
    if length_mm is None:
        return None
    if is_draft:
        enlargement = length_mm / float(barrels.syringe.shortest_scale_length_mm)
        return Figure(Drawing(*measure_barrel_mm(barrels, enlargement), ()), barrels.alts[-1])
    drawing = draw_barrel(
        barrels.fill,
        barrels.syringe,
        len(barrels.alts) - 1,
        scale_length_mm=length_mm,
        direction=barrels.direction,
        number_pt=barrels.number_pt,
    )
    return Figure(drawing, barrels.alts[-1])


def join_columns(column: list[Part], figure: Figure, sides: SmallSides) -> Part:
    """A column of words at the left, the picture at the right edge."""
    height_mm, placed = stack_parts(column)
    done = set_block(sides.setter, figure, figure.drawing.width_mm)
    sides.elements += done.elements
    x_mm = sides.width_mm - figure.drawing.width_mm
    placed += tuple(move_placed(each, x_mm, 0.0) for part in done.parts for each in part.placed)
    return Part(max(height_mm, figure.drawing.height_mm), placed, sides.sizes.group_gap_mm)


def set_above_words(figure: Figure, words: str, sides: SmallSides) -> list[Part]:
    """A picture with its words below it on the same side."""
    parts = sides.set(replace(figure, caption=words))
    return [part._replace(keep_with_next=number < len(parts)) for number, part in enumerate(parts, start=1)]


@dataclass(frozen=True, slots=True)
class SetPicture:
    """The picture apart from the stops.

    Attributes:
        parts: to follow the front, or to fill a side of their own.
        is_side: whether they fill a side of their own, the band among them.
        left: blocks that found no room beside the picture, to follow it.
    """

    parts: list[Part]
    is_side: bool = False
    left: tuple[Block, ...] = ()


def set_picture(fill: FillSheets, rest: tuple[Block, ...], closing: tuple[Block, ...], sides: SmallSides) -> SetPicture:
    """The picture where the front has no room for it.

    Args:
        fill: whose barrel.
        rest: what the front could not hold; goes before the picture.
        closing: the last words of the card; beside an upright barrel if there is room.
        sides: of this card.
    """
    barrels, words = fill.barrels, Paragraph(fill.barrels.captions[-1])
    most_mm = measure_barrel_mm(barrels, MOST_ENLARGEMENT)
    if barrels.direction is BarrelDirection.NEEDLE_UP:
        for is_side, room_mm in ((False, sides.later_room_mm), (sides.band is not None, sides.picture_room_mm)):
            room = sides.width_mm - LEAST_WORDS_MM, min(room_mm, most_mm[1])
            figure = fit_last_barrel(barrels, *room, is_draft=sides.is_draft)
            if figure is not None:
                return _set_beside_words(figure, (rest, (words,), closing), sides, is_side=is_side)
    parts = set_facts(rest, sides)
    if barrels.direction is not BarrelDirection.NEEDLE_UP:
        room = min(sides.width_mm, most_mm[0]), sides.later_room_mm / 2
        figure = fit_last_barrel(barrels, *room, is_draft=sides.is_draft)
        if figure is not None:
            return SetPicture([*parts, *set_above_words(figure, words.text, sides)], left=closing)
    return SetPicture([*parts, *_set_close_ups(barrels, sides), *sides.set(words)], left=closing)


def _set_beside_words(
    figure: Figure, groups: tuple[tuple[Block, ...], ...], sides: SmallSides, *, is_side: bool
) -> SetPicture:
    """The barrel at the right, at its left as much as it is tall; on a side of its own the band first."""
    column_mm = sides.width_mm - figure.drawing.width_mm - 3 * sides.sizes.gap_mm
    column: list[Part] = []
    if is_side and sides.band is not None:
        column.append(make_band(sides.band, sides.sizes.band_pt, column_mm, None))
    for position, group in enumerate(groups):
        if not group:
            continue
        before = sides.mark_place()
        longer = [*column, *set_facts(group, sides, column_mm)]
        if measure_parts_mm(longer) > figure.drawing.height_mm:
            sides.go_back(before)
            left = tuple(block for each in groups[position:] for block in each)
            return SetPicture([join_columns(column, figure, sides)], is_side, left)
        column = longer
    return SetPicture([join_columns(column, figure, sides)], is_side)


def _set_close_ups(barrels: Barrels, sides: SmallSides) -> tuple[Part, ...]:
    """The lines round each stop, side by side where they fit, with how to count to it."""
    fill, syringe = barrels.fill, barrels.syringe
    count = len(fill.draws)
    width_mm = min(CLOSE_UP_WIDTH_MM, (sides.width_mm - 2 * sides.sizes.gap_mm * (count - 1)) / count)
    figures = tuple(
        Figure(
            draw_close_up(
                syringe,
                draw,
                is_total=index == 1,
                width_mm=width_mm,
                height_mm=CLOSE_UP_HEIGHT_MM,
                direction=barrels.direction,
                number_pt=barrels.number_pt,
                is_draft=sides.is_draft,
            ),
            alt.write_close_up_alt(fill, index, syringe),
            alt.write_close_up_caption(fill, index, syringe),
        )
        for index, draw in enumerate(fill.draws)
    )
    return sides.set(FigurePair(figures))
