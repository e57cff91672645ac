"""The section of one fill up to 36 pt: a front, then the steps, on whole sheets.

What a front cannot hold goes on at the head of its other side; its stops never do. Millimetres.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from fillcards.card.model import CardStep, FillCard
from fillcards.layout.facts import set_facts_left
from fillcards.layout.grid import EASE_MM, Piece, silence, stack
from fillcards.layout.model import Box, Element, Page
from fillcards.layout.poster import set_panels
from fillcards.layout.sheet import Sheet
from fillcards.layout.steps import measure_steps_mm, set_steps
from fillcards.layout.styles import Style
from fillcards.picture.scene import SceneKind
from fillcards.wording.messages import Say, say



_ENDS_A_TURN: Final = frozenset((SceneKind.LOOK_AND_WIPE, SceneKind.LOOK, SceneKind.AIR_OUT, SceneKind.CHECK))
"""With these scenes one vial's turn is over: steps are best parted after them."""


class Front(NamedTuple):
    """A front, what of it goes on the other side, and the elements of both in reading order."""

    head: Piece
    body: Piece
    magnet: Box
    spilled: Piece
    elements: tuple[Element, ...]


def set_fill(sheet: Sheet, fill: FillCard, style: Style) -> tuple[list[Page], tuple[Element, ...]] | None:
    """The pages of a fill and their elements; ``None`` where it does not fit in this style."""
    for front in _list_fronts(sheet, fill, style):
        head = sheet.running_head(fill.title, fill.running, _point_out(sheet))
        room_mm = sheet.measure_room_mm(head, sheet.running_foot())
        sides = _share_steps(sheet, fill.steps, front.spilled, room_mm, style)
        if sides is not None:
            return _make_pages(sheet, fill, style, front, room_mm, sides)
    return None


def _list_fronts(sheet: Sheet, fill: FillCard, style: Style) -> Iterator[Front]:
    """The front with all of its own; where that does not fit, the fullest one that does."""
    head, magnet = sheet.front_head()
    room_mm = sheet.measure_room_mm(head, sheet.front_foot())
    setter, body_pt, width_mm = sheet.setter, sheet.body_pt, sheet.live_mm
    above = [setter.line(each, body_pt, width_mm, bold=True) for each in fill.above]
    news = [setter.text(each, body_pt, width_mm, bold=True) for each in fill.news]
    below = [setter.line(each, body_pt, width_mm) for each in fill.below]
    sums = [setter.text(panel.sum, body_pt, width_mm) for panel in fill.panels if panel.sum]
    most = len(below) + 1 + len(above) if style.may_spill else 0
    for spilled in range(most + 1):
        kept_below = below[: max(len(below) - spilled, 0)]
        has_sum = spilled <= len(below)
        kept_above = above[: len(above) - max(spilled - len(below) - 1, 0)]
        top = stack([*kept_above, *news])
        foot = stack(kept_below)
        used_mm = sum(piece.height_mm + sheet.gap_mm for piece in (top, foot) if piece.height_mm)
        if style.is_poster:
            panels = set_panels(sheet, fill.panels, room_mm - used_mm)
        else:
            panels = set_facts_left(sheet, fill, room_mm - used_mm, has_sum=has_sum)
        if panels is None:
            continue
        rest_above, rest_sum, rest_below = stack(above[len(kept_above) :]), stack([] if has_sum else sums), stack(below[len(kept_below) :])
        ordered = (head, top, rest_above, panels, rest_sum, foot, rest_below)
        yield Front(
            head,
            stack((top, panels, foot), sheet.gap_mm),
            magnet,
            stack((rest_above, rest_sum, rest_below)),
            tuple(element for piece in ordered for element in piece.elements),
        )


def _share_steps(
    sheet: Sheet, steps: Sequence[CardStep], spilled: Piece, room_mm: float, style: Style
) -> list[Sequence[CardStep]] | None:
    """The steps of each side after the front: as few sides as make whole sheets with it, parted where a vial's turn
    is over if they can be."""
    first_mm = room_mm - (spilled.height_mm + 2 * sheet.gap_mm if spilled.height_mm else 0.0)
    for count in range(1, style.most_sides, 2):
        best: tuple[int, list[Sequence[CardStep]]] | None = None
        for sides in _list_partitions(steps, count):
            if any(
                measure_steps_mm(sheet, side, style.step_columns) > (room_mm if index else first_mm) + EASE_MM
                for index, side in enumerate(sides)
            ):
                continue
            broken = sum(side[-1].scene.kind not in _ENDS_A_TURN for side in sides[:-1])
            uneven = max(map(len, sides)) - min(map(len, sides))
            if best is None or 10 * broken + uneven < best[0]:
                best = 10 * broken + uneven, sides
        if best:
            return best[1]
    return None


def _list_partitions(steps: Sequence[CardStep], count: int) -> Iterator[list[Sequence[CardStep]]]:
    """Every way to share steps out over so many sides, in order, none empty."""
    if count == 1:
        yield [steps]
        return
    for first in range(1, len(steps) - count + 2):
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
        rows = set_steps(sheet, side, own_mm, style.step_columns)
        if rows is None:
            raise ValueError("steps that were measured to fit")
        head = silence(sheet.running_head(fill.title, fill.running, _point_out(sheet), number, count))
        body = stack((spilled, rows), 2 * sheet.gap_mm)
        pages.append(sheet.make_page(head, body, silence(sheet.running_foot()), style.steps_name))
        elements += rows.elements
    return pages, tuple(elements)


def _point_out(sheet: Sheet) -> Say:
    return say("wrong-other-sheet", text=sheet.card.vials.title)
