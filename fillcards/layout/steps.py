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
from fillcards.picture.scenes import draw_scene
from fillcards.quantities import convert_pt_to_mm

COLUMN_GAP_MM: Final = 4.0
SCENE_MM: Final = 22.1
"""Width of the pictures' column for a reader of 18 pt; a wider picture pushes its own words on."""
MOST_SCENE_MM: Final = 42.0
"""Height of a picture for a reader of 18 pt; a taller row leaves it white."""
DISC_EM: Final = 1.15
GAP_EM: Final = 0.2
NUMBER_EM: Final = 0.85
"""Of a step: disc of its number, gap between picture and words, and number on the disc, in type sizes."""
RULE_MM: Final = 0.35
ROW_GAP_MM: Final = 0.6
TIGHT_ROW_GAP_MM: Final = 0.35
"""Above and below what stands in a row; the tight one where rows are words alone."""


def set_steps(sheet: Sheet, steps: Sequence[CardStep], height_mm: float, columns: int) -> Piece | None:
    """Steps in rows, down one column after the other; ``None`` where they do not fit in the height.

    Rows of two columns are level where they can be.
    """
    width_mm, shares = _share_out(sheet, steps, columns)
    heights = _level([[_measure_row_mm(sheet, step, width_mm) for step in share] for share in shares], height_mm)
    if heights is None:
        return None
    parts = [
        At(_set_column(sheet, share, own_mm, width_mm), index * (width_mm + COLUMN_GAP_MM), 0.0)
        for index, (share, own_mm) in enumerate(zip(shares, heights, strict=True))
    ]
    return group(put(sheet.live_mm, height_mm, parts), "L")


def measure_steps_mm(sheet: Sheet, steps: Sequence[CardStep], columns: int) -> float:
    """Least height of the steps."""
    width_mm, shares = _share_out(sheet, steps, columns)
    return max(sum(_measure_row_mm(sheet, step, width_mm) for step in share) for share in shares)


def _share_out(sheet: Sheet, steps: Sequence[CardStep], columns: int) -> tuple[float, list[Sequence[CardStep]]]:
    """Width of a column, and the steps of each."""
    rows = -(-len(steps) // columns)
    width_mm = (sheet.live_mm - COLUMN_GAP_MM * (columns - 1)) / columns
    return width_mm, [steps[start : start + rows] for start in range(0, len(steps), rows)]


def _set_column(sheet: Sheet, steps: Sequence[CardStep], heights_mm: Sequence[float], width_mm: float) -> Piece:
    parts: list[At] = []
    y_mm = 0.0
    for step, row_mm in zip(steps, heights_mm, strict=True):
        if parts:
            parts.append(At(make_rule(width_mm, RULE_MM), 0.0, y_mm - RULE_MM / 2))
        gap_mm = _choose_gap_mm(sheet)
        row = _set_step(sheet, step, width_mm, row_mm - 2 * gap_mm)
        parts.append(At(row, 0.0, y_mm + gap_mm))
        y_mm += row_mm
    return put(width_mm, y_mm, parts)


def _set_step(sheet: Sheet, step: CardStep, width_mm: float, height_mm: float) -> Piece:
    """The picture at the left, then the words, which begin with the number."""
    column_mm, words_mm, _ = _measure_parts_mm(sheet, step, width_mm)
    most_mm = min(height_mm, MOST_SCENE_MM * sheet.scene_pen.text_pt / 18.0)
    scene = Piece(0.0, 0.0)
    if sheet.has_scenes:
        drawing = draw_scene(step.scene, sheet.scene_words, sheet.scene_pen, column_mm, most_mm)
        scene = sheet.setter.figure(drawing, step.alt)
    label = _set_number(sheet, step.number)
    words = sheet.setter.text(step.say, sheet.body_pt, words_mm, is_step=True)
    words_x_mm = width_mm - words_mm
    parts = (
        At(label, words_x_mm, 0.0),
        At(words, words_x_mm, 0.0),
        At(scene, (column_mm - scene.width_mm) / 2, (height_mm - scene.height_mm) / 2),
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
    piece = put(disc_mm, disc_mm, (At(dot, 0.0, 0.0), At(words, (disc_mm - words.width_mm) / 2, y_mm)))
    # It stands in the indent of its words, within their box.
    return piece._replace(placed=tuple(each._replace(may_overlap=True) for each in piece.placed))


def _measure_row_mm(sheet: Sheet, step: CardStep, width_mm: float) -> float:
    """Least height of a row."""
    _, words_mm, least_mm = _measure_parts_mm(sheet, step, width_mm)
    words = sheet.setter.text(step.say, sheet.body_pt, words_mm, is_step=True)
    return max(words.height_mm, least_mm) + 2 * _choose_gap_mm(sheet)


def _choose_gap_mm(sheet: Sheet) -> float:
    return ROW_GAP_MM if sheet.has_scenes else TIGHT_ROW_GAP_MM


def _measure_parts_mm(sheet: Sheet, step: CardStep, width_mm: float) -> tuple[float, float, float]:
    """Width of the picture's column, width of the words beside it, least height of the picture."""
    if not sheet.has_scenes:
        return 0.0, width_mm, 0.0
    least = sheet.measure_scene_mm(step.scene)
    column_mm = max(SCENE_MM * sheet.scene_pen.text_pt / 18.0, least[0] + EASE_MM)
    return column_mm, width_mm - column_mm - GAP_EM * convert_pt_to_mm(sheet.body_pt), least[1]


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
