"""The deck, for readers above 36 pt: landscape, one fact a side, the figure 60 mm tall beside a close-up of its line.

It holds when, whose, whom to call, each stop, the syringe and what to do past the line. Air, the sum and what tells the
vials apart are on the helper's sheet that goes with it. Millimetres; type sizes in points.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import product
from typing import Final

from fillcards.card.model import FillCard, Line, Panel, WriteIn
from fillcards.layout.grid import At, Piece, beside, flow, put, silence, stack
from fillcards.layout.model import Element, Page
from fillcards.layout.poster import set_figure
from fillcards.layout.sheet import GAP_MM, Sheet
from fillcards.layout.sizes import LEAST_PATIENT_PT
from fillcards.picture.close_up import choose_window, draw_close_up
from fillcards.picture.items import Drawing, Text
from fillcards.picture.scale_view import StopMark
from fillcards.regimen.model import BarrelDirection
from fillcards.wording.messages import say

STYLE_NAME: Final = "deck"
MOST_SIDES: Final = 6
FIGURE_SIZES_PT: Final = {True: (250.0,), False: (200.0, 180.0, 160.0, 140.0)}
"""60 mm tall for two digits; smaller only where three digits or a point must fit."""
ORDER_SIZES_PT: Final = (44.0, 30.0)
TITLE_PT: Final = 56.0
MOST_WHOSE_PT: Final = 32.0
BAR_GAP_MM: Final = 2.0
WINDOW_GAPS: Final = (5, 8)
_TOO_WIDE: Final = Piece(1e6, 0.0)
STEPS_SIZES_PT: Final = (36.0, 20.0)
"""Of the words that say where the steps are, if they take a side of their own at the reader's size."""
LEAST_PITCH_MM_PER_PT: Final = 0.07
BORES_IN_GAPS: Final = (20.0, 16.0, 12.0, 10.0)


def set_deck(sheet: Sheet, fill: FillCard) -> tuple[list[Page], tuple[Element, ...]] | None:
    """The pages of a deck, an even number of them, and their elements; ``None`` where six sides do not hold it."""
    foot = _set_foot(sheet, fill, 8, 8)
    room_mm = sheet.height_mm - 2 * sheet.margin_mm - foot.height_mm - GAP_MM
    for steps_pt, has_days, call_leads, order_pt, figure_pt in product(
        (sheet.body_pt, *STEPS_SIZES_PT),
        (True, False),
        (True, False),
        ORDER_SIZES_PT,
        _list_figure_sizes(sheet, fill),
    ):
        bars = [sheet.plate(panel.short_bar, min(sheet.body_pt, order_pt), sheet.live_mm) for panel in fill.panels]
        left_mm = room_mm - max(bar.height_mm for bar in bars) - BAR_GAP_MM
        parts = [_flow(_set_opening(sheet, fill, has_days=has_days, call_leads=call_leads), room_mm)]
        parts += [_flow(_list_facts(sheet, panel, figure_pt, left_mm), left_mm) for panel in fill.panels]
        parts.append(_flow(_set_closing(sheet, fill, steps_pt, call_leads=call_leads), room_mm))
        if any(part is None for part in parts):
            continue
        shared = [part or [] for part in parts]
        if sum(map(len, shared)) % 2 and not _split_one(shared):
            continue
        if sum(map(len, shared)) <= MOST_SIDES:
            heads = [None, *bars, None]
            return _make_pages(sheet, fill, [
                _stack_side(sheet, head, side, silent=index > 0, room_mm=room_mm)
                for head, part in zip(heads, shared, strict=True)
                for index, side in enumerate(part)
            ])  # fmt: skip
    return None


def _flow(pieces: Iterable[Piece], room_mm: float) -> list[list[Piece]] | None:
    pieces = tuple(pieces)
    too_wide = any(piece.width_mm > 1000.0 for piece in pieces)
    return None if too_wide else flow(pieces, (room_mm,), GAP_MM / 4)


def _split_one(parts: list[list[list[Piece]]]) -> bool:
    """Make two sides of one, the last that can be, so that sheets are whole."""
    for part in reversed(parts):
        for index, side in enumerate(part):
            if len(side) > 1:
                part[index : index + 1] = [side[:-1], side[-1:]]
                return True
    return False


def _stack_side(sheet: Sheet, bar: Piece | None, side: Sequence[Piece], *, silent: bool, room_mm: float) -> Piece:
    """The bar, then what the side says, the spare height between them up to a most."""
    head = [] if bar is None else [silence(bar) if silent else bar]
    spare_mm = room_mm - sum(piece.height_mm for piece in (*head, *side)) - BAR_GAP_MM
    gap_mm = max(GAP_MM / 4, min(1.5 * sheet.gap_mm, spare_mm / len(side)))
    return stack((*head, stack(side, gap_mm)), BAR_GAP_MM)


def _set_opening(sheet: Sheet, fill: FillCard, *, has_days: bool, call_leads: bool) -> tuple[Piece, ...]:
    """When, whose, what holds before the first stop, whom to call; the days stand in the title as well."""
    setter, body_pt, width_mm = sheet.setter, sheet.body_pt, sheet.live_mm
    unsure = [line for line in fill.below if call_leads and _is_call(line)]
    left_out = {"air-first"} if has_days else {"air-first", "only-days"}
    above = [line for line in fill.above if getattr(line, "id", "") not in left_out]
    return (
        setter.text(fill.title, max(body_pt, TITLE_PT), width_mm, bold=True, role="H1"),
        setter.lines(sheet.card.whose, min(body_pt, MOST_WHOSE_PT), width_mm),
        *(setter.line(each, body_pt, width_mm) for each in (*above, *fill.news)),
        *(setter.line(each, body_pt, width_mm) for each in unsure),
    )


def _set_closing(sheet: Sheet, fill: FillCard, steps_pt: float, *, call_leads: bool) -> tuple[Piece, ...]:
    """The syringe, past the line, warnings; where the steps are."""
    setter, body_pt, width_mm = sheet.setter, sheet.body_pt, sheet.live_mm
    rest = [line for line in fill.below if not (call_leads and _is_call(line))]
    pieces = [setter.line(each, body_pt, width_mm) for each in rest]
    return (*pieces, setter.text(say("deck-steps"), steps_pt, width_mm))


def _is_call(line: Line) -> bool:
    """Whether it says whom to call."""
    return isinstance(line, WriteIn) or line.id.startswith("unsure")


def _list_facts(sheet: Sheet, panel: Panel, figure_pt: float, room_mm: float) -> Iterator[Piece]:
    """What a panel says; its count before its figure where a side cannot hold it after."""
    setter, body_pt, width_mm = sheet.setter, sheet.body_pt, sheet.live_mm
    facts = [setter.text(each, body_pt, width_mm) for each in (panel.medicine, panel.dose)]
    gap_mm = 0.5 * sheet.gap_mm
    in_a_row = sum(fact.width_mm for fact in facts) + gap_mm <= width_mm
    yield from (beside(facts, gap_mm),) if in_a_row else facts
    number = set_figure(sheet, panel, figure_pt)
    narrow = _set_close_up(sheet, panel, 0.0, width_mm - number.width_mm - 2 * GAP_MM)
    if narrow is None:
        yield _TOO_WIDE
        return
    words = setter.text(panel.figure_words, body_pt, width_mm - narrow.width_mm - 2 * GAP_MM)
    figure = stack((number, words), 2.0)
    close = _set_close_up(sheet, panel, figure.height_mm, width_mm - figure.width_mm - 2 * GAP_MM) or narrow
    height_mm = max(figure.height_mm, close.height_mm)
    parts = (At(figure, 0.0, 0.0), At(close, width_mm - close.width_mm, (height_mm - close.height_mm) / 2))
    block, count = put(width_mm, height_mm, parts), setter.text(panel.count, body_pt, width_mm)
    if block.height_mm + count.height_mm <= room_mm:
        yield stack((block, count))
    else:
        yield from (count, block)


def _set_close_up(sheet: Sheet, panel: Panel, height_mm: float, width_mm: float) -> Piece | None:
    """The lines round the stop, upright, as large as the room; ``None`` where it is too small."""
    view, gap_mm = panel.barrel, sheet.pen.gap_mm
    stop = view.portions[-1].end
    window = choose_window(view.syringe, stop, *WINDOW_GAPS)
    gaps = float((window.last - window.first) / view.syringe.line_every)

    def draw(pitch_mm: float, bore: float) -> Drawing:
        up, marks = BarrelDirection.NEEDLE_UP, (StopMark(stop, ""),)
        own = view.syringe, window, view.portions, stop, up, sheet.pen
        bore_mm = bore * gap_mm
        drawn = draw_close_up(*own, pitch_mm=pitch_mm, number_pt=sheet.body_pt, marks=marks, bore_mm=bore_mm)
        return drawn.drawing

    least_mm = LEAST_PITCH_MM_PER_PT * sheet.body_pt
    for bore in BORES_IN_GAPS if height_mm else BORES_IN_GAPS[-1:]:
        trial = draw(least_mm, bore)
        if trial.width_mm <= width_mm:
            pitch_mm = least_mm + max(0.0, height_mm - trial.height_mm) / gaps
            made = draw(pitch_mm, bore)
            items = tuple(item for item in made.items if not isinstance(item, Text) or item.text)
            return sheet.setter.figure(made._replace(items=items), panel.alt)
    return None


def _list_figure_sizes(sheet: Sheet, fill: FillCard) -> tuple[float, ...]:
    return FIGURE_SIZES_PT[all(len(sheet.setter.write(panel.figure)) <= 2 for panel in fill.panels)]


def _set_foot(sheet: Sheet, fill: FillCard, page: int, pages: int) -> Piece:
    """Every side carries the fill and its page, the band, whose, and the card code."""
    setter, size_pt = sheet.setter, LEAST_PATIENT_PT
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
        elements += (*body.elements, *foot.elements)
        pages.append(sheet.make_page(head, body, foot, STYLE_NAME))
    return pages, tuple(elements)
