"""Large print's front: the facts of each stop at the left, one large barrel with both stops at the right.

Figure, words and count stand together under the order words; what stands below both reaches across the page.
Millimetres; type sizes in points.
"""

from __future__ import annotations

from typing import Final

from fillcards.card.model import FillCard, Panel
from fillcards.layout.grid import At, Piece, beside, put, stack
from fillcards.layout.poster import BORE_MM, ORDER_PT, list_figure_sizes, set_figure
from fillcards.layout.sheet import Sheet
from fillcards.picture.barrel import draw_barrel, measure_barrel_mm
from fillcards.picture.scale_view import Side, StopMark
from fillcards.regimen.model import BarrelDirection

COLUMN_GAP_MM: Final = 4.0
LEAST_BARREL_MM: Final = 100.0


def set_facts_left(sheet: Sheet, fill: FillCard, height_mm: float, *, has_sum: bool = True) -> Piece | None:
    """Facts and barrel, at most that high; ``None`` where they do not fit.

    Args:
        sheet: of the front.
        fill: its panels.
        height_mm: the room there is.
        has_sum: whether the sum stands with the second stop, not on the other side.
    """
    barrel = _fit_barrel(sheet, fill, height_mm)
    facts_mm = sheet.live_mm - barrel.width_mm - COLUMN_GAP_MM
    for figure_pt in list_figure_sizes(sheet, fill.panels):
        panels = [_set_panel(sheet, panel, facts_mm, figure_pt, has_sum=has_sum) for panel in fill.panels]
        if sum(panel.height_mm for panel in panels) + sheet.gap_mm * (len(panels) - 1) > height_mm:
            continue
        if max(panel.width_mm for panel in panels) > facts_mm:
            continue
        spare_mm = height_mm - sum(panel.height_mm for panel in panels)
        column = stack(panels, min(spare_mm / len(panels), 6 * sheet.gap_mm))
        return put(
            sheet.live_mm,
            height_mm,
            (At(column, 0.0, 0.0), At(barrel, sheet.live_mm - barrel.width_mm, height_mm - barrel.height_mm)),
        )
    return None


def _set_panel(sheet: Sheet, panel: Panel, width_mm: float, figure_pt: float, *, has_sum: bool) -> Piece:
    setter, body_pt = sheet.setter, sheet.body_pt
    order_pt = max(ORDER_PT, body_pt)
    bar = sheet.plate(panel.bar, order_pt, width_mm, role="H2")
    if bar.height_mm > sheet.plate(panel.short_bar, order_pt, width_mm).height_mm:
        bar = sheet.plate(panel.short_bar, order_pt, width_mm, role="H2")
    facts = [setter.text(each, body_pt, width_mm) for each in (panel.medicine, panel.dose)]
    if sum(fact.width_mm for fact in facts) + 2 * sheet.gap_mm <= width_mm:
        facts = [beside(facts, 2 * sheet.gap_mm)]
    facts += [setter.text(each, body_pt, width_mm) for each in panel.notes]
    figure = set_figure(sheet, panel, figure_pt)
    words_mm = width_mm - figure.width_mm - 1.5 * sheet.gap_mm
    words = setter.text(panel.figure_words, body_pt, words_mm)
    count = setter.text(panel.count, body_pt, words_mm)
    beside_figure = stack((words, count))
    rows = [stack(facts)]
    if beside_figure.height_mm <= figure.height_mm + sheet.gap_mm:
        rows.append(_center((figure, beside_figure), 1.5 * sheet.gap_mm))
    else:
        rows += [_center((figure, words), 1.5 * sheet.gap_mm), setter.text(panel.count, body_pt, width_mm)]
    if panel.sum and has_sum:
        rows.append(setter.text(panel.sum, body_pt, width_mm))
    return stack((bar, stack(rows, 0.35 * sheet.gap_mm)), 0.35 * sheet.gap_mm)


def _center(pieces: tuple[Piece, Piece], gap_mm: float) -> Piece:
    """Side by side, halfway up each other."""
    height_mm = max(piece.height_mm for piece in pieces)
    first, second = pieces
    parts = (
        At(first, 0.0, (height_mm - first.height_mm) / 2),
        At(second, first.width_mm + gap_mm, (height_mm - second.height_mm) / 2),
    )
    return put(first.width_mm + gap_mm + second.width_mm, height_mm, parts)


def _fit_barrel(sheet: Sheet, fill: FillCard, height_mm: float) -> Piece:
    """Upright, its numbers at the left, a wedge with its number at each stop."""
    view = fill.panels[-1].barrel
    marks = tuple(
        StopMark(panel.barrel.portions[-1].end, sheet.setter.write(panel.figure), not panel.is_total)
        for panel in fill.panels
    )
    own = view.syringe, view.portions, view.portions[-1].end, BarrelDirection.NEEDLE_UP, sheet.pen
    number_pt = sheet.body_pt
    size_mm = measure_barrel_mm(
        *own, scale_length_mm=height_mm, number_pt=number_pt, marks=marks, numbers=Side.BEFORE, bore_mm=BORE_MM
    )
    drawn = draw_barrel(
        *own,
        scale_length_mm=2 * height_mm - size_mm[1],
        number_pt=number_pt,
        marks=marks,
        numbers=Side.BEFORE,
        bore_mm=BORE_MM,
    )
    return sheet.setter.figure(drawn.drawing, fill.both or fill.panels[0].alt)
