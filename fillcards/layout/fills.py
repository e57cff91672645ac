"""The section of one fill up to 36 pt: a front, then the steps, on whole sheets.

What a front cannot hold goes on at the head of its other side; its stops never do. Millimetres.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import chain
from typing import Final, NamedTuple

from fillcards.card.model import CardStep, FillCard, WriteIn
from fillcards.card.model import Line as CardLine
from fillcards.layout.facts import set_facts_left
from fillcards.layout.grid import EASE_MM, Piece, flow, stack
from fillcards.layout.model import Box, Element, Page
from fillcards.layout.poster import list_figure_sizes, set_panels
from fillcards.layout.sheet import Sheet
from fillcards.layout.steps import measure_steps_mm, set_steps
from fillcards.layout.styles import Style
from fillcards.picture.scene import SceneKind
from fillcards.problems import InternalFault
from fillcards.typeface import TextTooWide
from fillcards.wording.messages import Say, say

_TOO_FINE: Final = say("too-fine")

_ENDS_A_TURN: Final = frozenset((SceneKind.LOOK_AND_WIPE, SceneKind.LOOK, SceneKind.AIR_OUT, SceneKind.CHECK))
"""With these scenes one vial's turn is over: steps are best parted after them."""


FINE_MM_PER_PT: Final = 0.07
"""A reader needs the lines of a scale so far apart, for each point of type."""


class Front(NamedTuple):
    """A front, what of it goes on the other side, and how far apart its lines are."""

    head: Piece
    body: Piece
    magnet: Box
    spilled: tuple[Piece, ...]
    line_gap_mm: float


def set_fill(sheet: Sheet, fill: FillCard, style: Style) -> tuple[list[Page], tuple[Element, ...]] | None:
    """The pages of a fill and their elements; ``None`` where it does not fit in this style."""
    front = _set_front(sheet, fill, style)
    if front is None:
        return None
    fault: TextTooWide | None = None
    for share, spacing, is_low in style.list_step_sizes(sheet.body_pt):
        scaled = sheet.scale_scenes(share).space_steps(spacing)
        head = sheet.running_head(fill.title, fill.running, _point_out(sheet), is_low=is_low)
        room_mm = sheet.measure_room_mm(head, sheet.running_foot())
        for gap_mm in (0.5 * sheet.gap_mm, 0.0) if front.spilled else (0.0,):
            heads = [stack(side, gap_mm) for side in flow(front.spilled, (room_mm,), gap_mm) or () if side]
            try:
                sides = _share_steps(scaled, fill.steps, heads, room_mm, style)
            except TextTooWide as error:
                fault = error
                continue
            if sides is not None:
                return _make_pages(scaled, fill, style, front, heads, room_mm, sides, is_low=is_low)
    if fault:
        raise fault
    return None


def _set_front(sheet: Sheet, fill: FillCard, style: Style) -> Front | None:
    """The front with figures as large as they can be: rather than a smaller figure, words go on the other side."""
    for figure_pt in list_figure_sizes(sheet, fill.panels):
        sizes = (figure_pt,), (figure_pt,)
        poster = sheet.poster._replace(figures_pt=sizes, long_figures_pt=sizes)
        front = _fill_front(replace(sheet, poster=poster), fill, style)
        if front:
            return front
    return None


def _fill_front(sheet: Sheet, fill: FillCard, style: Style) -> Front | None:
    """The front with all of its own; where that does not fit, the fullest one that does.

    What goes on the other side: what stands below the stops, from its end; the sum; what stands above; what tells the
    vials apart.
    """
    head, magnet = sheet.front_head()
    room_mm = sheet.measure_room_mm(head, sheet.front_foot())
    setter, body_pt, width_mm = sheet.setter, sheet.body_pt, sheet.live_mm
    above = [setter.line(each, body_pt, width_mm, bold=True) for each in fill.above]
    news = [setter.text(each, body_pt, width_mm, bold=True) for each in fill.news]
    lines: tuple[CardLine, ...] = fill.below
    levels = len(lines) + len(above) + 2 if style.may_spill else 0
    level = 0
    while level <= levels:
        below = [
            sheet.call(each, body_pt, bold=False) if _is_call(each) else setter.line(each, body_pt, width_mm)
            for each in lines
        ]
        kept_below = max(len(below) - level, 0)
        has_sum, has_notes = level <= len(below), level < len(below) + len(above) + 2
        kept_above = len(above) - min(max(level - len(below) - 1, 0), len(above))
        top, bottom = stack([*above[:kept_above], *news]), stack(below[:kept_below])
        used_mm = sum(piece.height_mm + sheet.gap_mm for piece in (top, bottom) if piece.height_mm)
        if style.is_poster:
            panels = set_panels(sheet, fill.panels, room_mm - used_mm)
        else:
            panels = set_facts_left(sheet, fill, room_mm - used_mm, has_sum=has_sum, has_notes=has_notes)
        if panels is None:
            level += 1
            continue
        if panels.pitch_mm < FINE_MM_PER_PT * body_pt and _TOO_FINE not in lines:
            lines = (*lines, _TOO_FINE)
            continue
        rest = chain(above[kept_above:], _set_rest(sheet, fill, has_sum, has_notes), below[kept_below:])
        body = stack((top, panels.piece, bottom), sheet.gap_mm)
        return Front(head, body, magnet, tuple(rest), panels.pitch_mm)
    return None


def _is_call(line: CardLine) -> bool:
    """Whether a line says whom to call when not sure."""
    message = line.label if isinstance(line, WriteIn) else line
    return message.id.startswith("unsure")


def _set_rest(sheet: Sheet, fill: FillCard, has_sum: bool, has_notes: bool) -> list[Piece]:
    """Of the stops, what their front could not hold: how they add up, and how the vials are told apart."""
    setter, body_pt, width_mm = sheet.setter, sheet.body_pt, sheet.live_mm
    rows = [setter.text(panel.sum, body_pt, width_mm) for panel in fill.panels if panel.sum and not has_sum]
    noted = [panel for panel in fill.panels if panel.notes and not has_notes]
    return rows + [
        stack([setter.text(each, body_pt, width_mm) for each in (panel.medicine, *panel.notes)]) for panel in noted
    ]


def _share_steps(
    sheet: Sheet, steps: Sequence[CardStep], heads: Sequence[Piece], room_mm: float, style: Style
) -> list[Sequence[CardStep]] | None:
    """The steps of each side after the front: as few sides as make whole sheets with it, parted where a vial's turn
    is over if they can be. The first sides begin with what their front could not hold.
    """
    heights: dict[tuple[int, int], float] = {}

    def fits(index: int, side: Sequence[CardStep]) -> bool:
        if not side:
            return True
        key = side[0].number, len(side)
        if key not in heights:
            heights[key] = measure_steps_mm(sheet, side, style.step_columns)
        return heights[key] <= _measure_left_mm(sheet, heads, index, room_mm) + EASE_MM

    for count in range(1, style.most_sides, 2):
        best: tuple[int, list[Sequence[CardStep]]] | None = None
        for sides in _list_partitions(steps, count, may_wait=len(heads)) if count >= len(heads) else ():
            if not all(fits(index, side) for index, side in enumerate(sides)):
                continue
            broken = sum(side[-1].scene.kind not in _ENDS_A_TURN for side in sides[:-1] if side)
            later = sides[len(heads) :] or sides
            uneven = max(map(len, later)) - min(map(len, later))
            if best is None or 10 * broken + uneven < best[0]:
                best = 10 * broken + uneven, sides
        if best:
            return best[1]
    return None


def _measure_left_mm(sheet: Sheet, heads: Sequence[Piece], index: int, room_mm: float) -> float:
    """Height for steps under what the front could not hold."""
    return room_mm - (heads[index].height_mm + 2 * sheet.gap_mm if index < len(heads) else 0.0)


def _list_partitions(steps: Sequence[CardStep], count: int, may_wait: int) -> Iterator[list[Sequence[CardStep]]]:
    """Every way to share steps out over so many sides, in order; the first ``may_wait`` sides may have none."""
    if count == 1:
        yield [steps]
        return
    for first in range(0 if may_wait else 1, len(steps) - (count - 1 - max(may_wait - 1, 0)) + 1):
        for rest in _list_partitions(steps[first:], count - 1, max(may_wait - 1, 0)):
            yield [steps[:first], *rest]


def _make_pages(
    sheet: Sheet,
    fill: FillCard,
    style: Style,
    front: Front,
    heads: Sequence[Piece],
    room_mm: float,
    sides: list[Sequence[CardStep]],
    *,
    is_low: bool,
) -> tuple[list[Page], tuple[Element, ...]]:
    count = len(sides) + 1
    foot = sheet.front_foot(1, count)
    page = sheet.make_page(front.head, front.body, foot, style.name, front.magnet)
    pages = [page._replace(line_gap_mm=front.line_gap_mm)]
    elements = [*front.head.elements, *front.body.elements, *foot.elements]
    for index, side in enumerate(sides):
        left_mm = _measure_left_mm(sheet, heads, index, room_mm)
        rows = set_steps(sheet, side, left_mm, style.step_columns) if side else Piece(0.0, 0.0)
        if rows is None:
            raise InternalFault("steps that were measured to fit")
        head = sheet.running_head(fill.title, fill.running, _point_out(sheet), index + 2, count, is_low=is_low)
        body, foot = stack((*heads[index : index + 1], rows), 2 * sheet.gap_mm), sheet.running_foot()
        pages.append(sheet.make_page(head, body, foot, style.steps_name))
        elements += (*head.elements, *body.elements, *foot.elements)
    return pages, tuple(elements)


def _point_out(sheet: Sheet) -> Say:
    return say("wrong-other-sheet", text=sheet.card.vials.title)
