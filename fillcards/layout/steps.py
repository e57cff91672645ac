"""The steps: a number, a picture and at most 95 letters each, in rows divided by thin lines. Millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

from fillcards.card.model import CardStep
from fillcards.layout.grid import EASE_MM, At, Piece, group, make_rule, paint, put
from fillcards.layout.model import Element
from fillcards.layout.sheet import Sheet
from fillcards.picture.items import Dot, Ink
from fillcards.picture.pen import FIGURE_HEIGHT_EM, make_ink_pen
from fillcards.picture.scenes import draw_scene
from fillcards.problems import InternalFault
from fillcards.quantities import convert_pt_to_mm
from fillcards.typeface import TextTooWide

COLUMN_GAP_MM: Final = 4.0
SCENE_MM: Final = 22.1
"""Width of the pictures' column for a reader of 18 pt; a wider picture pushes its own words on."""
MOST_SCENE_MM: Final = 42.0
"""Height of a picture for a reader of 18 pt; a taller row leaves it white."""
DISC_EM: Final = 1.15
LOOSE_PITCH: Final = 1.12
"""From line to line, in type sizes, from which the whole disc is clear of the second line."""
NUMBER_EM: Final = 0.85
"""Of a step: disc of its number, and number on the disc, in type sizes."""
RULE_MM: Final = 0.35
CLEAR_MM: Final = 0.4
"""Between a rule and ink that reaches out of its line."""
COLUMN_RULE_MM: Final = 1.0
"""Between rows; between columns so heavy that nobody reads across it, from step 1 to step 7."""
TIGHT_ROW_GAP_MM: Final = 0.35
"""Above and below what stands in a row, where rows are words alone."""
NARROWER: Final = (0.49, 0.48, 0.47, 0.46, 0.45, 0.44)
WIDER: Final = (0.51, 0.52, 0.53)
"""Of two columns, the first one's part of the width, tried after half: the steps that check have wider pictures."""


def set_steps(sheet: Sheet, steps: Sequence[CardStep], height_mm: float) -> Piece:
    """Steps in rows, down one column after the other. Rows of two columns are level where they can be.

    Raises:
        InternalFault: they are higher than that, though ``measure_steps_mm`` says how high they are.
    """
    shares = _share_out(sheet, steps)
    heights = _level([share.least_mm for share in shares], height_mm)
    parts: list[At] = []
    x_mm = 0.0
    for share, own_mm in zip(shares, heights, strict=True):
        if parts:
            rule = make_rule(height_mm, COLUMN_RULE_MM, is_upright=True)
            parts.append(At(rule, x_mm - (COLUMN_GAP_MM + COLUMN_RULE_MM) / 2, 0.0))
        parts.append(At(_set_column(sheet, share, own_mm), x_mm, 0.0))
        x_mm += share.width_mm + COLUMN_GAP_MM
    return group(put(sheet.live_mm, height_mm, parts), "L")


def measure_steps_mm(sheet: Sheet, steps: Sequence[CardStep]) -> float:
    """Least height of the steps."""
    return max(sum(share.least_mm) for share in _share_out(sheet, steps))


class _Column(NamedTuple):
    """Steps below each other: their width, where the words of each begin, the least height of each."""

    steps: tuple[CardStep, ...]
    width_mm: float
    words_x_mm: tuple[float, ...]
    least_mm: tuple[float, ...]


def _share_out(sheet: Sheet, steps: Sequence[CardStep]) -> tuple[_Column, ...]:
    """The steps of each column; of two, each as wide as makes both lowest."""
    room_mm = sheet.live_mm - COLUMN_GAP_MM * (sheet.step_columns - 1)
    pictures = [_measure_picture_mm(sheet, step) for step in steps]
    if sheet.step_columns == 1:
        return (_measure_column(sheet, steps, pictures, room_mm),)
    rows = -(-len(steps) // sheet.step_columns)
    faults: list[TextTooWide] = []

    def measure(share: float) -> tuple[_Column, _Column] | None:
        try:
            return (
                _measure_column(sheet, steps[:rows], pictures[:rows], share * room_mm),
                _measure_column(sheet, steps[rows:], pictures[rows:], (1.0 - share) * room_mm),
            )
        except TextTooWide as error:
            faults.append(error)
            return None

    half = measure(0.5)
    shares: tuple[float, ...] = NARROWER + WIDER
    if half:
        # A column that grows wider does not grow higher: only the higher one's way leads to lower ones.
        shares = WIDER if _is_first_higher(half) else NARROWER
    tried = [half] if half else []
    for both in filter(None, map(measure, shares)):
        tried.append(both)
        if half and _is_first_higher(both) != _is_first_higher(half):
            break
    if not tried:
        raise faults[-1]
    return min(tried, key=lambda both: round(max(sum(column.least_mm) for column in both), 3))


def _is_first_higher(both: tuple[_Column, _Column]) -> bool:
    first, second = both
    return sum(first.least_mm) > sum(second.least_mm)


def _measure_column(
    sheet: Sheet, steps: Sequence[CardStep], pictures: Sequence[tuple[float, float]], width_mm: float
) -> _Column:
    """One edge of all words where the sheet asks for it, else each beside its own picture."""
    spacing = sheet.spacing
    widest_mm = max((own_mm for own_mm, _ in pictures), default=0.0)
    edges = [widest_mm if spacing.has_edge else own_mm for own_mm, _ in pictures]
    gap_mm = spacing.picture_gap_em * convert_pt_to_mm(sheet.body_pt) if sheet.has_scenes else 0.0
    words_x = tuple(edge_mm + gap_mm for edge_mm in edges)
    least = tuple(
        max(
            sheet.setter.measure_step_mm(step.say, sheet.body_pt, width_mm - x_mm, spacing.pitch)
            + 2 * _measure_clear_mm(sheet, step),
            least_mm,
        )
        + 2 * _choose_gap_mm(sheet)
        for step, x_mm, (_, least_mm) in zip(steps, words_x, pictures, strict=True)
    )
    return _Column(tuple(steps), width_mm, words_x, least)


def _choose_gap_mm(sheet: Sheet) -> float:
    return sheet.spacing.row_gap_mm if sheet.has_scenes else min(TIGHT_ROW_GAP_MM, sheet.spacing.row_gap_mm)


def _measure_clear_mm(sheet: Sheet, step: CardStep) -> float:
    """What marks over marks and deep letters need above and below the words of a row, besides its gap."""
    over_mm = sheet.setter.measure_over_mm(step.say, sheet.body_pt, sheet.spacing.pitch)
    return max(0.0, over_mm + CLEAR_MM - _choose_gap_mm(sheet)) if over_mm else 0.0


def _measure_picture_mm(sheet: Sheet, step: CardStep) -> tuple[float, float]:
    """Width of a picture's place, and its least height."""
    if not sheet.has_scenes:
        return 0.0, 0.0
    width_mm, height_mm = sheet.setter.measure_scene_mm(step.scene, sheet.scene_pt or sheet.body_pt)
    is_close = sheet.spacing.has_edge or sheet.spacing.is_close
    least_mm = 0.0 if is_close else SCENE_MM * (sheet.scene_pt or sheet.body_pt) / 18.0
    return max(least_mm, width_mm + EASE_MM), height_mm


def _set_column(sheet: Sheet, column: _Column, heights_mm: Sequence[float]) -> Piece:
    parts: list[At] = []
    y_mm, gap_mm = 0.0, _choose_gap_mm(sheet)
    for step, words_x_mm, row_mm in zip(column.steps, column.words_x_mm, heights_mm, strict=True):
        if parts:
            parts.append(At(make_rule(column.width_mm, RULE_MM), 0.0, y_mm - RULE_MM / 2))
        row = _set_step(sheet, step, column.width_mm, words_x_mm, row_mm - 2 * gap_mm)
        parts.append(At(row, 0.0, y_mm + gap_mm))
        y_mm += row_mm
    return put(column.width_mm, y_mm, parts)


def _set_step(sheet: Sheet, step: CardStep, width_mm: float, words_x_mm: float, height_mm: float) -> Piece:
    """The picture at the left, then the words, which begin with the number."""
    own_mm, least_mm = _measure_picture_mm(sheet, step)
    scene, scene_pt = Piece(0.0, 0.0), sheet.scene_pt or sheet.body_pt
    if sheet.has_scenes:
        most_mm = min(height_mm, max(MOST_SCENE_MM * scene_pt / 18.0, least_mm))
        drawing = draw_scene(step.scene, sheet.setter.scene_words, make_ink_pen(scene_pt), own_mm, most_mm)
        scene = sheet.setter.figure(drawing, step.alt)
    clear_mm = _measure_clear_mm(sheet, step)
    label = _set_number(sheet, step.number)
    pitch = sheet.spacing.pitch
    words = sheet.setter.text(step.say, sheet.body_pt, width_mm - words_x_mm, is_step=True, pitch=pitch)
    parts = (
        At(label, words_x_mm, clear_mm + sheet.setter.measure_lift_mm(sheet.body_pt, pitch)),
        At(words, words_x_mm, clear_mm),
        # In a row with room to spare it stays beside the first words.
        At(scene, (own_mm - scene.width_mm) / 2, min(clear_mm, height_mm - scene.height_mm)),
    )
    row = put(width_mm, height_mm, parts)
    body = Element("LBody", (*words.elements, *scene.elements))
    return row._replace(own_elements=(Element("LI", (*label.elements, body)),))


def _set_number(sheet: Sheet, number: int) -> Piece:
    """White on a black disc."""
    em_mm = convert_pt_to_mm(sheet.body_pt)
    # Where lines stand close, the disc keeps off the tallest letter of the next one.
    disc_em = min(DISC_EM, DISC_EM - 2 * (LOOSE_PITCH - sheet.spacing.pitch))
    size_pt, disc_mm = NUMBER_EM / DISC_EM * disc_em * sheet.body_pt, disc_em * em_mm
    down_mm = (DISC_EM - disc_em) / 2 * em_mm
    words = sheet.setter.plain(str(number), size_pt, ink=Ink.WHITE, role="Lbl")
    disc = Dot(disc_mm / 2, disc_mm / 2, disc_mm)
    dot = paint((disc,), may_overlap=True)._replace(width_mm=disc_mm)
    # The box of a plain run is its ink: the figure's height.
    y_mm = (disc_mm - FIGURE_HEIGHT_EM * convert_pt_to_mm(size_pt)) / 2
    parts = (At(dot, 0.0, down_mm), At(words, (disc_mm - words.width_mm) / 2, down_mm + y_mm))
    piece = put(disc_mm, disc_mm + down_mm, parts)
    # It stands in the indent of its words, within their box.
    return Piece(*piece[:2], tuple(each._replace(may_overlap=True) for each in piece.placed), words.elements)


def _level(columns: Sequence[Sequence[float]], height_mm: float) -> list[list[float]]:
    """Row heights that fill the room: level across columns where that fits, else each column's own."""
    whole = [max(column[row] for column in columns if row < len(column)) for row in range(len(columns[0]))]
    if sum(whole) - height_mm <= EASE_MM:
        return [_share(whole, height_mm)[: len(column)] for column in columns]
    if max(map(sum, columns)) - height_mm > EASE_MM:
        raise InternalFault("steps that were measured to fit")
    return [_share(column, height_mm) for column in columns]


def _share(least: Sequence[float], height_mm: float) -> list[float]:
    """Heights that fill the room: the spare is the same in every row."""
    spare_mm = max(height_mm - sum(least), 0.0)
    return [own + spare_mm / len(least) for own in least]
