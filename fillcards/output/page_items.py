"""What every output asks of the items of a page: where a run of text begins, whether all of it stands on the paper, and
which runs are one line of type, whose weight may change within it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from fillcards.picture.items import Anchor, Dot, Item, Line, Polygon, Text
from fillcards.problems import InternalFault
from fillcards.typeface import measure_width_mm
from fillcards.typeface.direction import is_right_to_left

EDGE_EASE_MM: Final = 1e-6
"""Float sums may pass the edge of the paper by this much."""
TOUCH_MM: Final = 0.01
"""Two runs this near are one line: no space of any type is as narrow."""
_SHARE_LEFT_OF: Final = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}


def find_left_mm(text: Text) -> float:
    """Where a run begins."""
    share = _SHARE_LEFT_OF[text.anchor]
    return text.x_mm - share * _measure_mm(text) if share else text.x_mm


def require_inside(item: Item, width_mm: float, height_mm: float) -> None:
    """What lies outside is cut off by every reader, so it is refused here.

    Raises:
        InternalFault: something does.
    """
    for x_mm, y_mm in _list_extremes(item):
        # Written so that a value that is not a number fails too.
        if not (-EDGE_EASE_MM <= x_mm <= width_mm + EDGE_EASE_MM and -EDGE_EASE_MM <= y_mm <= height_mm + EDGE_EASE_MM):
            raise InternalFault(f"something stands outside the drawing or off the paper, at ({x_mm}, {y_mm}) mm")


def _list_extremes(item: Item) -> tuple[tuple[float, float], ...]:
    match item:
        case Line():
            return (item.x1_mm, item.y1_mm), (item.x2_mm, item.y2_mm)
        case Polygon():
            return item.points_mm
        case Dot():
            r_mm = item.diameter_mm / 2
            return (item.x_mm - r_mm, item.y_mm - r_mm), (item.x_mm + r_mm, item.y_mm + r_mm)
        case Text():
            left_mm = find_left_mm(item)
            return (left_mm, item.y_mm), (left_mm + _measure_mm(item), item.y_mm)


def follows(text: Text, before: Text) -> bool:
    """Whether a run goes on where another ends, so that nothing, not even a space, stands between them.

    On a line from right to left a run may end at either side; all that stands on it is one text.
    """
    if text.anchor is not Anchor.START or before.anchor is not Anchor.START or text.y_mm != before.y_mm:
        return False
    if is_right_to_left(text.language):
        return text.size_pt == before.size_pt and text.ink is before.ink
    return abs(text.x_mm - before.x_mm - _measure_mm(before)) < TOUCH_MM


def join_runs(items: Iterable[Item]) -> list[str]:
    """The words of each line of type among some items."""
    lines: list[str] = []
    before: Text | None = None
    for text in items:
        if not isinstance(text, Text):
            continue
        if before is not None and follows(text, before):
            lines[-1] += text.text
        else:
            lines.append(text.text)
        before = text
    return lines


def _measure_mm(text: Text) -> float:
    return measure_width_mm(text.text, text.size_pt, text.bold, text.language)
