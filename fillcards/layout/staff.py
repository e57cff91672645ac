"""The staff sheet: for whoever prints, checks and teaches, on one sheet of its own in small type. Millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from fillcards.card.model import (
    PrintCheck,
    StaffBarrels,
    StaffBlock,
    StaffHeading,
    StaffPairs,
    StaffPoints,
    StaffTable,
    StaffWriteIns,
    WriteIn,
)
from fillcards.layout.grid import At, Piece, beside, flow, make_rule, paint, put, stack
from fillcards.layout.model import Element
from fillcards.layout.practice import set_answers
from fillcards.layout.search import NoRoom
from fillcards.layout.sections import Section
from fillcards.layout.setter import measure_baseline_mm, measure_line_mm
from fillcards.layout.sheet import GAP_MM, Sheet
from fillcards.layout.vials import Part, set_point, share_out
from fillcards.picture.items import Line
from fillcards.picture.print_check import draw_hundred_mm_bar, draw_id1_outline, draw_life_size
from fillcards.wording.messages import Say, say

STYLE_NAME: Final = "staff"
BODY_PT: Final = 10.5
HEADING_PT: Final = 13.0
TITLE_PT: Final = 18.0
GUTTER_MM: Final = 2.5
NUMBER_MM: Final = 12.0
"""Before a sentence and its English."""
WRITE_MM: Final = 22.0
"""Least room to initial or write a short answer."""
BLOCK_GAP_MM: Final = 1.6
MOST_GAP_MM: Final = 2.0
"""More between two of them, where a side has the room."""


def set_staff(
    sheet: Sheet, title: Say, blocks: Sequence[StaffBlock], *, only: Say | None = None, style: str = STYLE_NAME
) -> Section:
    """The section, an even number of sides about as full as each other.

    Args:
        sheet: in the type size of patients; here it is smaller.
        title: of the sheet.
        blocks: what stands on it.
        only: what else stands at the head of every side.
        style: name of the sides.
    """
    card, setter, width_mm = sheet.card, sheet.setter, sheet.live_mm
    head = _set_head(sheet, title, only, "H1")
    pieces = [piece for block in blocks for piece in _set_block(sheet, block, width_mm)]
    room_mm = sheet.height_mm - 2 * sheet.margin_mm - head.height_mm - measure_line_mm(BODY_PT) - 2 * GAP_MM
    parts = [
        Part([piece._replace(height_mm=piece.height_mm + BLOCK_GAP_MM) for piece in part]) for part in _part(pieces)
    ]
    try:
        shared = share_out(parts, room_mm)
    except NoRoom:
        shared = flow([piece for part in parts for piece in part.pieces], (room_mm,), 0.0)
    sides = [*shared]
    if len(sides) % 2:
        # The last with more than one thing on it is parted.
        at = max(number for number, side in enumerate(sides) if len(side) > 1)
        half = (len(sides[at]) + 1) // 2
        sides[at : at + 1] = [sides[at][:half], sides[at][half:]]

    def set_side(number: int, side: Sequence[Piece]) -> tuple[Piece, Piece, Piece]:
        count = setter.text(say("page", page=number, pages=len(sides)), BODY_PT, width_mm)
        foot = sheet.row((setter.text(card.foot, BODY_PT, width_mm), count))
        spare_mm = room_mm - sum(piece.height_mm for piece in side)
        head = _set_head(sheet, title, only, "H1" if number == 1 else "P")
        return head, stack(side, min(MOST_GAP_MM, spare_mm / len(side))), foot

    own = replace(sheet, is_staff=True)
    return own.make_section(title, map(set_side, range(1, len(sides) + 1), sides), style)


def _set_head(sheet: Sheet, title: Say, only: Say | None, role: str) -> Piece:
    """Band, title and whose."""
    card, setter, width_mm = sheet.card, sheet.setter, sheet.live_mm
    band = [setter.text(each, BODY_PT, width_mm, bold=True) for each in (only, card.band) if each]
    words = setter.text(title, TITLE_PT, width_mm, bold=True, role=role)
    return stack((*band, words, setter.lines(card.whose, BODY_PT, width_mm)), 0.6)


def _part(blocks: list[tuple[Piece, bool]]) -> list[list[Piece]]:
    """What stands under each heading; the heading is of one piece with the first of it."""
    parts: list[list[Piece]] = [[]]
    waiting: list[Piece] = []
    for piece, is_heading in blocks:
        if is_heading and not waiting:
            parts.append([])
        waiting.append(piece)
        if not is_heading:
            parts[-1].append(stack(waiting, 0.8))
            waiting = []
    return [*parts, waiting]


def _set_block(sheet: Sheet, block: StaffBlock, width_mm: float) -> list[tuple[Piece, bool]]:
    """Its pieces, and of each whether it leads to the next."""
    match block:
        case StaffHeading(each):
            return [(sheet.setter.text(each, HEADING_PT, width_mm, bold=True, role="H2"), True)]
        case StaffPoints(says):
            return [(set_point(sheet, each, BODY_PT, width_mm), False) for each in says]
        case StaffTable():
            return [(_set_table(sheet, block, width_mm), False)]
        case StaffWriteIns(lines):
            return [(row, False) for row in _set_write_ins(sheet, lines, width_mm)]
        case StaffPairs(says):
            return [(_set_pair(sheet, number, each), False) for number, each in enumerate(says, start=1)]
        case PrintCheck():
            return [(_set_print_check(sheet, block, width_mm), False)]
        case StaffBarrels():
            return [(row, False) for row in set_answers(sheet, block, BODY_PT)]


def _set_write_ins(sheet: Sheet, lines: Sequence[WriteIn], width_mm: float) -> list[Piece]:
    """Two columns where the words leave room to write, else a row each."""
    half_mm = (width_mm - GAP_MM) / 2
    rows: list[list[Piece]] = []
    for each in lines:
        words_mm = sheet.setter.measure_mm(each.label, BODY_PT)
        is_short = words_mm + WRITE_MM <= half_mm
        piece = _set_write_in(sheet, each, half_mm if is_short else width_mm)
        if is_short and rows and len(rows[-1]) == 1 and rows[-1][0].width_mm <= half_mm:
            rows[-1].append(piece)
        else:
            rows.append([piece])
    return [beside(row, GAP_MM) for row in rows]


def _set_write_in(sheet: Sheet, line: WriteIn, width_mm: float) -> Piece:
    """Words, and a line to write on up to the end of the width."""
    words = sheet.setter.text(line.label, BODY_PT, width_mm - WRITE_MM)
    last_mm = words.height_mm - 0.25 * measure_line_mm(BODY_PT)
    x_mm = words.width_mm + 1.5
    rule = paint((Line(x_mm, last_mm, width_mm, last_mm, 0.3),))
    return put(width_mm, words.height_mm + 0.8, (At(words, 0.0, 0.4), At(rule, 0.0, 0.4)))


def _set_table(sheet: Sheet, table: StaffTable, width_mm: float) -> Piece:
    """Columns as wide as their words ask; an empty cell is left to be filled in."""
    columns = _share_columns(sheet, table, width_mm)
    rows: list[Piece] = []
    for number, cells in enumerate((table.header, *table.rows)):
        parts: list[At] = []
        marks: list[Element] = []
        x_mm = 0.0
        for cell, own_mm in zip(cells, columns, strict=True):
            role = "TD" if number else "TH"
            if cell is not None:
                text = sheet.setter.text(cell, BODY_PT, own_mm, bold=not number, role=role)
                marks += [element._replace(title=None if number else "Column") for element in text.elements]
                parts.append(At(text, x_mm, 0.0))
            else:
                marks.append(Element(role, ()))
            x_mm += own_mm + GUTTER_MM
        height_mm = max(at.piece.height_mm for at in parts) + 0.8
        rule = make_rule(width_mm, 0.3 if number else 0.5)
        row = put(width_mm, height_mm + 0.4, (*parts, At(rule, 0.0, height_mm)))
        rows.append(row._replace(own_elements=(Element("TR", tuple(marks)),)))
    whole = stack(rows, 0.4)
    return whole._replace(own_elements=(Element("Table", whole.elements),))


def _share_columns(sheet: Sheet, table: StaffTable, width_mm: float) -> list[float]:
    """Each what its widest cell asks; where that is too much, the widest give way in proportion to what they can."""
    free_mm = width_mm - GUTTER_MM * (len(table.header) - 1)
    cells = list(zip(table.header, *table.rows, strict=True))
    asked = [
        max(sheet.setter.measure_mm(cell, BODY_PT, bold=True) for cell in column if cell) + 0.1 for column in cells
    ]
    asked = [max(own, 18.0) if None in column else own for own, column in zip(asked, cells, strict=True)]
    while sum(asked) > free_mm:
        widest = max(asked)
        next_mm = max([own for own in asked if own < widest], default=widest - 1.0)
        count = asked.count(widest)
        cut_mm = min(widest - next_mm, (sum(asked) - free_mm) / count + 1e-6)
        asked = [own - cut_mm if own == widest else own for own in asked]
    return asked


def _set_pair(sheet: Sheet, number: int, message: Say) -> Piece:
    """A number, a sentence as the card has it, and its English."""
    own = sheet.setter.turn_to(sheet.card.language)
    half_mm = (sheet.live_mm - NUMBER_MM - GAP_MM) / 2
    said = own.text(message, BODY_PT, half_mm)
    said = said._replace(own_elements=tuple(each._replace(language=sheet.card.language) for each in said.elements))
    english = sheet.setter.text(message, BODY_PT, half_mm)
    label = sheet.setter.plain(str(number), BODY_PT, role="Lbl")
    down_mm = measure_baseline_mm(BODY_PT) - label.height_mm
    said_mm = NUMBER_MM + (half_mm - said.width_mm if own.is_backward else 0.0)
    parts = At(label, 0.0, down_mm), At(said, said_mm, 0.0), At(english, NUMBER_MM + half_mm + GAP_MM, 0.0)
    return put(sheet.live_mm, max(said.height_mm, english.height_mm), parts)


def _set_print_check(sheet: Sheet, check: PrintCheck, width_mm: float) -> Piece:
    """The bar and its words; the outline of a card, and the life-size barrel where its length was measured."""
    setter, alts = sheet.setter, list(check.alts)
    bar = setter.figure(draw_hundred_mm_bar(), alts[0])
    outline = setter.figure(draw_id1_outline(), alts[1])
    left = stack(
        (
            setter.text(check.bar, BODY_PT, bar.width_mm),
            bar,
            setter.text(check.outline, BODY_PT, bar.width_mm),
            outline,
        ),
        1.0,
    )
    if check.life_size is None:
        return left
    drawing = draw_life_size(check.syringe, check.direction)
    barrel = setter.figure(drawing, alts[2])
    if left.width_mm + GAP_MM + max(barrel.width_mm, 45.0) <= width_mm:
        words = setter.text(check.life_size, BODY_PT, width_mm - left.width_mm - GAP_MM)
        return beside((left, stack((words, barrel), 1.0)), GAP_MM)
    return stack((left, setter.text(check.life_size, BODY_PT, width_mm), barrel), 1.0)
