"""The section of one fill up to 36 pt: a front, then the steps, on whole sheets.

What a front cannot hold goes on at the head of its other side; its stops never do. Millimetres.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from fillcards.card.model import CardStep, FillCard
from fillcards.card.model import Line as CardLine
from fillcards.layout.facts import set_facts_left
from fillcards.layout.grid import EASE_MM, Piece, silence, stack
from fillcards.layout.model import Box, Element, Page
from fillcards.layout.poster import set_panels
from fillcards.layout.sheet import Sheet
from fillcards.layout.steps import measure_steps_mm, set_steps
from fillcards.layout.styles import Style
from fillcards.picture.scene import SceneKind
from fillcards.problems import InternalFault
from fillcards.wording.messages import Say, say



_TOO_FINE: Final = say("too-fine")

_ENDS_A_TURN: Final = frozenset((SceneKind.LOOK_AND_WIPE, SceneKind.LOOK, SceneKind.AIR_OUT, SceneKind.CHECK))
"""With these scenes one vial's turn is over: steps are best parted after them."""


FINE_MM_PER_PT: Final = 0.07
"""A reader needs the lines of a scale so far apart, for each point of type."""


class Front(NamedTuple):
    """A front, what of it goes on the other side, and the elements of both in reading order."""

    head: Piece
    body: Piece
    magnet: Box
    spilled: Piece
    elements: tuple[Element, ...]


def set_fill(sheet: Sheet, fill: FillCard, style: Style) -> tuple[list[Page], tuple[Element, ...]] | None:
    """The pages of a fill and their elements; ``None`` where it does not fit in this style."""
    front = _set_front(sheet, fill, style)
    if front is None:
        return None
    head = sheet.running_head(fill.title, fill.running, _point_out(sheet))
    room_mm = sheet.measure_room_mm(head, sheet.running_foot())
    for share in style.scene_shares:
        scaled = sheet.scale_scenes(share)
        sides = _share_steps(scaled, fill.steps, front.spilled, room_mm, style)
        if sides is not None:
            return _make_pages(scaled, fill, style, front, room_mm, sides)
    return None


def _set_front(sheet: Sheet, fill: FillCard, style: Style) -> Front | None:
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
        below = [setter.line(each, body_pt, width_mm) for each in lines]
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
        rest = stack(above[kept_above:], 0.4 * sheet.gap_mm), _set_rest(sheet, fill, has_sum, has_notes), stack(below[kept_below:], 0.4 * sheet.gap_mm)
        ordered = (head, top, rest[0], panels.piece, rest[1], bottom, rest[2])
        body = stack((top, panels.piece, bottom), sheet.gap_mm)
        return Front(head, body, magnet, stack(rest, 0.4 * sheet.gap_mm), tuple(e for piece in ordered for e in piece.elements))
    return None


def _set_rest(sheet: Sheet, fill: FillCard, has_sum: bool, has_notes: bool) -> Piece:
    """Of the stops, what their front could not hold: how they add up, and how the vials are told apart."""
    setter, body_pt, width_mm = sheet.setter, sheet.body_pt, sheet.live_mm
    rows = [setter.text(panel.sum, body_pt, width_mm) for panel in fill.panels if panel.sum and not has_sum]
    for panel in fill.panels if not has_notes else ():
        if panel.notes:
            rows += [setter.text(each, body_pt, width_mm) for each in (panel.medicine, *panel.notes)]
    return stack(rows)


def _share_steps(
    sheet: Sheet, steps: Sequence[CardStep], spilled: Piece, room_mm: float, style: Style
) -> list[Sequence[CardStep]] | None:
    """The steps of each side after the front: as few sides as make whole sheets with it, parted where a vial's turn
    is over if they can be."""
    first_mm = room_mm - (spilled.height_mm + 2 * sheet.gap_mm if spilled.height_mm else 0.0)
    heights: dict[tuple[int, int], float] = {}

    def measure(side: Sequence[CardStep]) -> float:
        key = side[0].number, len(side)
        if key not in heights:
            heights[key] = measure_steps_mm(sheet, side, style.step_columns)
        return heights[key]

    for count in range(1, style.most_sides, 2):
        best: tuple[int, list[Sequence[CardStep]]] | None = None
        for sides in _list_partitions(steps, count, may_wait=spilled.height_mm > 0):
            first, *later = sides
            fits = first_mm >= -2 * sheet.gap_mm and (not first or measure(first) <= first_mm + EASE_MM)
            if not fits or any(measure(side) > room_mm + EASE_MM for side in later):
                continue
            broken = sum(side[-1].scene.kind not in _ENDS_A_TURN for side in sides[:-1] if side)
            uneven = max(map(len, later or sides)) - min(map(len, later or sides))
            if best is None or 10 * broken + uneven < best[0]:
                best = 10 * broken + uneven, sides
        if best:
            return best[1]
    return None


def _list_partitions(
    steps: Sequence[CardStep], count: int, *, may_wait: bool = False
) -> Iterator[list[Sequence[CardStep]]]:
    """Every way to share steps out over so many sides, in order, none empty but the first, if that may be."""
    if count == 1:
        yield [steps]
        return
    for first in range(0 if may_wait else 1, len(steps) - count + 2):
        for rest in _list_partitions(steps[first:], count - 1):
            yield [steps[:first], *rest]


def _make_pages(
    sheet: Sheet,
    fill: FillCard,
    style: Style,
    front: Front,
    room_mm: float,
    sides: list[Sequence[CardStep]],
) -> tuple[list[Page], tuple[Element, ...]]:
    count = len(sides) + 1
    foot = sheet.front_foot(1, count)
    pages = [sheet.make_page(front.head, front.body, foot, style.name, front.magnet)]
    elements = [*front.elements, *foot.elements]
    for number, side in enumerate(sides, start=2):
        spilled = front.spilled if number == 2 else Piece(0.0, 0.0)
        own_mm = room_mm - (spilled.height_mm + 2 * sheet.gap_mm if spilled.height_mm else 0.0)
        rows = set_steps(sheet, side, own_mm, style.step_columns) if side else Piece(0.0, 0.0)
        if rows is None:
            raise InternalFault("steps that were measured to fit")
        head = silence(sheet.running_head(fill.title, fill.running, _point_out(sheet), number, count))
        body = stack((spilled, rows), 2 * sheet.gap_mm)
        pages.append(sheet.make_page(head, body, silence(sheet.running_foot()), style.steps_name))
        elements += rows.elements
    return pages, tuple(elements)


def _point_out(sheet: Sheet) -> Say:
    return say("wrong-other-sheet", text=sheet.card.vials.title)
