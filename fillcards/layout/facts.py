"""Large print's front: the facts of each stop at the left, one large barrel with both stops at the right; where the
barrel is held level, it reaches across the page below them.

Figure, words and count stand together under the order words; what stands below both reaches across the page.
Millimetres; type sizes in points.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from typing import Final

from fillcards.card.model import FillCard, Panel
from fillcards.layout.grid import At, Piece, beside, put, stack
from fillcards.layout.poster import Panels, fit_barrel, list_figure_sizes, set_figure
from fillcards.layout.sheet import Sheet
from fillcards.picture.items import Text
from fillcards.picture.scale_view import Side, StopMark
from fillcards.regimen.model import BarrelDirection
from fillcards.typeface import TextTooWide

COLUMN_GAP_MM: Final = 4.0
BORE_MM: Final = 17.0
MOST_ORDER_PT: Final = 26.0


def set_facts_left(
    sheet: Sheet, fill: FillCard, height_mm: float, *, has_sum: bool = True, has_notes: bool = True
) -> Panels | None:
    """Facts and barrel, at most that high; ``None`` where they do not fit.

    Args:
        sheet: of the front.
        fill: its panels.
        height_mm: the room there is.
        has_sum: whether the sum stands with the second stop, not on the other side.
        has_notes: likewise what tells one vial from another.
    """
    for has_labels, figure_pt in product((True, False), list_figure_sizes(sheet, fill.panels)):
        is_level = fill.panels[-1].barrel.direction is not BarrelDirection.NEEDLE_UP
        length_mm = sheet.live_mm if is_level else height_mm
        barrel, pitch_mm = _fit_barrel(sheet, fill, length_mm, has_labels=has_labels)
        facts_mm = sheet.live_mm if is_level else sheet.live_mm - barrel.width_mm - COLUMN_GAP_MM
        room_mm = height_mm - barrel.height_mm - COLUMN_GAP_MM if is_level else height_mm
        try:
            panels = [
                _set_panel(sheet, panel, facts_mm, figure_pt, has_sum=has_sum, has_notes=has_notes)
                for panel in fill.panels
            ]
        except TextTooWide:
            continue
        spare_mm = room_mm - sum(panel.height_mm for panel in panels)
        if spare_mm < 0.25 * sheet.gap_mm * (len(panels) - 1) or max(panel.width_mm for panel in panels) > facts_mm:
            continue
        column = stack(panels, min(spare_mm / len(panels), 6 * sheet.gap_mm))
        parts = At(column, 0.0, 0.0), At(barrel, sheet.live_mm - barrel.width_mm, height_mm - barrel.height_mm)
        return Panels(put(sheet.live_mm, height_mm, parts), pitch_mm)
    return None


def _set_panel(
    sheet: Sheet, panel: Panel, width_mm: float, figure_pt: float, *, has_sum: bool, has_notes: bool
) -> Piece:
    setter, body_pt = sheet.setter, sheet.body_pt
    order_pt = max(sheet.poster.order_pt, min(body_pt, MOST_ORDER_PT))
    is_short = setter.measure_mm(panel.bar, order_pt, bold=True) > width_mm - order_pt / 2
    bar = sheet.plate(panel.short_bar if is_short else panel.bar, order_pt, width_mm, role="H2")
    facts = [setter.text(each, body_pt, width_mm) for each in (panel.medicine, panel.dose)]
    if sum(fact.width_mm for fact in facts) + 2 * sheet.gap_mm <= width_mm:
        facts = [beside(facts, 2 * sheet.gap_mm)]
    facts += [setter.text(each, body_pt, width_mm) for each in panel.notes if has_notes]
    figure = set_figure(sheet, panel, figure_pt)
    words_mm = width_mm - figure.width_mm - 1.5 * sheet.gap_mm
    words, below = setter.text(panel.figure_words, body_pt, words_mm), setter.text(panel.count, body_pt, width_mm)
    rows = [_center((figure, words), 1.5 * sheet.gap_mm), below]
    if setter.fits(panel.count, body_pt, words_mm):
        both = stack((words, setter.text(panel.count, body_pt, words_mm)))
        if both.height_mm <= figure.height_mm + sheet.gap_mm:
            rows = [_center((figure, both), 1.5 * sheet.gap_mm)]
    if panel.sum and has_sum:
        rows.append(setter.text(panel.sum, body_pt, width_mm))
    gap_mm = 0.2 * sheet.gap_mm
    return stack((bar, stack((stack(facts), *rows), gap_mm)), gap_mm)


def _center(pieces: tuple[Piece, Piece], gap_mm: float) -> Piece:
    """Side by side, halfway up each other."""
    height_mm = max(piece.height_mm for piece in pieces)
    first, second = pieces
    parts = (
        At(first, 0.0, (height_mm - first.height_mm) / 2),
        At(second, first.width_mm + gap_mm, (height_mm - second.height_mm) / 2),
    )
    return put(first.width_mm + gap_mm + second.width_mm, height_mm, parts)


def _fit_barrel(sheet: Sheet, fill: FillCard, length_mm: float, *, has_labels: bool) -> tuple[Piece, float]:
    """As the reader holds it, a wedge with its number at each stop, opposite the scale's own; and from one line to
    the next.
    """
    view = fill.panels[-1].barrel
    marks = tuple(
        StopMark(
            panel.barrel.portions[-1].end, sheet.setter.write(panel.figure) if has_labels else "", not panel.is_total
        )
        for panel in fill.panels
    )
    narrow = replace(sheet, poster=sheet.poster._replace(bore_mm=BORE_MM))
    is_upright = view.direction is BarrelDirection.NEEDLE_UP
    drawn = fit_barrel(narrow, view, length_mm, marks=marks, numbers=Side.BEFORE if is_upright else Side.AFTER)
    items = tuple(item for item in drawn.drawing.items if not isinstance(item, Text) or item.text)
    return sheet.setter.figure(drawn.drawing._replace(items=items), fill.both or fill.panels[0].alt), drawn.pitch_mm
