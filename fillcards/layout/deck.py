"""The deck, for readers above 36 pt: landscape, one fact a side, the figure 60 mm tall beside a close-up of its line.

Millimetres; type sizes in points.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from typing import Final

from fillcards.card.model import FillCard, Panel
from fillcards.layout.grid import At, Piece, flow, put, silence, stack
from fillcards.layout.model import Element, Page
from fillcards.layout.poster import set_figure
from fillcards.layout.sheet import GAP_MM, Sheet
from fillcards.layout.sizes import LEAST_LARGE_FOOT_PT
from fillcards.picture.close_up import choose_window, draw_close_up
from fillcards.picture.scale_view import StopMark
from fillcards.regimen.model import BarrelDirection
from fillcards.wording.messages import say

STYLE_NAME: Final = "deck"
MOST_SIDES: Final = 6
FIGURE_SIZES_PT: Final = {True: (250.0,), False: (200.0, 180.0, 160.0, 140.0)}
"""60 mm tall for two digits; smaller only where three digits or a point must fit."""
MOST_ORDER_PT: Final = 44.0
MOST_WHOSE_PT: Final = 44.0
WINDOW_GAPS: Final = (6, 9)
PITCH_IN_GAPS: Final = 2.2
BORE_IN_GAPS: Final = 11.0


def set_deck(sheet: Sheet, fill: FillCard) -> tuple[list[Page], tuple[Element, ...]] | None:
    """The pages of a deck, an even number of them, and their elements; ``None`` where six sides do not hold it."""
    foot = _set_foot(sheet, fill, 8, 8)
    room_mm = sheet.height_mm - 2 * sheet.margin_mm - foot.height_mm - GAP_MM
    firsts, lasts = _set_opening(sheet, fill), _set_closing(sheet, fill)
    gap_mm = 0.3 * sheet.gap_mm
    for figure_pt, count_leads in product(_list_figure_sizes(sheet, fill), (False, True)):
        sides: list[Piece] = []
        for pieces, bar in [
            (firsts, None),
            *((tuple(_list_facts(sheet, panel, figure_pt, count_leads=count_leads)), panel) for panel in fill.panels),
            (lasts, None),
        ]:
            head = [] if bar is None else [sheet.plate(bar.short_bar, min(sheet.body_pt, MOST_ORDER_PT), sheet.live_mm)]
            left_mm = room_mm - sum(piece.height_mm + sheet.gap_mm for piece in head)
            shared = flow(pieces, (left_mm,), gap_mm)
            if shared is None or any(piece.width_mm > sheet.live_mm + 0.01 for piece in pieces):
                break
            for index, side in enumerate(shared):
                top = [silence(piece) if index else piece for piece in head]
                sides.append(stack((*top, _loosen(side, left_mm, gap_mm, 4 * sheet.gap_mm)), sheet.gap_mm))
        else:
            if len(sides) % 2:
                half = -(-len(lasts) // 2)
                sides[-1:] = [stack(lasts[:half], gap_mm), stack(lasts[half:], gap_mm)]
            if len(sides) <= MOST_SIDES:
                return _make_pages(sheet, fill, sides)
    return None


def _set_opening(sheet: Sheet, fill: FillCard) -> tuple[Piece, ...]:
    """When, whose, what holds before the first stop, whom to call."""
    setter, body_pt, width_mm = sheet.setter, sheet.body_pt, sheet.live_mm
    unsure = [line for line in fill.below if getattr(line, "id", "unsure").startswith("unsure")]
    return (
        setter.text(fill.title, body_pt, width_mm, bold=True, role="H1"),
        setter.lines(sheet.card.whose, min(body_pt, MOST_WHOSE_PT), width_mm),
        *(setter.line(each, body_pt, width_mm) for each in (*fill.above, *fill.news)),
        *(setter.line(each, body_pt, width_mm) for each in unsure),
    )


def _set_closing(sheet: Sheet, fill: FillCard) -> tuple[Piece, ...]:
    setter, body_pt, width_mm = sheet.setter, sheet.body_pt, sheet.live_mm
    rest = [line for line in fill.below if not getattr(line, "id", "unsure").startswith("unsure")]
    return tuple(setter.line(each, body_pt, width_mm) for each in (*rest, say("deck-steps")))


def _list_facts(sheet: Sheet, panel: Panel, figure_pt: float, *, count_leads: bool) -> Iterator[Piece]:
    """What a panel says, in its order; the count may come before the figure where that saves a side."""
    setter, body_pt, width_mm = sheet.setter, sheet.body_pt, sheet.live_mm
    before = (panel.medicine, panel.dose, *panel.notes)
    after = (panel.figure_words, panel.count, *([panel.sum] if panel.sum else []))
    if count_leads:
        before, after = (*before, panel.count), tuple(each for each in after if each is not panel.count)
    for each in before:
        yield setter.text(each, body_pt, width_mm)
    figure, close = set_figure(sheet, panel, figure_pt), _set_close_up(sheet, panel)
    height_mm = max(figure.height_mm, close.height_mm)
    parts = (
        At(figure, 0.0, (height_mm - figure.height_mm) / 2),
        At(close, width_mm - close.width_mm, (height_mm - close.height_mm) / 2),
    )
    fits = figure.width_mm + close.width_mm + GAP_MM <= width_mm
    yield put(width_mm if fits else 2 * width_mm, height_mm, parts)
    for each in after:
        yield setter.text(each, body_pt, width_mm)


def _set_close_up(sheet: Sheet, panel: Panel) -> Piece:
    """The lines round the stop, upright, numbers at the left, a dot at each line to be counted."""
    view, gap_mm = panel.barrel, sheet.pen.gap_mm
    stop = view.portions[-1].end
    drawn = draw_close_up(
        view.syringe,
        choose_window(view.syringe, stop, *WINDOW_GAPS),
        view.portions,
        stop,
        BarrelDirection.NEEDLE_UP,
        sheet.pen,
        pitch_mm=PITCH_IN_GAPS * gap_mm,
        number_pt=sheet.body_pt,
        marks=(StopMark(stop, "."),),
        bore_mm=BORE_IN_GAPS * gap_mm,
    )
    return sheet.setter.figure(drawn.drawing, panel.alt)


def _list_figure_sizes(sheet: Sheet, fill: FillCard) -> tuple[float, ...]:
    return FIGURE_SIZES_PT[all(len(sheet.setter.write(panel.figure)) <= 2 for panel in fill.panels)]


def _loosen(pieces: Sequence[Piece], height_mm: float, least_mm: float, most_mm: float) -> Piece:
    """One below the other, the spare height between them up to a most."""
    spare_mm = height_mm - sum(piece.height_mm for piece in pieces)
    return stack(pieces, max(least_mm, min(most_mm, spare_mm / max(len(pieces), 1))))


def _set_foot(sheet: Sheet, fill: FillCard, page: int, pages: int) -> Piece:
    """Every side carries the fill and its page, the band, whose, and the card code."""
    setter, size_pt = sheet.setter, LEAST_LARGE_FOOT_PT
    title = setter.text(fill.title, size_pt, sheet.live_mm / 2, bold=True)
    count = setter.text(say("page", page=page, pages=pages), size_pt, sheet.live_mm)
    band = setter.text(sheet.card.band, size_pt, sheet.live_mm - count.width_mm - 2 * GAP_MM, bold=True)
    whose = setter.lines(sheet.card.whose, size_pt, sheet.live_mm)
    foot = setter.text(sheet.card.foot, size_pt, sheet.live_mm)
    return stack((sheet.row((title, band, count)), sheet.row((whose, foot))))


def _make_pages(sheet: Sheet, fill: FillCard, sides: list[Piece]) -> tuple[list[Page], tuple[Element, ...]]:
    pages: list[Page] = []
    elements: list[Element] = []
    for number, body in enumerate(sides, start=1):
        foot = _set_foot(sheet, fill, number, len(sides))
        head = Piece(0.0, 0.0)
        foot = silence(foot) if number > 1 else foot
        elements += (*foot.elements, *body.elements) if number == 1 else body.elements
        pages.append(sheet.make_page(head, body, foot, STYLE_NAME))
    return pages, tuple(elements)
