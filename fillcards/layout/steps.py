"""The steps: a number, a picture and at most 95 letters each, in rows divided by thin lines. Millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from fillcards.card.model import CardStep
from fillcards.layout.grid import At, Piece, make_rule, put, stack
from fillcards.layout.model import Box, Element, Placed
from fillcards.layout.sheet import Sheet
from fillcards.picture.items import Dot, Ink
from fillcards.picture.scenes import draw_scene, least_size_mm
from fillcards.quantities import convert_pt_to_mm
from fillcards.typeface import measure_width_mm

SCENE_AT_18_PT_MM: Final = (24.0, 36.0)
RULE_MM: Final = 0.35
STEP_GAP_MM: Final = 1.6
"""Above and below the words and picture of a step."""


def measure_number_mm(size_pt: float) -> float:
    """Diameter of the disc a step's number stands on."""
    return 1.3 * convert_pt_to_mm(size_pt)


def set_step(sheet: Sheet, step: CardStep, width_mm: float, scene_mm: tuple[float, float]) -> Piece:
    """A step, its picture in a box of that width and at least that height."""
    setter, size_pt = sheet.setter, sheet.body_pt
    disc_mm = measure_number_mm(size_pt)
    gap_mm = 0.25 * convert_pt_to_mm(size_pt)
    scene = setter.figure(draw_scene(step.scene, sheet.scene_words, sheet.pen, *scene_mm), step.alt)
    text_x_mm = disc_mm + gap_mm + scene_mm[0] + gap_mm
    words = setter.text(step.say, size_pt, width_mm - text_x_mm)
    label = _set_number(sheet, step.number, disc_mm)
    height_mm = max(scene_mm[1], words.height_mm, disc_mm)
    piece = put(
        width_mm,
        height_mm,
        (
            At(label, 0.0, 0.0),
            At(scene, disc_mm + gap_mm + (scene_mm[0] - scene.width_mm) / 2, (height_mm - scene.height_mm) / 2),
            At(words, text_x_mm, max(0.0, min(0.6, height_mm - words.height_mm))),
        ),
    )
    body = Element("LBody", tuple(e for each in (words, scene) for e in each.elements))
    return piece._replace(elements=(Element("LI", (Element("Lbl", _list_marks(label)), body)),))


def set_rows(sheet: Sheet, steps: Sequence[CardStep], width_mm: float, height_mm: float) -> Piece | None:
    """Steps in one column, rows of even height where the words allow it; ``None`` where they do not fit."""
    least = [measure_least_mm(sheet, step, width_mm) for step in steps]
    share = _share_height(least, height_mm)
    if share is None:
        return None
    width_of_scene = measure_scene_width_mm(sheet)
    parts: list[At] = []
    y_mm = 0.0
    for index, (step, own_mm) in enumerate(zip(steps, share, strict=True)):
        if index:
            parts.append(At(make_rule(width_mm, RULE_MM), 0.0, y_mm - RULE_MM / 2))
        piece = set_step(sheet, step, width_mm, (width_of_scene, own_mm - 2 * STEP_GAP_MM))
        parts.append(At(piece, 0.0, y_mm + STEP_GAP_MM))
        y_mm += own_mm
    return put(width_mm, height_mm, parts)


def set_list(columns: Sequence[Piece], gap_mm: float) -> Piece:
    """Columns side by side as one list."""
    parts, x_mm = [], 0.0
    for piece in columns:
        parts.append(At(piece, x_mm, 0.0))
        x_mm += piece.width_mm + gap_mm
    whole = put(x_mm - gap_mm, max(piece.height_mm for piece in columns), parts)
    return whole._replace(elements=(Element("L", whole.elements),))


def measure_scene_width_mm(sheet: Sheet) -> float:
    """Width of the pictures' column."""
    return SCENE_AT_18_PT_MM[0] * sheet.body_pt / 18.0


def measure_least_mm(sheet: Sheet, step: CardStep, width_mm: float) -> float:
    """Least height of a step's row."""
    size_pt = sheet.body_pt
    gap_mm = 0.25 * convert_pt_to_mm(size_pt)
    text_mm = width_mm - measure_number_mm(size_pt) - 2 * gap_mm - measure_scene_width_mm(sheet)
    words = sheet.setter.text(step.say, size_pt, text_mm)
    return max(words.height_mm, least_size_mm(step.scene, sheet.scene_words, sheet.pen)[1]) + 2 * STEP_GAP_MM


def _share_height(least: Sequence[float], height_mm: float) -> list[float] | None:
    """Heights that fill the room: even, but none under its least."""
    if sum(least) > height_mm + 0.01:
        return None
    level_mm = height_mm / len(least)
    for _ in least:
        over_mm = [own for own in least if own > level_mm]
        level_mm = (height_mm - sum(over_mm)) / max(len(least) - len(over_mm), 1)
    return [max(own, level_mm) for own in least]


def _set_number(sheet: Sheet, number: int, disc_mm: float) -> Piece:
    setter, size_pt = sheet.setter, sheet.body_pt * 0.95
    text = str(number)
    words = setter.plain(text, size_pt, ink=Ink.WHITE)
    dot = Placed(Box(0.0, 0.0, disc_mm, disc_mm), (Dot(disc_mm / 2, disc_mm / 2, disc_mm),), None, may_overlap=True)
    baseline_mm = words.placed[0].items[0].y_mm  # type: ignore[union-attr]  # a plain run is one text
    cap_mm = 0.68 * convert_pt_to_mm(size_pt)
    x_mm = (disc_mm - measure_width_mm(text, size_pt, True)) / 2
    disc = Piece(disc_mm, disc_mm, (dot,))
    return put(disc_mm, disc_mm, (At(disc, 0.0, 0.0), At(words, x_mm, (disc_mm + cap_mm) / 2 - baseline_mm)))


def _list_marks(piece: Piece) -> tuple[int, ...]:
    return tuple(each.mark for each in piece.placed if each.mark is not None)


def stack_sides(pieces: Sequence[Piece]) -> Piece:
    """Pieces one below the other."""
    return stack(pieces)
