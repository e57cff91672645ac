"""Parts: the pieces a page is stacked from, each measured, none yet placed.

A part is unbreakable. Blocks of the card become one or more parts (``blocks``); the flow (``flow``) stacks parts on
pages. Coordinates inside a part start at its own top left corner.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from fillcards.layout.model import Box, Placed
from fillcards.layout.sizes import LINE_PITCH, measure_pitch_mm
from fillcards.picture.items import Text, move_item
from fillcards.quantities import convert_pt_to_mm
from fillcards.typeface import ACCENT_EM, DESCENDER_EM, measure_width_mm


class Part(NamedTuple):
    """Placed things that stay together.

    Attributes:
        space_before_mm: white space above, dropped at the top of a page.
        keep_with_next: the next part must stand on the same page if a page can hold both.
    """

    height_mm: float
    placed: tuple[Placed, ...]
    space_before_mm: float = 0.0
    keep_with_next: bool = False


def move_placed(placed: Placed, dx_mm: float, dy_mm: float) -> Placed:
    """The same thing elsewhere on the page."""
    box = Box(placed.box.x_mm + dx_mm, placed.box.y_mm + dy_mm, *placed.box[2:])
    return Placed(box, tuple([move_item(item, dx_mm, dy_mm) for item in placed.items]), *placed[2:])


def stack_parts(parts: Iterable[Part], x_mm: float = 0.0) -> tuple[float, tuple[Placed, ...]]:
    """Parts one below the other, as for a column: total height in mm, and everything placed from (x, 0) down."""
    y_mm = 0.0
    placed: list[Placed] = []
    for part in parts:
        y_mm += part.space_before_mm if y_mm else 0.0
        placed.extend(move_placed(item, x_mm, y_mm) for item in part.placed)
        y_mm += part.height_mm
    return y_mm, tuple(placed)


def merge_marks(placed: tuple[Placed, ...]) -> tuple[Placed, ...]:
    """Neighbours with one mark become one, so that a paragraph is one run in the file and not a run a line."""
    merged: list[Placed] = []
    for item in placed:
        before = merged[-1] if merged else None
        if before is not None and item.mark is not None and before.mark == item.mark:
            merged[-1] = Placed(join_boxes(before.box, item.box), before.items + item.items, item.mark)
        else:
            merged.append(item)
    return tuple(merged)


def make_frame(box: Box, thickness_mm: float) -> tuple[tuple[float, float], ...]:
    """Corners of an outline whose outer edge is the box."""
    half_mm = thickness_mm / 2
    left_mm, right_mm = box.x_mm + half_mm, box.right_mm - half_mm
    top_mm, bottom_mm = box.y_mm + half_mm, box.bottom_mm - half_mm
    return ((left_mm, top_mm), (right_mm, top_mm), (right_mm, bottom_mm), (left_mm, bottom_mm))


def join_boxes(one: Box, other: Box) -> Box:
    """The smallest box that holds both."""
    x_mm, y_mm = min(one.x_mm, other.x_mm), min(one.y_mm, other.y_mm)
    right_mm, bottom_mm = max(one.right_mm, other.right_mm), max(one.bottom_mm, other.bottom_mm)
    return Box(x_mm, y_mm, right_mm - x_mm, bottom_mm - y_mm)


def measure_baseline_mm(size_pt: float, pitch: float = LINE_PITCH) -> float:
    """From the top of a line to its baseline; the white space is shared above capitals with their accents and below."""
    size_mm = convert_pt_to_mm(size_pt)
    spare_mm = measure_pitch_mm(size_pt, pitch) - (ACCENT_EM + DESCENDER_EM) * size_mm
    return spare_mm / 2 + ACCENT_EM * size_mm


def place_lines(
    lines: tuple[str, ...],
    size_pt: float,
    *,
    bold: bool,
    mark: int | None,
    x_mm: float = 0.0,
    pitch: float = LINE_PITCH,
) -> Placed:
    """Lines of text from (x, 0) down, left-aligned; the box is as wide as the longest line."""
    pitch_mm = measure_pitch_mm(size_pt, pitch)
    baseline_mm = measure_baseline_mm(size_pt, pitch)
    items = [Text(x_mm, baseline_mm + number * pitch_mm, line, size_pt, bold) for number, line in enumerate(lines)]
    width_mm = max([measure_width_mm(line, size_pt, bold) for line in lines])
    return Placed(Box(x_mm, 0.0, width_mm, pitch_mm * len(lines)), tuple(items), mark)
