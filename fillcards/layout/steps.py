"""The steps: a number, a picture and at most 95 letters each, in rows divided by thin lines. Millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from fillcards.card.model import CardStep
from fillcards.layout.grid import EASE_MM, At, Piece, group, make_rule, put
from fillcards.layout.model import Box, Element, Placed
from fillcards.layout.sheet import Sheet
from fillcards.picture.items import Dot, Ink
from fillcards.picture.pen import FIGURE_HEIGHT_EM
from fillcards.picture.scenes import draw_scene, least_size_mm
from fillcards.quantities import convert_pt_to_mm

COLUMN_GAP_MM: Final = 5.0
SCENE_WIDTHS_MM: Final = (26.0, 24.0, 22.0, 21.0, 20.0, 19.0, 18.0, 17.0, 16.0)
"""Of the pictures' column for a reader of 18 pt, widest first; a narrower one where the words need the room."""
MOST_SCENE_MM: Final = 42.0
"""Height of a picture for a reader of 18 pt; a taller row leaves it white."""
DISC_EM: Final = 1.15
GAP_EM: Final = 0.2
NUMBER_EM: Final = 0.85
"""Of a step: disc of its number, gaps, and number on the disc, in type sizes."""
RULE_MM: Final = 0.35
ROW_GAP_MM: Final = 1.2
"""Above and below what stands in a row."""


def set_steps(sheet: Sheet, steps: Sequence[CardStep], height_mm: float, columns: int) -> Piece | None:
    """Steps in rows, down one column after the other; ``None`` where they do not fit in the height.

    The pictures' column is as wide as the words leave it. Rows of two columns are level where they can be.
    """
    width_mm = (sheet.live_mm - COLUMN_GAP_MM * (columns - 1)) / columns
    rows = -(-len(steps) // columns)
    shares = [steps[start : start + rows] for start in range(0, len(steps), rows)]
    for scene_mm in (each * sheet.body_pt / 18.0 for each in SCENE_WIDTHS_MM):
        least = [[_measure_row_mm(sheet, step, width_mm, scene_mm) for step in share] for share in shares]
        heights = _level(least, height_mm)
        if heights is None:
            continue
        parts = [
            At(_set_column(sheet, share, own_mm, width_mm, scene_mm), index * (width_mm + COLUMN_GAP_MM), 0.0)
            for index, (share, own_mm) in enumerate(zip(shares, heights, strict=True))
        ]
        return group(put(sheet.live_mm, height_mm, parts), "L")
    return None


def measure_steps_mm(sheet: Sheet, steps: Sequence[CardStep], columns: int) -> float:
    """Least height of the steps, with the pictures' column as narrow as it gets."""
    width_mm = (sheet.live_mm - COLUMN_GAP_MM * (columns - 1)) / columns
    rows = -(-len(steps) // columns)
    shares = [steps[start : start + rows] for start in range(0, len(steps), rows)]
    return min(
        max(sum(_measure_row_mm(sheet, step, width_mm, scene_mm) for step in share) for share in shares)
        for scene_mm in (each * sheet.body_pt / 18.0 for each in SCENE_WIDTHS_MM)
    )


def _set_column(
    sheet: Sheet, steps: Sequence[CardStep], heights_mm: Sequence[float], width_mm: float, scene_mm: float
) -> Piece:
    parts: list[At] = []
    y_mm = 0.0
    for step, row_mm in zip(steps, heights_mm, strict=True):
        if parts:
            parts.append(At(make_rule(width_mm, RULE_MM), 0.0, y_mm - RULE_MM / 2))
        row = _set_step(sheet, step, width_mm, scene_mm, row_mm - 2 * ROW_GAP_MM)
        parts.append(At(row, 0.0, y_mm + ROW_GAP_MM))
        y_mm += row_mm
    return put(width_mm, y_mm, parts)


def _set_step(sheet: Sheet, step: CardStep, width_mm: float, scene_mm: float, height_mm: float) -> Piece:
    setter, em_mm = sheet.setter, convert_pt_to_mm(sheet.body_pt)
    most_mm = min(height_mm, MOST_SCENE_MM * sheet.body_pt / 18.0)
    scene = setter.figure(draw_scene(step.scene, sheet.scene_words, sheet.pen, scene_mm, most_mm), step.alt)
    label = _set_number(sheet, step.number)
    scene_x_mm = label.width_mm + GAP_EM * em_mm
    words_x_mm = scene_x_mm + scene_mm + GAP_EM * em_mm
    words = setter.text(step.say, sheet.body_pt, width_mm - words_x_mm)
    parts = (
        At(label, 0.0, 0.0),
        At(words, words_x_mm, 0.0),
        At(scene, scene_x_mm + (scene_mm - scene.width_mm) / 2, (height_mm - scene.height_mm) / 2),
    )
    row = put(width_mm, height_mm, parts)
    body = Element("LBody", (*words.elements, *scene.elements))
    return row._replace(elements=(Element("LI", (*label.elements, body)),))


def _set_number(sheet: Sheet, number: int) -> Piece:
    """White on a black disc."""
    size_pt, disc_mm = NUMBER_EM * sheet.body_pt, DISC_EM * convert_pt_to_mm(sheet.body_pt)
    words = sheet.setter.plain(str(number), size_pt, ink=Ink.WHITE, role="Lbl")
    disc = Dot(disc_mm / 2, disc_mm / 2, disc_mm)
    dot = Piece(disc_mm, disc_mm, (Placed(Box(0.0, 0.0, disc_mm, disc_mm), (disc,), None, may_overlap=True),))
    # The box of a plain run is its ink: the figure's height.
    y_mm = (disc_mm - FIGURE_HEIGHT_EM * convert_pt_to_mm(size_pt)) / 2
    return put(disc_mm, disc_mm, (At(dot, 0.0, 0.0), At(words, (disc_mm - words.width_mm) / 2, y_mm)))


def _measure_row_mm(sheet: Sheet, step: CardStep, width_mm: float, scene_mm: float) -> float:
    """Least height of a row; endless where the column is too narrow for the picture."""
    least_mm = least_size_mm(step.scene, sheet.scene_words, sheet.pen)
    if least_mm[0] > scene_mm + EASE_MM:
        return float("inf")
    words_mm = width_mm - scene_mm - (DISC_EM + 2 * GAP_EM) * convert_pt_to_mm(sheet.body_pt)
    words = sheet.setter.text(step.say, sheet.body_pt, words_mm)
    return max(words.height_mm, least_mm[1]) + 2 * ROW_GAP_MM


def _level(columns: Sequence[Sequence[float]], height_mm: float) -> list[list[float]] | None:
    """Row heights that fill the room: level across columns where that fits, else each column's own."""
    whole = [max(column[row] for column in columns if row < len(column)) for row in range(len(columns[0]))]
    shared = _share(whole, height_mm)
    if shared is not None:
        return [shared[: len(column)] for column in columns]
    own = [_share(column, height_mm) for column in columns]
    return None if None in own else [each for each in own if each is not None]


def _share(least: Sequence[float], height_mm: float) -> list[float] | None:
    """Heights that fill the room: even, but none under its least."""
    if sum(least) > height_mm + EASE_MM:
        return None
    level_mm = height_mm / len(least)
    for _ in least:
        over_mm = [own for own in least if own > level_mm]
        level_mm = (height_mm - sum(over_mm)) / max(len(least) - len(over_mm), 1)
    return [max(own, level_mm) for own in least]
