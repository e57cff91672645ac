"""Write-in lines and tables set in type."""

from __future__ import annotations

from typing import Final

from fillcards.card.model import Table, WriteIn
from fillcards.layout.model import Box, Element, Placed
from fillcards.layout.parts import Part, measure_baseline_mm, place_lines
from fillcards.layout.setter import SetBlock, Setter, space_parts
from fillcards.layout.sizes import measure_pitch_mm
from fillcards.picture.items import Line
from fillcards.typeface import measure_width_mm, wrap_text

EASE_MM: Final = 0.1
"""A column is so much wider than its widest cell, so that float sums break no line."""

LONGEST_AMOUNT: Final = 24
"""Characters; longer cells are words with an amount in them, and may break between words."""

WRITE_IN_LEAST_MM: Final = 34.0
"""Room to write a date by hand."""


def set_write_in(setter: Setter, block: WriteIn, width_mm: float) -> SetBlock:
    """On one row if each keeps room to write, else a row for each."""
    size_pt = setter.sizes.fact_pt
    label_mm = [measure_width_mm(f"{label} ", size_pt, False) for label in block.labels]
    gutter_mm = setter.sizes.gap_mm
    room_mm = (width_mm - sum(label_mm) - gutter_mm * (len(label_mm) - 1)) / len(label_mm)
    rows = [block.labels] if room_mm >= WRITE_IN_LEAST_MM else [(label,) for label in block.labels]
    done = [_set_write_in_row(setter, row, width_mm) for row in rows]
    return SetBlock(
        tuple(part for row in done for part in row.parts), tuple(element for row in done for element in row.elements)
    )


def _set_write_in_row(setter: Setter, labels: tuple[str, ...], width_mm: float) -> SetBlock:
    size_pt = setter.sizes.fact_pt
    gutter_mm = setter.sizes.gap_mm
    label_mm = [measure_width_mm(f"{label} ", size_pt, False) for label in labels]
    room_mm = (width_mm - sum(label_mm) - gutter_mm * (len(labels) - 1)) / len(labels)
    if room_mm < WRITE_IN_LEAST_MM:
        return _set_tall_write_in(setter, labels[0], width_mm)
    placed: list[Placed] = []
    elements: list[Element] = []
    x_mm = 0.0
    baseline_mm = measure_baseline_mm(size_pt)
    for label, own_mm in zip(labels, label_mm, strict=True):
        mark = setter.take_mark()
        placed.append(place_lines((label,), size_pt, bold=False, mark=mark, x_mm=x_mm))
        placed.append(_make_writing_line(x_mm + own_mm, baseline_mm, room_mm))
        elements.append(Element("P", (mark,)))
        x_mm += own_mm + room_mm + gutter_mm
    part = Part(measure_pitch_mm(size_pt), tuple(placed), setter.sizes.gap_mm * 1.5)
    return SetBlock((part,), tuple(elements))


def _set_tall_write_in(setter: Setter, label: str, width_mm: float) -> SetBlock:
    """A label too long to leave room beside it: the line to write on goes below, on the same page as its last words."""
    size_pt = setter.sizes.fact_pt
    done = setter.set_text(label, size_pt, width_mm, bold=False)
    *firsts, last = space_parts(done.parts, setter.sizes.gap_mm * 1.5)
    line = _make_writing_line(0.0, last.height_mm + measure_baseline_mm(size_pt), width_mm)
    last = Part(last.height_mm + measure_pitch_mm(size_pt), (*last.placed, line), last.space_before_mm)
    return SetBlock((*firsts, last), done.elements)


def set_table(setter: Setter, block: Table, width_mm: float) -> SetBlock:
    """Columns as wide as their longest cell asks, within the page; hairlines between rows. Whole where it fits."""
    size_pt = setter.sizes.body_pt
    gutter_mm = setter.sizes.gap_mm * 2
    columns = _share_columns(block, size_pt, width_mm, gutter_mm)
    parts: list[Part] = []
    rows: list[Element] = []
    for number, row in enumerate((block.header, *block.rows)):
        placed: list[Placed] = []
        cells: list[Element] = []
        x_mm = height_mm = 0.0
        for column, text in enumerate(row):
            mark = setter.take_mark()
            bold = number == 0 or column == 0
            cell = place_lines(
                wrap_text(text, size_pt, bold, columns[column]), size_pt, bold=bold, mark=mark, x_mm=x_mm
            )
            placed.append(cell)
            # The name of a single row tells it from no other, and so heads nothing.
            heads = number == 0 or (column == 0 and len(block.rows) > 1)
            cells.append(Element("TH" if heads else "TD", (mark,), title="Column" if number == 0 else "Row"))
            height_mm = max(height_mm, cell.box.height_mm)
            x_mm += columns[column] + gutter_mm
        placed.append(_make_rule(width_mm, height_mm + 0.6, 0.5 if number == 0 else 0.25))
        parts.append(Part(height_mm + 1.6, tuple(placed), 0.0, keep_with_next=number < len(block.rows)))
        rows.append(Element("TR", tuple(cells)))
    return SetBlock(space_parts(tuple(parts), setter.sizes.gap_mm), (Element("Table", tuple(rows)),))


def _make_rule(width_mm: float, y_mm: float, thickness_mm: float) -> Placed:
    box = Box(0.0, y_mm - thickness_mm / 2, width_mm, thickness_mm)
    return Placed(box, (Line(0.0, y_mm, width_mm, y_mm, thickness_mm),), None)


def _make_writing_line(x_mm: float, y_mm: float, width_mm: float) -> Placed:
    box = Box(x_mm, y_mm - 0.25, width_mm, 0.5)
    return Placed(box, (Line(x_mm, y_mm, x_mm + width_mm, y_mm, 0.5),), None)


def _share_columns(block: Table, size_pt: float, width_mm: float, gutter_mm: float) -> list[float]:
    """Column widths: each gets what it asks if all fit; else the widest give way, none below its longest piece.

    An amount stays in one piece unless the page is too narrow for that; then it too may break between its words.
    """
    rows = (block.header, *block.rows)
    cells = [[row[column] for row in rows] for column in range(len(block.header))]
    asked = [max(measure_width_mm(cell, size_pt, True) for cell in column) + EASE_MM for column in cells]
    free_mm = width_mm - gutter_mm * (len(asked) - 1)
    over_mm = sum(asked) - free_mm
    if over_mm <= 0:
        return asked
    for longest in (LONGEST_AMOUNT, 0):
        least = [max(_measure_least_mm(cell, size_pt, longest) for cell in column) + EASE_MM for column in cells]
        if sum(least) <= free_mm:
            break
    spare = [ask - low for ask, low in zip(asked, least, strict=True)]
    total_mm = sum(spare) or 1.0
    return [ask - over_mm * room / total_mm for ask, room in zip(asked, spare, strict=True)]


def _measure_least_mm(cell: str, size_pt: float, longest_amount: int) -> float:
    """The whole of a short cell that holds an amount; else the longest word."""
    is_amount = len(cell) <= longest_amount and any(character.isdigit() for character in cell)
    pieces = [cell] if is_amount else cell.split()
    return max((measure_width_mm(piece, size_pt, True) for piece in pieces), default=0.0)
