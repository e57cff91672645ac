"""Large print's front: the facts of each stop at the left, one large barrel with both stops at the right; where the
barrel is held level, it reaches across the page below them.

Figure, words and count stand together under the order words; what stands below both reaches across the page.
Millimetres; type sizes in points.
"""

from __future__ import annotations

from functools import partial
from itertools import product
from typing import Final, NamedTuple

from fillcards.card.model import FillCard, Panel
from fillcards.layout.grid import At, NoRoom, Piece, beside, find_fitting, put, stack
from fillcards.layout.poster import Panels, fit_barrel, list_figure_sizes, set_figure
from fillcards.layout.setter import PITCH, measure_tallness
from fillcards.layout.sheet import Sheet
from fillcards.picture.scale_view import Side, StopMark
from fillcards.quantities import convert_pt_to_mm
from fillcards.regimen.model import BarrelDirection
from fillcards.typeface import TextTooWide
from fillcards.wording.messages import Say

COLUMN_GAP_MM: Final = 4.0
TIGHTER: Final = ((17.0, PITCH), (14.0, 1.08), (12.0, 1.04), (10.0, 1.0))
"""Width inside the barrel, and from line to line of the facts in type sizes: to be tried in turn."""
MOST_ORDER_PT: Final = 26.0
OVERSHOOT_EM: Final = 0.0125
"""How far round figures reach below the line they stand on: of bold 3 and 5, measured."""


class Told(NamedTuple):
    """What a front says of its stops; the rest stands on the other side.

    Attributes:
        sum: whether the sum stands with the second stop.
        notes: what tells one vial from another.
        counts: how to count to a line.
    """

    sum: bool = True
    notes: bool = True
    counts: bool = True


def set_facts_left(sheet: Sheet, fill: FillCard, height_mm: float, told: Told) -> Panels:
    """Facts and barrel, at most that high.

    Raises:
        NoRoom: they do not fit.
    """
    sizes = product(list_figure_sizes(sheet, fill.panels), TIGHTER)
    try:
        return find_fitting(sizes, lambda size: _set_sized(sheet, fill, height_mm, told, size[0], *size[1]))
    except TextTooWide:
        raise NoRoom from None


def _set_sized(
    sheet: Sheet, fill: FillCard, height_mm: float, told: Told, figure_pt: float, bore_mm: float, pitch: float
) -> Panels:
    is_level = fill.panels[-1].barrel.direction is not BarrelDirection.NEEDLE_UP
    barrel, pitch_mm = _fit_barrel(sheet, fill, sheet.live_mm if is_level else height_mm, bore_mm)
    facts_mm = sheet.live_mm if is_level else sheet.live_mm - barrel.width_mm - COLUMN_GAP_MM
    room_mm = height_mm - barrel.height_mm - COLUMN_GAP_MM if is_level else height_mm
    set_panel = partial(_set_panel, sheet, told=told, width_mm=facts_mm, figure_pt=figure_pt, pitch=pitch)
    panels = [set_panel(panel) for panel in fill.panels]
    spare_mm = room_mm - sum(panel.height_mm for panel in panels)
    if spare_mm < 0.25 * sheet.gap_mm * (len(panels) - 1) or max(panel.width_mm for panel in panels) > facts_mm:
        raise NoRoom
    if len(panels) == 1 and measure_tallness(sheet.setter.language) > 1:
        # Deep letters above a figure would touch it.
        ease_mm = min(spare_mm / 2, 0.8 * sheet.gap_mm)
        panels = [set_panel(panel, ease_mm=ease_mm) for panel in fill.panels]
        spare_mm -= ease_mm
    column = stack(panels, min(spare_mm / len(panels), 6 * sheet.gap_mm))
    parts = At(column, 0.0, 0.0), At(barrel, sheet.live_mm - barrel.width_mm, height_mm - barrel.height_mm)
    return Panels(put(sheet.live_mm, height_mm, parts), pitch_mm)


def _set_panel(
    sheet: Sheet, panel: Panel, *, told: Told, width_mm: float, figure_pt: float, pitch: float, ease_mm: float = 0.0
) -> Piece:
    """One stop: its order words, medicine and dose, then so much more room, the figure with its words."""
    body_pt = sheet.body_pt
    text = partial(sheet.setter.text, pitch=pitch)

    def over_mm(*messages: Say) -> float:
        """Between these words and the bar or the figure above."""
        return max(sheet.setter.measure_over_mm(each, body_pt, pitch, sheet.clear_mm) for each in messages)

    order_pt = max(sheet.poster.order_pt, min(body_pt, MOST_ORDER_PT))
    is_short = sheet.setter.measure_mm(panel.bar, order_pt, bold=True) > width_mm - order_pt / 2
    bar = sheet.plate(panel.short_bar if is_short else panel.bar, order_pt, width_mm, role="H2")
    facts = [text(each, body_pt, width_mm) for each in (panel.medicine, panel.dose)]
    if sum(fact.width_mm for fact in facts) + 2 * sheet.gap_mm <= width_mm:
        facts = [beside(facts, 2 * sheet.gap_mm)]
    facts += [text(each, body_pt, width_mm) for each in panel.notes if told.notes]
    figure, beside_mm = set_figure(sheet, panel, figure_pt), 1.5 * sheet.gap_mm
    words_mm = width_mm - figure.width_mm - beside_mm
    counting = (panel.figure_words, panel.count) if told.counts else (panel.figure_words,)
    below = [text(each, body_pt, width_mm) for each in counting]
    rows = [figure, *below]
    if sheet.setter.fits(panel.figure_words, body_pt, words_mm):
        words = text(panel.figure_words, body_pt, words_mm)
        if words.height_mm <= figure.height_mm + below[0].height_mm:
            rows = [beside((figure, words), beside_mm, 0.5), *below[1:]]
    if all(sheet.setter.fits(each, body_pt, words_mm) for each in counting):
        both = stack([text(each, body_pt, words_mm) for each in counting])
        if both.height_mm <= figure.height_mm + sheet.gap_mm:
            rows = [beside((figure, both), beside_mm, 0.5)]
    if panel.sum and told.sum:
        rows.append(text(panel.sum, body_pt, width_mm))
    gap_mm = 0.2 * sheet.gap_mm
    below_mm = over_mm(*counting) + OVERSHOOT_EM * convert_pt_to_mm(figure_pt)
    about = stack((stack(facts), stack(rows, max(gap_mm, below_mm))), gap_mm + ease_mm)
    return stack((bar, about), max(gap_mm, over_mm(panel.medicine, panel.dose)))


def _fit_barrel(sheet: Sheet, fill: FillCard, length_mm: float, bore_mm: float) -> tuple[Piece, float]:
    """As the reader holds it, a wedge with its number at each stop, opposite the scale's own; and from one line to
    the next.
    """
    view = fill.panels[-1].barrel
    marks = tuple(
        StopMark(panel.barrel.portions[-1].end, sheet.setter.write(panel.figure), not panel.is_total)
        for panel in fill.panels
    )
    numbers = Side.BEFORE if view.direction is BarrelDirection.NEEDLE_UP else Side.AFTER
    fitted = fit_barrel(sheet, view, length_mm, bore_mm, marks=marks, numbers=numbers)
    return fitted.set_figure(sheet, fill.both or fill.panels[0].alt), fitted.sizes.pitch_mm
